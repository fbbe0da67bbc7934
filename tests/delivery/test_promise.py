"""What is promised of a crop, and when it is broken."""

from __future__ import annotations

import pytest

from eyeline.delivery.promise import Promise, broken, promise
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle

POINTS = Points((0.45, 0.40), (0.55, 0.40), (0.5, 0.55), False, 0.25, False, None, 0.4, 0.6)


def test_a_promise_is_arithmetic_on_the_points() -> None:
    # By hand: the crop is half the height from a tenth; eyes at 0.40 → 0.6, head 0.30 → 0.6 of it.
    found = promise(POINTS, Rectangle(0.25, 0.1, 0.5, 0.5), (1000, 1500), 2.0, 0.5)
    assert (found.eye_line, found.head_height) == (pytest.approx(0.6), pytest.approx(0.6))
    assert found.eye_blur_px == pytest.approx((1.0**2 + 0.5**2) ** 0.5)


def test_half_a_percent_of_the_eye_line_is_the_limit() -> None:
    promised = Promise(0.4, 0.3, 1.0)
    kept = {"eye_line": 0.4049, "head_height": 0.31, "eye_blur_px": 1.3}
    assert broken(promised, kept) == []
    assert len(broken(promised, kept | {"eye_line": 0.4051})) == 1
    assert len(broken(promised, {"eye_line": 0.39, "head_height": 0.33, "eye_blur_px": 2.0})) == 3
    assert broken(promised, {"eye_line": None, "head_height": None, "eye_blur_px": None}) == []
