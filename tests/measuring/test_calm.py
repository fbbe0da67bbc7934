"""Calm rectangles: real rectangles, beside the sitter, on which one colour of text can be read."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import linalg, ndimage

from eyeline.measuring import copy_space
from eyeline.measuring.calm import SAFE_MARGIN, calm_rectangles, maximal_blocks, relief
from eyeline.measuring.framing import COPY_SPACE_SHARE
from eyeline.terms.face import Seen
from eyeline.terms.rectangle import Rectangle
from tests.reading.shoot_pictures import painted, picture_of, points_of, seen_in, subject

NOBODY = Seen((), None, "no face was found", None, None)
MIDDLE = (0.4, 0.6)
"""A head in the middle of the frame, so that both sides have 40 %."""

WHOLE_SIDE = (0.4 - SAFE_MARGIN) * (1 - 2 * SAFE_MARGIN)
"""What an empty side of 40 % leaves within the safe margin."""


def grey(level: int, height: int = 600, width: int = 900) -> np.ndarray:
    return np.full((height, width, 3), level, np.uint8)


def largest(rectangles: tuple[Rectangle, ...]) -> float:
    return max((each.width * each.height for each in rectangles), default=0.0)


@given(arrays(np.bool_, st.tuples(st.integers(1, 7), st.integers(1, 7))))
def test_the_largest_block_is_the_largest_that_brute_force_finds(free: np.ndarray) -> None:
    rows, columns = free.shape
    best = max(
        (
            (bottom - top) * (right - left)
            for top in range(rows)
            for bottom in range(top + 1, rows + 1)
            for left in range(columns)
            for right in range(left + 1, columns + 1)
            if free[top:bottom, left:right].all()
        ),
        default=0,
    )
    blocks = maximal_blocks(free)
    assert max((width * height for _, _, width, height in blocks.tolist()), default=0) == best
    for left, top, width, height in blocks.tolist():
        assert free[top : top + height, left : left + width].all()


@pytest.mark.parametrize("level", [0, 60, 200, 255])
def test_an_even_frame_is_calm_on_both_sides_of_the_head(level: int) -> None:
    rectangles = calm_rectangles(painted(grey(level)), NOBODY, MIDDLE)
    left = [each for each in rectangles if each.right <= MIDDLE[0]]
    right = [each for each in rectangles if each.left >= MIDDLE[1]]
    assert len(left) + len(right) == len(rectangles)
    assert largest(tuple(left)) == pytest.approx(WHOLE_SIDE, abs=0.01)
    assert largest(tuple(right)) == pytest.approx(WHOLE_SIDE, abs=0.01)


def test_the_worst_decile_decides_not_the_mean() -> None:
    """Half black, half white (reference values, section 4): black text reaches 11:1 on the mean, yet 1:1 on
    half of the area; in stripes as fine as letters nothing is left, not even the halves."""
    striped = grey(0)
    striped[:, (np.arange(900) // 6) % 2 == 0] = 255
    assert calm_rectangles(painted(striped), NOBODY, MIDDLE) == ()
    assert copy_space.text_contrast(painted(striped), Rectangle(0, 0, 0.4, 1)) == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize(("level", "ratio"), [(0x59, 7.004729), (0x80, 5.317210), (0x94, 21 / 3.033470)])
def test_contrast_on_an_even_area_is_that_of_wcag(level: int, ratio: float) -> None:
    """Contrast with the better of black and white, by WCAG 2.2; black's is 21 over white's."""
    assert copy_space.text_contrast(painted(grey(level)), Rectangle(0, 0, 0.5, 1)) == pytest.approx(
        ratio, abs=1e-4
    )


def test_one_bright_speck_does_not_spoil_a_wall_but_a_bright_half_does() -> None:
    wall = grey(40)
    wall[280:320, 100:140] = 60
    assert largest(calm_rectangles(painted(wall), NOBODY, MIDDLE)) == pytest.approx(WHOLE_SIDE, abs=0.01)
    wall[:300] = 230
    assert largest(calm_rectangles(painted(wall), NOBODY, MIDDLE)) < 0.6 * WHOLE_SIDE


def test_texture_is_not_calm() -> None:
    random = np.random.default_rng(5)
    texture = grey(200)
    texture[:, :360] = np.kron(
        random.integers(80, 256, (60, 36, 1), dtype=np.uint8), np.ones((10, 10, 3), np.uint8)
    )
    rectangles = calm_rectangles(painted(texture), NOBODY, MIDDLE)
    assert rectangles
    assert all(each.left >= MIDDLE[1] for each in rectangles)


@pytest.mark.parametrize("ends", [(20, 110), (190, 250)])
def test_light_that_falls_off_over_a_backdrop_is_calm(ends: tuple[int, int]) -> None:
    """A ramp over the whole width and the pool of a lamp: black or white text stays legible all over."""
    ramp = np.linspace(*ends, 900)[None, :].repeat(600, 0)
    y, x = np.mgrid[-1:1:600j, -1:1:900j]
    pool = ends[0] + (ends[1] - ends[0]) * np.exp(-(x**2 + y**2))
    for light in (ramp, pool):
        drawn = np.rint(light)[..., None].repeat(3, 2).astype(np.uint8)
        rectangles = calm_rectangles(painted(drawn), NOBODY, MIDDLE)
        for side in ([r for r in rectangles if r.right <= 0.5], [r for r in rectangles if r.left >= 0.5]):
            assert largest(tuple(side)) == pytest.approx(WHOLE_SIDE, abs=0.02)


@pytest.mark.parametrize("sigma_px", [8, 20])
def test_clutter_is_no_calm_ground_however_far_out_of_focus(sigma_px: float) -> None:
    """Boxes of 60 px on a shelf, 50 levels apart, blurred until no edge is left (SciPy)."""
    boxes = np.random.default_rng(3).choice([170, 220], (10, 15)).repeat(60, 0).repeat(60, 1)
    blurred = ndimage.gaussian_filter(boxes.astype(float), sigma_px)
    drawn = np.rint(blurred)[..., None].repeat(3, 2).astype(np.uint8)
    assert largest(calm_rectangles(painted(drawn), NOBODY, MIDDLE)) < COPY_SPACE_SHARE


@given(arrays(np.float32, st.tuples(st.integers(4, 12), st.integers(4, 12)), elements=st.integers(0, 255)))
def test_relief_is_what_least_squares_leave(lightness: np.ndarray) -> None:
    """SciPy's least squares with the six terms of a surface of second degree as the second opinion."""
    rows, columns = lightness.shape
    y, x = (each.ravel() for each in np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j])
    surface = np.stack([np.ones_like(x), x, y, x * x, y * y, x * y], axis=1)
    levels = lightness.ravel().astype(float)
    left = levels - surface @ linalg.lstsq(surface, levels)[0]
    assert relief(lightness) == pytest.approx(float(np.sqrt((left**2).mean())), abs=0.01)


