"""The rectangles that are tried: the largest of each format, whole pixels, and where they may lie."""

import numpy as np
import pytest

from eyeline.cropping.search import coarse, finer, space, whole_size, windows
from eyeline.judging.rulebook import CropFormat
from tests.judging.photos import sitter

HEAD = sitter(0.34, 0.30, 0.45, 6000, 4000)


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
    """reference-values.md §3, each side within one pixel."""
    found = space(a_format(name), HEAD, *frame, crown_may_be_cut=False).largest_size
    assert found == pytest.approx(largest, abs=1)


@pytest.mark.parametrize("name", ["1:1", "4:5", "5:7", "2:3", "3:2", "16:9", "1200:630", "35:45", "9:16"])
def test_whole_pixels_keep_the_ratio(name: str) -> None:
    """reference-values.md §3: |w/h - a|/a at most 0.002 when the short side has 1000 pixels or more."""
    ratio = a_format(name).ratio
    for height in np.linspace(1000 * max(1, 1 / ratio), 5000, 97):
        wide, high = whole_size(float(height), ratio, 10**5, 10**5)
        if min(wide, high) >= 1000:
            assert abs(wide / high - ratio) / ratio <= 0.002


def test_every_rectangle_tried_lies_in_the_frame_and_holds_the_face() -> None:
    spaces = [space(a_format(name), HEAD, 6000, 4000, False) for name in ("1:1", "4:5", "16:9")]
    boxes, steps = coarse(spaces, HEAD)
    best = boxes[:, 17]
    for tried in (boxes, finer(best, steps, spaces)):
        left, top, width, height = windows(tried, spaces).T
        assert (left >= -1e-9).all() and (top >= -1e-9).all()
        assert (left + width <= 1 + 1e-9).all() and (top + height <= 1 + 1e-9).all()
    left, top, width, height = windows(boxes, spaces).T
    assert (left <= HEAD.head_left + 1e-9).all() and (left + width >= HEAD.head_right - 1e-9).all()
    assert (top + height >= HEAD.chin[1] - 1e-9).all()


def test_a_finer_round_tries_the_best_again() -> None:
    spaces = [space(a_format("4:5"), HEAD, 6000, 4000, False)]
    boxes, steps = coarse(spaces, HEAD)
    best = boxes[:, 100]
    assert np.isclose(finer(best, steps, spaces), best[:, None]).all(axis=-1).any()


def test_pixels_and_heads_set_the_smallest_size() -> None:
    small = space(a_format("4:5", 1600, 2000), HEAD, 6000, 4000, False)
    assert small.smallest == 2000
    by_head = space(a_format("4:5"), HEAD, 6000, 4000, False)
    assert by_head.smallest == pytest.approx(1.02 * 0.30 * 4000)
