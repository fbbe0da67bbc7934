"""Read a TensorFlow Lite model: tensors, constants and operators, in their order.

The format is the flatbuffers schema of TensorFlow (schema.fbs, version 3); the package `tflite` holds the
readers generated from it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import tflite
from numpy.typing import NDArray

TYPES = {
    tflite.TensorType.FLOAT32: np.float32,
    tflite.TensorType.FLOAT16: np.float16,
    tflite.TensorType.INT32: np.int32,
}

NAMES = {code: name for name, code in vars(tflite.BuiltinOperator).items() if isinstance(code, int)}

FOLDED = frozenset({"DEQUANTIZE", "DENSIFY"})
"""Operators that only unpack constants: float16 to float32, sparse to dense."""


@dataclass(frozen=True)
class Operator:
    """One step: `name` as in the schema, or the custom operator's own; indices of tensors; `options`: the
    table of the builtin operator, or the bytes of a custom one."""

    name: str
    inputs: tuple[int, ...]
    outputs: tuple[int, ...]
    options: Any


@dataclass(frozen=True)
class Model:
    """`shapes` of all tensors, `constants` dense and in the precision in which they are stored."""

    shapes: tuple[tuple[int, ...], ...]
    constants: Mapping[int, NDArray[Any]]
    operators: tuple[Operator, ...]
    inputs: tuple[int, ...]
    outputs: tuple[int, ...]


def read(data: bytes) -> Model:
    """The only subgraph of the model in `data`, with unpacking operators folded into its constants."""
    file = tflite.Model.GetRootAs(data, 0)
    graph = file.Subgraphs(0)
    tensors = [graph.Tensors(i) for i in range(graph.TensorsLength())]
    constants = {
        i: _constant(tensor, data_of)
        for i, tensor in enumerate(tensors)
        if len(data_of := _buffer(file, tensor))
    }
    operators = []
    for operator in _operators(file, graph):
        if operator.name in FOLDED:
            constants[operator.outputs[0]] = constants[operator.inputs[0]]
        else:
            operators.append(operator)
    return Model(
        shapes=tuple(_numbers(tensor.ShapeAsNumpy()) for tensor in tensors),
        constants=constants,
        operators=tuple(operators),
        inputs=_numbers(graph.InputsAsNumpy()),
        outputs=_numbers(graph.OutputsAsNumpy()),
    )


def _operators(file: Any, graph: Any) -> Iterator[Operator]:
    for i in range(graph.OperatorsLength()):
        operator = graph.Operators(i)
        code = file.OperatorCodes(operator.OpcodeIndex())
        name = NAMES[max(code.BuiltinCode(), code.DeprecatedBuiltinCode())]
        options: Any = operator.BuiltinOptions()
        if name == "CUSTOM":
            name = code.CustomCode().decode()
            options = bytes(operator.CustomOptions(k) for k in range(operator.CustomOptionsLength()))
        yield Operator(name, _numbers(operator.InputsAsNumpy()), _numbers(operator.OutputsAsNumpy()), options)


def _buffer(file: Any, tensor: Any) -> bytes:
    buffer = file.Buffers(tensor.Buffer())
    return buffer.DataAsNumpy().tobytes() if buffer.DataLength() else b""


def _constant(tensor: Any, data: bytes) -> NDArray[Any]:
    values = np.frombuffer(data, TYPES[tensor.Type()])
    shape = _numbers(tensor.ShapeAsNumpy())
    return values.reshape(shape) if tensor.Sparsity() is None else _dense(tensor.Sparsity(), values, shape)


def _dense(sparsity: Any, values: NDArray[Any], shape: tuple[int, ...]) -> NDArray[Any]:
    """Spread out what is stored level by level: a dense level counts all places, a compressed one lists
    those that hold something. Blocks are not used by the models here."""
    if sparsity.BlockMapLength():
        raise ValueError("sparse blocks are not supported")
    order = _numbers(sparsity.TraversalOrderAsNumpy())
    dense = np.zeros(shape, values.dtype)
    places = [()]  # indices of the levels above, in the order in which they are stored
    for level in range(len(order)):
        metadata = sparsity.DimMetadata(level)
        if metadata.Format() == tflite.DimensionType.DENSE:
            places = [(*above, i) for above in places for i in range(metadata.DenseSize())]
        else:
            starts, at = _vector(metadata, "ArraySegments"), _vector(metadata, "ArrayIndices")
            places = [
                (*above, int(at[k]))
                for row, above in enumerate(places)
                for k in range(starts[row], starts[row + 1])
            ]
    for place, value in zip(places, values, strict=True):
        index = [0] * len(shape)
        for level, axis in enumerate(order):
            index[axis] = place[level]
        dense[tuple(index)] = value
    return dense


def _vector(metadata: Any, which: str) -> NDArray[Any]:
    """A vector of indices, stored in the narrowest of three types."""
    kind = getattr(metadata, which + "Type")()
    reader = {
        tflite.SparseIndexVector.Int32Vector: tflite.Int32Vector,
        tflite.SparseIndexVector.Uint16Vector: tflite.Uint16Vector,
        tflite.SparseIndexVector.Uint8Vector: tflite.Uint8Vector,
    }[kind]()
    table = getattr(metadata, which)()
    reader.Init(table.Bytes, table.Pos)
    return reader.ValuesAsNumpy().astype(np.int64)


def _numbers(array: Any) -> tuple[int, ...]:
    return tuple(int(number) for number in np.atleast_1d(array)) if not isinstance(array, int) else ()
