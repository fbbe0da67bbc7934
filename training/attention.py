"""The three operators of mediapipe's own in the face mesh with attention, by standard ones.

They look at mouth and eyes again: landmarks of a part give the turned box about it, the features inside that
box are sampled, and what is found there is brought back. Formulas: mediapipe 0.10.21,
util/tflite/operations/{landmarks_to_transform_matrix,transform_tensor_bilinear,transform_landmarks}.cc,
version 2 of each (Apache-2.0).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from flatbuffers import flexbuffers
from onnx_graph import CONVERSIONS, Graph
from tflite_file import Operator


def part_of(operator: Operator) -> dict[str, Any]:
    """Options of a Landmarks2TransformMatrix: the part's landmarks, size of its map, how much air."""
    return flexbuffers.Loads(operator.options)


def _number(graph: Graph, value: float) -> str:
    return graph.constant(np.float32([value]))


def _column(graph: Graph, matrix: str, column: int) -> str:
    """Columns of (n, m, k) as (n, m)."""
    return graph.add("Gather", [matrix, graph.constant(np.array(column, np.int64))], axis=2)


def _transform_matrix(graph: Graph, operator: Operator) -> None:
    """Landmarks (n, 468, 3) to the matrix (n, 2, 3) from the pixels of a part's map to those of the
    landmarks.

    Turned by the angle between two landmarks, centred on the part's box in that frame, as wide as
    that box times `scale`, over `output` pixels.
    """
    part = part_of(operator)
    if part["target_rotation_radians"] != 0:
        raise ValueError("only parts that are level at zero are supported")
    landmarks = graph.name_of(operator.inputs[0])
    corners = graph.constant(np.array([part["left_rotation_idx"], part["right_rotation_idx"]], np.int64))
    pair = graph.add("Gather", [landmarks, corners], axis=1)
    first, second = (
        graph.add("Gather", [pair, graph.constant(np.array([i], np.int64))], axis=1) for i in (0, 1)
    )
    along = graph.add("Sub", [second, first])  # (n, 1, 3)
    x, y = (_column(graph, along, i) for i in (0, 1))  # (n, 1)
    length = graph.add("Sqrt", [graph.add("Add", [graph.add("Mul", [x, x]), graph.add("Mul", [y, y])])])
    cosine, sine = (graph.add("Div", [each, length]) for each in (x, y))
    points = graph.add("Gather", [landmarks, graph.constant(np.array(part["subset_idxs"], np.int64))], axis=1)
    px, py = (_column(graph, points, i) for i in (0, 1))  # (n, points)
    level_x = graph.add("Add", [graph.add("Mul", [px, cosine]), graph.add("Mul", [py, sine])])
    level_y = graph.add("Sub", [graph.add("Mul", [py, cosine]), graph.add("Mul", [px, sine])])
    half, middle = [], []
    for level in (level_x, level_y):
        largest = graph.add("ReduceMax", [level], axes=[1], keepdims=1)
        least = graph.add("ReduceMin", [level], axes=[1], keepdims=1)
        half.append(graph.add("Mul", [graph.add("Sub", [largest, least]), _number(graph, 0.5)]))
        middle.append(graph.add("Mul", [graph.add("Add", [largest, least]), _number(graph, 0.5)]))
    centre_x = graph.add("Sub", [graph.add("Mul", [middle[0], cosine]), graph.add("Mul", [middle[1], sine])])
    centre_y = graph.add("Add", [graph.add("Mul", [middle[0], sine]), graph.add("Mul", [middle[1], cosine])])
    columns, rows = part["output_width"], part["output_height"]
    per_column = graph.add("Mul", [half[0], _number(graph, 2 * part["scale_x"] / columns)])
    per_row = graph.add("Mul", [half[1], _number(graph, 2 * part["scale_y"] / rows)])
    a, b = graph.add("Mul", [cosine, per_column]), graph.add("Neg", [graph.add("Mul", [sine, per_row])])
    d, e = graph.add("Mul", [sine, per_column]), graph.add("Mul", [cosine, per_row])
    shifts = []
    for centre, across, down in ((centre_x, a, b), (centre_y, d, e)):
        away = graph.add(
            "Add",
            [
                graph.add("Mul", [across, _number(graph, columns / 2)]),
                graph.add("Mul", [down, _number(graph, rows / 2)]),
            ],
        )
        shifts.append(graph.add("Sub", [centre, away]))
    flat = graph.add("Concat", [a, b, shifts[0], d, e, shifts[1]], axis=1)
    shape = graph.constant(np.array([0, 2, 3], np.int64))
    graph.bind(operator.outputs[0], graph.add("Reshape", [flat, shape]))


