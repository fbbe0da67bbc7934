"""One detection a face, blended by scores."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.reading.suppression import once_each


def boxes(*corners: tuple[float, float, float, float]) -> np.ndarray:
    return np.array(corners, float).reshape(-1, 2, 2)


def test_detections_of_one_face_are_averaged_by_their_scores() -> None:
    ((points, score),) = once_each(boxes((0, 0, 10, 10), (1, 0, 11, 10)), np.array([0.3, 0.9]))
    np.testing.assert_allclose(points, [[0.75, 0], [10.75, 10]])
    assert score == 0.9


def test_faces_that_share_a_little_stay_two_best_first() -> None:
    """Overlap 2 of 18: a ninth."""
    found = once_each(boxes((0, 0, 10, 1), (8, 0, 18, 1)), np.array([0.7, 0.8]))
    assert [score for _, score in found] == [0.8, 0.7]


def test_what_a_neighbour_took_is_not_shared_again() -> None:
    """A chain: the middle box overlaps both others, which do not overlap each other."""
    found = once_each(boxes((0, 0, 10, 1), (4, 0, 14, 1), (8, 0, 18, 1)), np.array([0.9, 0.8, 0.7]))
    assert [score for _, score in found] == [0.9, 0.7]
    np.testing.assert_allclose(found[1][0], [[8, 0], [18, 1]])


def test_nothing_found_is_nothing() -> None:
    assert once_each(np.empty((0, 8, 2)), np.empty(0)) == []


def test_a_box_without_area_is_a_face_of_its_own() -> None:
    assert len(once_each(boxes((5, 5, 5, 5), (0, 0, 10, 10)), np.array([0.9, 0.8]))) == 2


corner = st.floats(0, 100)


@given(
    st.lists(st.tuples(corner, corner, st.floats(1, 50), st.floats(1, 50), st.floats(0.5, 1)), max_size=12)
)
def test_every_detection_belongs_to_one_face_and_the_best_leads(detections: list[tuple[float, ...]]) -> None:
    points = boxes(*((x, y, x + w, y + h) for x, y, w, h, _ in detections))
    scores = np.array([each[4] for each in detections])
    found = once_each(points, scores)
    assert len(found) <= len(detections)
    assert [score for _, score in found] == sorted((score for _, score in found), reverse=True)
    if detections:
        assert found[0][1] == pytest.approx(scores.max())
    for place, _ in found:
        assert (place >= points.min(axis=0) - 1e-9).all()
        assert (place <= points.max(axis=0) + 1e-9).all()
