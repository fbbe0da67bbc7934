"""One detection a face: those that overlap are averaged, weighted by their scores.

Blended non-maximum suppression as in BlazeFace (Bazarevsky et al. 2019, section 3.3), in the form of
mediapipe's NonMaxSuppressionCalculator with the algorithm WEIGHTED.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

SAME_FACE = 0.3
"""Intersection over union from which two boxes show one face (the detectors' own setting)."""


def once_each(
    points: NDArray[np.float64], scores: NDArray[np.float64]
) -> list[tuple[NDArray[np.float64], float]]:
    """Points and score of every face, best first.

    `points`: (n, m, 2), of which the first two are the box's top left and bottom right corners; `scores`:
    (n,). The points of a face are the mean of those of all detections that overlap its best, the score is
    the best's.
    """
    order = np.argsort(-scores, kind="stable")
    faces = []
    while order.size:
        overlaps = _intersection_over_union(points[order[0]], points[order]) > SAME_FACE
        overlaps[0] = True  # a box without area overlaps nothing, not even itself
        same = order[overlaps]
        weights = scores[same] / scores[same].sum()
        faces.append((np.tensordot(weights, points[same], axes=1), float(scores[order[0]])))
        order = order[~overlaps]
    return faces


def _intersection_over_union(one: NDArray[np.float64], others: NDArray[np.float64]) -> NDArray[np.float64]:
    least = np.maximum(one[0], others[:, 0])
    most = np.minimum(one[1], others[:, 1])
    shared = np.maximum(most - least, 0).prod(axis=1)
    areas = np.maximum(others[:, 1] - others[:, 0], 0).prod(axis=1)
    union = areas + float(np.maximum(one[1] - one[0], 0).prod()) - shared
    return np.asarray(np.divide(shared, union, out=np.zeros_like(shared), where=union > 0))
