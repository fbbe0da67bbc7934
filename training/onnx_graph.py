"""A TensorFlow Lite model as an ONNX graph of standard operators (opset 17), for any number of pictures.

Tensors of four dimensions are (n, rows, columns, channels) there and (n, channels, rows, columns) here.
Weights keep the precision in which they were stored: float16 constants are cast where they are used. Where
the file must be small, large ones are rounded to 8 bits, with one scale for each output channel.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import onnx
import tflite
from numpy.typing import NDArray
from onnx import TensorProto, helper, numpy_helper
from tflite_file import Model, Operator

OPSET, IR_VERSION = 17, 8

ACTIVATIONS = {tflite.ActivationFunctionType.RELU: "Relu"}

LEAST_ROUNDED = 1024
"""Size from which a constant is worth rounding."""

TO_CHANNELS_FIRST, TO_CHANNELS_LAST = (0, 3, 1, 2), (0, 2, 3, 1)


class Graph:
    """Nodes, constants and the names of tensors while a model is converted. `rounded`: keep large constants
    in 8 bits."""

    def __init__(self, model: Model, rounded: bool = False) -> None:
        self.model = model
        self.rounded = rounded
        self.nodes: list[onnx.NodeProto] = []
        self.constants: list[onnx.TensorProto] = []
        self._names: dict[int, str] = {}
        self._count = 0

    def name_of(self, tensor: int) -> str:
        """The name of a tensor that was computed."""
        return self._names[tensor]

    def bind(self, tensor: int, name: str) -> None:
        """Let `name` be what the model calls `tensor`."""
        self._names[tensor] = name

    def add(self, operator: str, inputs: Sequence[str], **attributes: Any) -> str:
        """A node with one output, whose name is returned."""
        self._count += 1
        output = f"t{self._count}"
        self.nodes.append(helper.make_node(operator, list(inputs), [output], **attributes))
        return output

    def constant(self, values: NDArray[Any]) -> str:
        """A constant; of float16 its float32."""
        if self.rounded and values.dtype == np.float16 and values.size >= LEAST_ROUNDED:
            return self._in_8_bits(values.astype(np.float32))
        self._count += 1
        name = f"c{self._count}"
        self.constants.append(numpy_helper.from_array(np.ascontiguousarray(values), name))
        return self.add("Cast", [name], to=TensorProto.FLOAT) if values.dtype == np.float16 else name

    def _in_8_bits(self, values: NDArray[np.float32]) -> str:
        """A constant as whole numbers up to 127 times one scale for each place of its first axis; onnxruntime
        multiplies once, while it loads."""
        scales = np.abs(values).reshape(len(values), -1).max(axis=1) / np.float32(127)
        scales[scales == 0] = 1
        scales = scales.reshape(-1, *(1,) * (values.ndim - 1))
        whole = self.constant(np.rint(values / scales).astype(np.int8))
        return self.add("Mul", [self.add("Cast", [whole], to=TensorProto.FLOAT), self.constant(scales)])

    def operand(self, tensor: int) -> str:
        """A computed tensor, or a constant laid out to be added to or multiplied with one."""
        if tensor not in self.model.constants:
            return self.name_of(tensor)
        values = self.model.constants[tensor]
        return self.constant(values.transpose(TO_CHANNELS_FIRST) if values.ndim == 4 else values)


def convert(graph: Graph, operator: Operator) -> None:
    """Append what `operator` does to `graph`.

    Raises
    ------
    KeyError
        When the operator is none of those that the models here use.
    """
    CONVERSIONS[operator.name](graph, operator)


def _options(operator: Operator, kind: type) -> Any:
    options = kind()
    options.Init(operator.options.Bytes, operator.options.Pos)
    return options


def _finish(graph: Graph, operator: Operator, name: str, activation: int = 0) -> None:
    if activation:
        name = graph.add(ACTIVATIONS[activation], [name])
    graph.bind(operator.outputs[0], name)


def _pads(graph: Graph, operator: Operator, options: Any, kernel: Sequence[int]) -> list[int]:
    """Rows above, columns left, rows below, columns right, by TensorFlow's padding SAME or VALID."""
    if options.Padding() == tflite.Padding.VALID:
        return [0, 0, 0, 0]
    before, after = [], []
    shape_in, shape_out = (graph.model.shapes[t] for t in (operator.inputs[0], operator.outputs[0]))
    for axis, stride in enumerate((options.StrideH(), options.StrideW())):
        total = max(0, (shape_out[1 + axis] - 1) * stride + kernel[axis] - shape_in[1 + axis])
        before.append(total // 2)
        after.append(total - total // 2)
    return before + after


def _convolution(graph: Graph, operator: Operator) -> None:
    image, weights, bias = operator.inputs
    kernels = graph.model.constants[weights]
    if operator.name == "DEPTHWISE_CONV_2D":  # (1, rows, columns, channels)
        options = _options(operator, tflite.DepthwiseConv2DOptions)
        kernels, group = kernels.transpose(3, 0, 1, 2), graph.model.shapes[image][3]
    else:  # (channels out, rows, columns, channels in)
        options = _options(operator, tflite.Conv2DOptions)
        kernels, group = kernels.transpose(TO_CHANNELS_FIRST), 1
    if (options.DilationHFactor(), options.DilationWFactor()) != (1, 1):
        raise ValueError("dilated convolutions are not supported")
    name = graph.add(
        "Conv",
        [graph.name_of(image), graph.constant(kernels), graph.constant(graph.model.constants[bias])],
        kernel_shape=kernels.shape[2:],
        strides=[options.StrideH(), options.StrideW()],
        pads=_pads(graph, operator, options, kernels.shape[2:]),
        group=group,
    )
    _finish(graph, operator, name, options.FusedActivationFunction())


def _transposed_convolution(graph: Graph, operator: Operator) -> None:
    """mediapipe's Convolution2DTransposeBias; its options are three integers in C's order."""
    image, weights, bias = operator.inputs
    _, stride_columns, stride_rows = struct.unpack("<3i", operator.options)
    kernels = graph.model.constants[weights].transpose(3, 0, 1, 2)  # from (out, rows, columns, in)
    if kernels.shape[2:] != (stride_rows, stride_columns):
        raise ValueError("transposed convolutions whose kernels overlap are not supported")
    name = graph.add(
        "ConvTranspose",
        [graph.name_of(image), graph.constant(kernels), graph.constant(graph.model.constants[bias])],
        kernel_shape=kernels.shape[2:],
        strides=[stride_rows, stride_columns],
    )
    _finish(graph, operator, name)


def _pool(graph: Graph, operator: Operator) -> None:
    options = _options(operator, tflite.Pool2DOptions)
    kernel = options.FilterHeight(), options.FilterWidth()
    source = graph.name_of(operator.inputs[0])
    if operator.name == "AVERAGE_POOL_2D":
        if kernel != graph.model.shapes[operator.inputs[0]][1:3]:
            raise ValueError("only the average of a whole map is supported")
        name = graph.add("GlobalAveragePool", [source])
    else:
        name = graph.add(
            "MaxPool",
            [source],
            kernel_shape=kernel,
            strides=[options.StrideH(), options.StrideW()],
            pads=_pads(graph, operator, options, kernel),
        )
    _finish(graph, operator, name, options.FusedActivationFunction())


def _two(onnx_name: str, kind: type) -> Callable[[Graph, Operator], None]:
    def conversion(graph: Graph, operator: Operator) -> None:
        name = graph.add(onnx_name, [graph.operand(tensor) for tensor in operator.inputs])
        _finish(graph, operator, name, _options(operator, kind).FusedActivationFunction())

    return conversion


def _one(onnx_name: str) -> Callable[[Graph, Operator], None]:
    def conversion(graph: Graph, operator: Operator) -> None:
        _finish(graph, operator, graph.add(onnx_name, [graph.name_of(operator.inputs[0])]))

    return conversion


def _prelu(graph: Graph, operator: Operator) -> None:
    """x where it is positive, else x times its channel's slope: as slope·x + (1 − slope)·max(x, 0).

    Written with convolutions, one weight a channel, since onnxruntime runs those, and nothing of its PRelu,
    in the blocked layout of the convolutions around it; the mesh takes half the time.
    """
    source, slopes = operator.inputs
    slope = graph.model.constants[slopes].astype(np.float32).reshape(-1, 1, 1, 1)
    name = graph.name_of(source)
    below = graph.add("Conv", [name, graph.constant(slope)], kernel_shape=(1, 1), group=len(slope))
    above = graph.add(
        "Conv", [graph.add("Relu", [name]), graph.constant(1 - slope)], kernel_shape=(1, 1), group=len(slope)
    )
    _finish(graph, operator, graph.add("Add", [below, above]))


def _pad(graph: Graph, operator: Operator) -> None:
    around = graph.model.constants[operator.inputs[1]][list(TO_CHANNELS_FIRST)].astype(np.int64)
    pads = graph.constant(np.concatenate([around[:, 0], around[:, 1]]))
    _finish(graph, operator, graph.add("Pad", [graph.name_of(operator.inputs[0]), pads]))


def _resize(graph: Graph, operator: Operator) -> None:
    options = _options(operator, tflite.ResizeBilinearOptions)
    mode = "half_pixel" if options.HalfPixelCenters() else "asymmetric"
    if options.AlignCorners():
        mode = "align_corners"
    shapes = (graph.model.shapes[t] for t in (operator.outputs[0], operator.inputs[0]))
    scales = np.array([1, 1, *(out / into for out, into in zip(*(s[1:3] for s in shapes), strict=True))])
    name = graph.add(
        "Resize",
        [graph.name_of(operator.inputs[0]), "", graph.constant(scales.astype(np.float32))],
        mode="linear",
        coordinate_transformation_mode=mode,
    )
    _finish(graph, operator, name)


def _depth_to_space(graph: Graph, operator: Operator) -> None:
    size = _options(operator, tflite.DepthToSpaceOptions).BlockSize()
    _finish(
        graph,
        operator,
        graph.add("DepthToSpace", [graph.name_of(operator.inputs[0])], blocksize=size, mode="DCR"),
    )


def _concatenation(graph: Graph, operator: Operator) -> None:
    axis = _options(operator, tflite.ConcatenationOptions).Axis()
    if len(graph.model.shapes[operator.outputs[0]]) == 4:
        raise ValueError("concatenation of maps is not supported")
    _finish(
        graph, operator, graph.add("Concat", [graph.name_of(tensor) for tensor in operator.inputs], axis=axis)
    )


def _reshape(graph: Graph, operator: Operator) -> None:
    """The first dimension, the pictures, stays; four dimensions are laid out as TensorFlow does meanwhile."""
    source = graph.name_of(operator.inputs[0])
    if len(graph.model.shapes[operator.inputs[0]]) == 4:
        source = graph.add("Transpose", [source], perm=TO_CHANNELS_LAST)
    shape = graph.constant(np.array([0, *graph.model.shapes[operator.outputs[0]][1:]], np.int64))
    name = graph.add("Reshape", [source, shape])
    if len(graph.model.shapes[operator.outputs[0]]) == 4:
        name = graph.add("Transpose", [name], perm=TO_CHANNELS_FIRST)
    _finish(graph, operator, name)


def _slice(graph: Graph, operator: Operator) -> None:
    if graph.model.shapes[operator.inputs[0]] != graph.model.shapes[operator.outputs[0]]:
        raise ValueError("only the slice that takes all is supported")
    graph.bind(operator.outputs[0], graph.name_of(operator.inputs[0]))


CONVERSIONS: dict[str, Callable[[Graph, Operator], None]] = {
    "CONV_2D": _convolution,
    "DEPTHWISE_CONV_2D": _convolution,
    "Convolution2DTransposeBias": _transposed_convolution,
    "MAX_POOL_2D": _pool,
    "AVERAGE_POOL_2D": _pool,
    "ADD": _two("Add", tflite.AddOptions),
    "MUL": _two("Mul", tflite.MulOptions),
    "RELU": _one("Relu"),
    "LOGISTIC": _one("Sigmoid"),
    "HARD_SWISH": _one("HardSwish"),
    "PRELU": _prelu,
    "PAD": _pad,
    "RESIZE_BILINEAR": _resize,
    "DEPTH_TO_SPACE": _depth_to_space,
    "CONCATENATION": _concatenation,
    "RESHAPE": _reshape,
    "STRIDED_SLICE": _slice,
}
