"""Framing and the calm space beside the sitter: where a text may stand."""

from dataclasses import replace

import pytest

from eyeline.terms.rectangle import Rectangle
from tests.measuring.test_framing import SITTER, at


def test_calm_rectangles_are_cut_to_the_window_and_to_three_to_one() -> None:
    assert at(SITTER, (0.5, 0.0, 0.5, 1.0))["copy_space_right"] == pytest.approx(0.30 * 0.80 / 0.5)
    strip = replace(SITTER, calm=(Rectangle(0.6, 0.1, 0.35, 0.12),))
    # 0.35 of 3 wide, 0.12 of 2 high = 4.4:1 in pixels: only 0.24 of its width counts
    assert at(strip)["copy_space_right"] == pytest.approx(0.24 * 0.12)
    assert at(strip)["copy_space"] == "none"
    both = replace(SITTER, calm=(Rectangle(0.05, 0.05, 0.25, 0.6), Rectangle(0.6, 0.1, 0.3, 0.8)))
    assert at(both)["copy_space"] == "both"
    assert at(replace(SITTER, calm=(Rectangle(0.05, 0.05, 0.25, 0.6),)))["copy_space"] == "left"


def test_a_crop_leaves_its_own_margin_about_a_text() -> None:
    """5 % of the window stays free along each of its edges, here 0.0175 on the left."""
    found = at(SITTER, (0.65, 0.0, 0.35, 1.0))
    assert found["copy_space_right"] == pytest.approx((0.90 - 0.6675) * 0.80 / 0.35)


def test_a_rectangle_too_narrow_for_a_line_is_no_copy_space_but_may_be_in_a_crop() -> None:
    narrow = replace(SITTER, calm=(Rectangle(0.05, 0.05, 0.15, 0.9),))
    assert (at(narrow)["copy_space"], at(narrow)["copy_space_left"]) == ("none", 0)
    crop = at(narrow, (0.0, 0.0, 0.6, 1.0))
    # 0.15 of 3 wide and three times as high, 0.675 of 2, in 0.6 of the frame
    assert (crop["copy_space"], crop["copy_space_left"]) == ("left", pytest.approx(0.15 * 0.675 / 0.6))