def _scaled_matrix(graph: Graph, operator: Operator) -> None:
    """A matrix times a constant, number by number: (n, 2, 3) of what the model stores as (4, 4)."""
    matrix, factors = operator.inputs
    if factors not in graph.model.constants or graph.model.shapes[matrix] != (1, 4, 4):
        _PLAIN_MULTIPLICATION(graph, operator)
        return
    values = graph.model.constants[factors].reshape(-1, 4, 4)[:, :2][:, :, [0, 1, 3]]
    graph.bind(operator.outputs[0], graph.add("Mul", [graph.name_of(matrix), graph.constant(values)]))


def _moved(graph: Graph, points: str, matrix: str) -> str:
    """Points (n, m, 2) through a matrix (n, 2, 3)."""
    linear = graph.add("Gather", [matrix, graph.constant(np.array([0, 1], np.int64))], axis=2)
    shift = graph.add("Gather", [matrix, graph.constant(np.array([2], np.int64))], axis=2)
    turned = graph.add("MatMul", [points, graph.add("Transpose", [linear], perm=(0, 2, 1))])
    return graph.add("Add", [turned, graph.add("Transpose", [shift], perm=(0, 2, 1))])


def _transform_landmarks(graph: Graph, operator: Operator) -> None:
    points, matrix = (graph.name_of(tensor) for tensor in operator.inputs)
    graph.bind(operator.outputs[0], _moved(graph, points, matrix))


def _sampled_features(graph: Graph, operator: Operator) -> None:
    """Features at the pixel centres of a part's map, bilinear; zero where the centre lies beyond the middle
    of the outermost pixels."""
    features, matrix = operator.inputs
    options = flexbuffers.Loads(operator.options)
    rows, columns = options["output_height"], options["output_width"]
    _, height, width, _ = graph.model.shapes[features]
    y, x = np.mgrid[:rows, :columns] + 0.5
    centres = graph.constant(np.stack([x.ravel(), y.ravel()], axis=1)[None].astype(np.float32))
    at = graph.add("Sub", [_moved(graph, centres, graph.name_of(matrix)), _number(graph, 0.5)])
    last = np.float32([[[width - 1, height - 1]]])
    relative = graph.add("Sub", [graph.add("Mul", [at, graph.constant(2 / last)]), _number(graph, 1.0)])
    # Beyond the outermost centres GridSample fades to zero within a pixel; the model wants zero at once.
    grid = graph.add("Reshape", [relative, graph.constant(np.array([0, rows, columns, 2], np.int64))])
    sampled = graph.add(
        "GridSample",
        [graph.name_of(features), grid],
        mode="bilinear",
        padding_mode="zeros",
        align_corners=1,
    )
    farthest = graph.add("ReduceMax", [graph.add("Abs", [relative])], axes=[2], keepdims=0)
    farthest = graph.add("Reshape", [farthest, graph.constant(np.array([0, 1, rows, columns], np.int64))])
    beyond = graph.add("Greater", [farthest, _number(graph, 1.0)])
    graph.bind(operator.outputs[0], graph.add("Where", [beyond, _number(graph, 0.0), sampled]))


_PLAIN_MULTIPLICATION = CONVERSIONS["MUL"]

ATTENTION = {
    "Landmarks2TransformMatrix": _transform_matrix,
    "TransformTensorBilinear": _sampled_features,
    "TransformLandmarks": _transform_landmarks,
    "MUL": _scaled_matrix,
}
"""Conversions that the attention mesh needs beside, or instead of, the plain ones."""
