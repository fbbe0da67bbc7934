"""Faces are found at every size that the work shows, once each, and nowhere else."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from eyeline.reading import finder
from eyeline.reading.boxes import Box, Found
from eyeline.reading.finder import find_boxes
from eyeline.reading.silhouette import body_silhouette
from eyeline.reading.unexplained import unexplained
from eyeline.terms.frame import Picture
from tests.reading.shoot_pictures import FEW, painted, picture_of, scaled, truth

CANVAS = (1200, 1800)
"""Rows and columns of the wide frame that heads are pasted into."""

MOST_LOOKS = 4
"""The whole picture, about the head, below it, and one more where hair or backdrop deceive the silhouette."""


def pasted(
    file: str, head_height: float, across: float, above: float = 0.0
) -> tuple[Picture, tuple[float, float]]:
    """The sitter of `file` in a wide even frame, head `head_height` of it tall, `above` its bottom edge by so
    much; and where the eyes are.
    """
    person = truth()[file]["people"][0]
    head = person["head_box"][3] - person["head_box"][1]
    scale = head_height * CANVAS[0] / head
    small = scaled(picture_of(file).rgb, scale)
    frame = np.full((*CANVAS, 3), 128, np.uint8)
    left = round(across * (CANVAS[1] - small.shape[1]))
    top = CANVAS[0] - small.shape[0] - round(above * CANVAS[0])
    frame[top : top + small.shape[0], left : left + small.shape[1]] = small
    x = (person["pupil_left"][0] + person["pupil_right"][0]) / 2 * scale + left
    y = (person["pupil_left"][1] + person["pupil_right"][1]) / 2 * scale + top
    return painted(frame), (x, y)


def holds(box: Box, point: tuple[float, float]) -> bool:
    return box[0] < point[0] < box[2] and box[1] < point[1] < box[3]


@pytest.mark.parametrize("file", FEW)
@pytest.mark.parametrize("head_height", [0.055, 0.09])
def test_a_small_head_is_found_once_wherever_it_stands(file: str, head_height: float) -> None:
    for across in (0.03, 0.9):
        picture, eyes = pasted(file, head_height, across)
        boxes = [box for box, _ in find_boxes(picture)]
        assert sum(holds(box, eyes) for box in boxes) == 1, (across, boxes)


def test_one_small_head_is_found_in_few_looks_where_the_silhouette_begins(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each look costs as much as all else that is done to find a face; the regular tiles alone are 24."""
    looks: list[int] = []

    def counted(*where: Any) -> list[Found]:
        looks[-1] += 1
        return one_look(*where)

    one_look = finder._in_square
    monkeypatch.setattr(finder, "_in_square", counted)
    for file in FEW:
        for head_height in (0.055, 0.09):
            picture, eyes = pasted(file, head_height, 0.4)
            looks.append(0)
            boxes = [box for box, _ in find_boxes(picture, body_silhouette(picture))]
            assert sum(holds(box, eyes) for box in boxes) == 1, boxes
    assert np.median(looks) <= MOST_LOOKS, looks


@pytest.mark.parametrize("aside", [-0.06, 0.0, 0.06])
def test_somebody_shorter_in_front_is_found_too(aside: float) -> None:
    picture, eyes = pasted(FEW[0], 0.09, 0.4, above=0.2)
    person = truth()[FEW[1]]["people"][0]
    left, top, right, bottom = (round(edge) for edge in person["head_box"])
    scale = 0.07 * CANVAS[0] / (bottom - top)
    child = scaled(picture_of(FEW[1]).rgb[top : 2 * bottom - top, left:right], scale)
    x, y = round(eyes[0] + aside * CANVAS[0] - child.shape[1] / 2), round(eyes[1] + 0.13 * CANVAS[0])
    child = child[: CANVAS[0] - y]
    frame = picture.rgb.copy()
    frame[y : y + child.shape[0], x : x + child.shape[1]] = child
    both = painted(frame)
    assert len(find_boxes(both, body_silhouette(both))) == 2


@pytest.mark.parametrize("file", FEW)
def test_a_large_head_is_found_once(file: str) -> None:
    person = truth()[file]["people"][0]
    eyes = tuple(np.mean([person["pupil_left"], person["pupil_right"]], axis=0))
    ((box, score),) = find_boxes(picture_of(file))
    assert holds(box, eyes)
    assert 0.5 <= score <= 1


def test_two_faces_side_by_side_are_two_largest_first() -> None:
    large, small = picture_of(FEW[0]).rgb, scaled(picture_of(FEW[1]).rgb, 0.8)
    frame = np.full((large.shape[0], large.shape[1] + small.shape[1], 3), 100, np.uint8)
    frame[:, : large.shape[1]] = large
    frame[-small.shape[0] :, large.shape[1] :] = small
    boxes = [box for box, _ in find_boxes(painted(frame))]
    assert len(boxes) == 2
    assert boxes[0][3] - boxes[0][1] >= boxes[1][3] - boxes[1][1]


def test_a_body_without_a_face_of_its_own_is_looked_at_again() -> None:
    one = picture_of(FEW[0]).rgb
    gap = np.repeat(one[:1, :1].repeat(one.shape[0], 0), one.shape[1] // 2, 1)
    picture = painted(np.hstack([one, gap, one]))
    body = body_silhouette(picture)
    left, right = sorted(box for box, _ in find_boxes(picture, body))
    assert list(unexplained(picture, body, [left, right])) == []
    ((x, y, side),) = unexplained(picture, body, [left])
    assert x <= right[0] < right[2] <= x + side
    assert y <= right[1] < right[3] <= y + side


def test_a_face_that_the_edge_cuts_at_the_chin_is_found() -> None:
    person = truth()[FEW[0]]["people"][0]
    cut = picture_of(FEW[0]).rgb[: int(person["chin"][1]) - 10]
    assert len(find_boxes(painted(cut))) == 1


@pytest.mark.parametrize("seed", range(3))
def test_noise_and_stripes_hold_no_face(seed: int) -> None:
    random = np.random.default_rng(seed)
    noise = random.integers(0, 256, (600, 900, 3), dtype=np.uint8)
    coarse = scaled(random.integers(0, 256, (12, 18, 3), dtype=np.uint8), 50)
    stripes = np.tile(
        (np.arange(900) // (20 + 10 * seed) % 2 * 200).astype(np.uint8)[None, :, None], (600, 1, 3)
    )
    for texture in (noise, coarse, stripes):
        assert find_boxes(painted(texture)) == []