@pytest.mark.parametrize(
    ("height", "width", "head"), [(300, 1800, (0.45, 0.5)), (1800, 400, (0.7, 1.0)), (800, 1200, (0.1, 0.3))]
)
def test_every_rectangle_is_between_1_to_3_and_3_to_1(
    height: int, width: int, head: tuple[float, float]
) -> None:
    for each in calm_rectangles(painted(grey(220, height, width)), NOBODY, head):
        aspect = each.width * width / (each.height * height)
        assert 1 / 3.1 < aspect < 3.1


@pytest.mark.parametrize(
    ("file", "word"),
    [("NL1_1031.jpg", "right"), ("NL1_1043.jpg", "left"), ("NL1_1056.jpg", "left"), ("NL1_1046.jpg", "none")],
)
def test_frames_of_the_shoot_composed_for_copy_have_it_on_that_side(file: str, word: str) -> None:
    """The truth names the empty side; NL1_1046 is off centre before busy foliage."""
    points, picture = points_of(file), picture_of(file)
    answers = copy_space.MEASURE.function(subject(picture, seen_in(file), points))
    by_name = {each.name: each.value for each in answers}
    assert by_name["copy_space"] == word
    if word != "none":
        assert by_name["copy_space_contrast"] >= 4.5
        assert by_name[f"copy_space_{word}"] >= 0.25


def test_no_rectangle_touches_the_sitter() -> None:
    for file in ("NL1_1031.jpg", "NL1_1043.jpg", "NL1_1056.jpg"):
        points, body = points_of(file), seen_in(file).body
        assert body is not None
        rows, columns = body.probability.shape
        assert points.calm
        for each in points.calm:
            inside = body.probability[
                int(each.top * rows) : int(each.bottom * rows),
                int(each.left * columns) : int(each.right * columns),
            ]
            assert (inside > 0.5).mean() < 0.001
