"""The rectangles that are tried: the largest of each format, whole pixels, and where they may lie."""

import numpy as np
import pytest

from eyeline.cropping.search import Spaces, coarse, finer, spaces, whole_size, windows
from eyeline.judging.rulebook import CropFormat
from eyeline.measuring.sitters import sitters_of
from tests.judging.photos import sitter

HEAD = sitter(0.34, 0.30, 0.45, 6000, 4000)
SITTER = sitters_of([HEAD], [6000], [4000], [0])


def room_for(*formats: CropFormat, width: int = 6000, height: int = 4000) -> Spaces:
    return spaces(formats, sitters_of([HEAD], [width], [height], [0]), crown_may_be_cut=False)


def a_format(name: str, width: int = 1, height: int = 1) -> CropFormat:
    wide, high = map(int, name.split(":"))
    return CropFormat(name, wide / high, width, height)


@pytest.mark.parametrize(
    ("frame", "name", "largest"),
    [
        ((6000, 4000), "1:1", (4000, 4000)),
        ((6000, 4000), "4:5", (3200, 4000)),
        ((6000, 4000), "5:7", (2857, 4000)),
        ((6000, 4000), "2:3", (2667, 4000)),
        ((6000, 4000), "3:4", (3000, 4000)),
        ((6000, 4000), "16:9", (6000, 3375)),
        ((6000, 4000), "1200:630", (6000, 3150)),
        ((4000, 6000), "4:5", (4000, 5000)),
        ((4000, 6000), "16:9", (4000, 2250)),
    ],
)
def test_largest_crop_of_a_frame(frame: tuple[int, int], name: str, largest: tuple[int, int]) -> None:
    """published values, each side within one pixel."""
    shape = a_format(name)
    room = room_for(shape, width=frame[0], height=frame[1])
    assert whole_size(room.largest[0, 0], shape.ratio, *frame) == pytest.approx(largest, abs=1)


@pytest.mark.parametrize("name", ["1:1", "4:5", "5:7", "2:3", "3:2", "16:9", "1200:630", "35:45", "9:16"])
def test_whole_pixels_keep_the_ratio(name: str) -> None:
    """published values: |w/h - a|/a at most 0.002 when the short side has 1000 pixels or more."""
    ratio = a_format(name).ratio
    for height in np.linspace(1000 * max(1, 1 / ratio), 5000, 97):
        wide, high = whole_size(float(height), ratio, 10**5, 10**5)
        if min(wide, high) >= 1000:
            assert abs(wide / high - ratio) / ratio <= 0.002


def test_every_rectangle_tried_lies_in_the_frame_and_holds_the_face() -> None:
    room = room_for(*(a_format(name) for name in ("1:1", "4:5", "16:9")))
    boxes, steps = coarse(room, SITTER)
    for tried in (boxes, finer(boxes[:, :, 17], steps, room)):
        left, top, width, height = windows(tried, room)[0].T
        assert (left >= -1e-9).all() and (top >= -1e-9).all()
        assert (left + width <= 1 + 1e-9).all() and (top + height <= 1 + 1e-9).all()
    left, top, width, height = windows(boxes, room)[0].T
    assert (left <= HEAD.head_left + 1e-9).all() and (left + width >= HEAD.head_right - 1e-9).all()
    assert (top + height >= HEAD.chin[1] - 1e-9).all()


def test_a_finer_round_tries_the_best_again() -> None:
    room = room_for(a_format("4:5"))
    boxes, steps = coarse(room, SITTER)
    best = boxes[:, :, 100]
    assert np.isclose(finer(best, steps, room), best[:, :, None]).all(axis=-1).any()


def test_pixels_and_heads_set_the_smallest_size() -> None:
    room = room_for(a_format("4:5", 1600, 2000), a_format("4:5"), a_format("4:5", 4000, 5000))
    assert room.possible.tolist() == [[True, True, False]]
    assert room.smallest[0, :2] == pytest.approx([2000, 1.02 * 0.30 * 4000])
