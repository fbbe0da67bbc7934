"""Calm rectangles: real rectangles, beside the sitter, on which one colour of text can be read."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage
from skimage import color

from eyeline.measuring import copy_space
from eyeline.measuring.calm import calm_rectangles
from eyeline.measuring.eye_network import sitters_eyes
from eyeline.measuring.framing import COPY_SPACE_SHARE, COPY_SPACES, SAFE_MARGIN, framing
from eyeline.measuring.points import sitter_points
from eyeline.reading.look import look
from eyeline.terms.face import Face, Seen
from eyeline.terms.rectangle import Rectangle
from tests.reading.shoot_pictures import painted, picture_of, points_of, seen_in, subject

NOBODY = Seen((), None, "no face was found", None, None)
MIDDLE = (0.4, 0.6)
"""A head in the middle of the frame, so that both sides have 40 %."""

WHOLE_SIDE = (0.4 - 2 * SAFE_MARGIN) * (1 - 2 * SAFE_MARGIN)
"""What an empty side of 40 % leaves within the margins."""


def grey(level: float, height: int = 600, width: int = 900) -> np.ndarray:
    return np.full((height, width, 3), level, np.uint8)


def drawn(levels: np.ndarray) -> np.ndarray:
    """Grey levels (m, n) as an 8-bit picture."""
    return np.rint(np.clip(levels, 0, 255)).astype(np.uint8)[..., None].repeat(3, 2)


def largest(rectangles: tuple[Rectangle, ...]) -> float:
    return max((each.width * each.height for each in rectangles), default=0.0)


def sides(rgb: np.ndarray, seen: Seen = NOBODY, head: tuple[float, float] = MIDDLE) -> tuple[float, float]:
    """Largest calm rectangle left and right of the head."""
    rectangles = calm_rectangles(painted(rgb), seen, head)
    left = tuple(each for each in rectangles if each.right <= head[0])
    right = tuple(each for each in rectangles if each.left >= head[1])
    assert len(left) + len(right) == len(rectangles)
    return largest(left), largest(right)


def cluttered(boxes: int, seed: int = 4) -> np.ndarray:
    """A light wall with so many dark boxes on it; each number of boxes holds those of every smaller one."""
    random, wall = np.random.default_rng(seed), grey(215)
    for _ in range(boxes):
        x, y, width, height = random.integers((0, 0, 20, 20), (860, 560, 120, 120))
        wall[y : y + height, x : x + width] = random.integers(20, 160)
    return wall


@pytest.mark.parametrize("level", [0, 60, 118, 200, 255])
def test_an_even_frame_is_calm_on_both_sides_of_the_head(level: int) -> None:
    """Middle grey too: from 0.175 to 0.183 of luminance black and white text both reach 4.5:1 (WCAG)."""
    assert sides(grey(level)) == pytest.approx((WHOLE_SIDE, WHOLE_SIDE), abs=1e-6)


def test_the_worst_decile_decides_not_the_mean() -> None:
    """Half black, half white (reference values, section 4): black text reaches 11:1 on the mean, yet 1:1 on
    half of the area; in stripes as fine as letters nothing is left, not even the halves."""
    striped = grey(0)
    striped[:, (np.arange(900) // 6) % 2 == 0] = 255
    assert calm_rectangles(painted(striped), NOBODY, MIDDLE) == ()
    assert copy_space.text_contrast(painted(striped), Rectangle(0, 0, 0.4, 1)) == pytest.approx(1.0, abs=0.01)


def test_grain_about_middle_grey_leaves_neither_black_nor_white_text() -> None:
    """WCAG's borders, 0.175 and 0.183, are the levels 117 and 119: of grain of 25 levels more than a tenth
    lies beyond either, while about a light grey no pixel of it does."""
    grain = np.random.default_rng(2).normal(0, 25, (600, 900))
    assert sides(drawn(118 + grain)) == (0, 0)
    assert sides(drawn(200 + grain / 4)) == pytest.approx((WHOLE_SIDE, WHOLE_SIDE), abs=0.01)


@pytest.mark.parametrize(("level", "ratio"), [(0x59, 7.004729), (0x80, 5.317210), (0x94, 21 / 3.033470)])
def test_contrast_on_an_even_area_is_that_of_wcag(level: int, ratio: float) -> None:
    """Contrast with the better of black and white, by WCAG 2.2; black's is 21 over white's."""
    assert copy_space.text_contrast(painted(grey(level)), Rectangle(0, 0, 0.5, 1)) == pytest.approx(
        ratio, abs=1e-4
    )


def test_one_bright_speck_does_not_spoil_the_contrast_but_a_bright_half_does() -> None:
    wall = grey(40)
    wall[280:320, 100:140] = 46
    assert sides(wall)[0] == pytest.approx(WHOLE_SIDE, abs=0.01)
    wall[:300] = 230
    assert 0.3 * WHOLE_SIDE < sides(wall)[0] < 0.6 * WHOLE_SIDE


def test_where_text_is_legible_on_a_part_that_part_is_found() -> None:
    """Smooth light from 60 to 200 across the left side: white text reaches 4.5:1 up to level 119, which is
    42 % of the way, and a tenth of the rectangle may be lighter."""
    ramp = np.interp(np.arange(900), (45, 315), (60, 200))
    legible = (119 - 60) / (200 - 60) / 0.9
    assert sides(drawn(ramp[None].repeat(600, 0)))[0] >= 0.9 * max(legible, 1 - legible) * WHOLE_SIDE


def test_texture_is_not_calm() -> None:
    random = np.random.default_rng(5)
    texture = grey(200)
    texture[:, :360] = np.kron(
        random.integers(80, 256, (60, 36, 1), dtype=np.uint8), np.ones((10, 10, 3), np.uint8)
    )
    assert sides(texture) == pytest.approx((0, WHOLE_SIDE), abs=0.01)


@pytest.mark.parametrize("ends", [(20, 110), (190, 250)])
def test_light_that_falls_off_over_a_backdrop_is_calm(ends: tuple[int, int]) -> None:
    """A ramp over the whole width, the pool of a lamp, a lens's cos⁴ at 40°: text stays legible all over."""
    y, x = np.mgrid[-1:1:600j, -1.5:1.5:900j]
    ramp = (x + 1.5) / 3
    pool = np.exp(-(x**2 / 2.25 + y**2))
    vignette = (1 / (1 + (x**2 + y**2) * np.tan(np.radians(40)) ** 2 / 3.25)) ** 2
    for light in (ramp, pool, vignette):
        levels = drawn(ends[0] + (ends[1] - ends[0]) * light)
        assert sides(levels) == pytest.approx((WHOLE_SIDE, WHOLE_SIDE), abs=0.02)


@pytest.mark.parametrize("sigma_px", [8, 20])
def test_clutter_is_no_calm_ground_however_far_out_of_focus(sigma_px: float) -> None:
    """Boxes of 60 px on a shelf, 50 levels apart, blurred until no edge is left (SciPy)."""
    boxes = np.random.default_rng(3).choice([170, 220], (10, 15)).repeat(60, 0).repeat(60, 1)
    assert max(sides(drawn(ndimage.gaussian_filter(boxes.astype(float), sigma_px)))) < COPY_SPACE_SHARE


def test_things_of_another_colour_are_clutter_though_equally_light() -> None:
    """Boxes in two hues of one lightness, L* 70 (scikit-image)."""
    hues = np.random.default_rng(6).choice([-20.0, 20.0], (10, 15)).repeat(60, 0).repeat(60, 1)
    lab = np.dstack([np.full_like(hues, 70), hues, np.zeros_like(hues)])
    assert max(sides(np.rint(255 * color.lab2rgb(lab)).astype(np.uint8))) < COPY_SPACE_SHARE


@pytest.mark.parametrize("noise_levels", [3, 8])
@pytest.mark.parametrize("quality", [40, 90])
def test_noise_and_compression_do_not_spoil_a_wall(noise_levels: float, quality: int) -> None:
    wall = drawn(
        np.linspace(170, 210, 900)[None] + np.random.default_rng(1).normal(0, noise_levels, (600, 900))
    )
    file = io.BytesIO()
    Image.fromarray(wall).save(file, "JPEG", quality=quality)
    assert sides(np.asarray(Image.open(file))) == pytest.approx((WHOLE_SIDE, WHOLE_SIDE), abs=0.01)


@pytest.mark.parametrize("scale", [0.3, 0.7, 5])
def test_scale_changes_nothing(scale: float) -> None:
    one = cluttered(3)
    other = np.asarray(
        Image.fromarray(one).resize((round(900 * scale), round(600 * scale)), Image.Resampling.BOX)
    )
    assert sides(other) == pytest.approx(sides(one), abs=0.02)
    assert 0 < max(sides(one)) < WHOLE_SIDE


@pytest.mark.parametrize("boxes", [1, 2, 4])
def test_a_mirror_swaps_the_sides(boxes: int) -> None:
    one = cluttered(boxes)
    assert sides(one[:, ::-1]) == pytest.approx(sides(one)[::-1], abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_more_clutter_never_enlarges_a_rectangle(seed: int) -> None:
    found = [sides(cluttered(boxes, seed)) for boxes in range(7)]
    for fewer, more in pairwise(found):
        assert more[0] <= fewer[0] + 1e-9 and more[1] <= fewer[1] + 1e-9
    assert found[0] > found[-1]


@pytest.mark.parametrize(
    ("height", "width", "head"), [(300, 1200, (0.45, 0.5)), (1800, 400, (0.7, 1.0)), (800, 1200, (0.1, 0.3))]
)
def test_every_rectangle_is_between_1_to_3_and_3_to_1(
    height: int, width: int, head: tuple[float, float]
) -> None:
    rectangles = calm_rectangles(painted(grey(220, height, width)), NOBODY, head)
    assert rectangles
    for each in rectangles:
        aspect = each.width * width / (each.height * height)
        assert 1 / 3 - 1e-9 < aspect < 3 + 1e-9
        assert each.left > SAFE_MARGIN - 1e-9 and each.right < 1 - SAFE_MARGIN + 1e-9
        assert each.top > SAFE_MARGIN - 1e-9 and each.bottom < 1 - SAFE_MARGIN + 1e-9


@pytest.mark.parametrize(("height", "width"), [(1, 1), (2, 90), (2000, 20), (30, 3000), (16, 16)])
@pytest.mark.parametrize("head", [MIDDLE, (-0.2, 0.1), (0.9, 1.3), (1.0, 1.0)])
def test_slivers_and_heads_at_the_edge_are_no_obstacle(
    height: int, width: int, head: tuple[float, float]
) -> None:
    for each in calm_rectangles(painted(grey(220, height, width)), NOBODY, head):
        assert each.width > 0 and each.height > 0
        assert each.right <= head[0] or each.left >= head[1]


def test_another_face_is_no_place_for_text() -> None:
    face = Face((80, 200, 180, 330), None, 0.9)
    alone, together = sides(grey(220)), sides(grey(220), Seen((face,), None, "", None, None))
    assert together[1] == alone[1]
    assert together[0] < 0.7 * alone[0]


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


def test_room_above_the_shoulders_is_not_beside_the_sitter() -> None:
    """NL1_1000 is composed in the middle of plain paper: the truth names no empty side."""
    points, picture, seen = points_of("NL1_1000.jpg"), picture_of("NL1_1000.jpg"), seen_in("NL1_1000.jpg")
    (word, *_) = copy_space.MEASURE.function(subject(picture, seen, points))
    assert word.value == "none"
    head_only = calm_rectangles(picture, replace(seen, body=None), (points.head_left, points.head_right))
    assert largest(head_only) > COPY_SPACE_SHARE


def test_no_rectangle_stands_in_a_column_of_the_sitter() -> None:
    for file in ("NL1_1031.jpg", "NL1_1043.jpg", "NL1_1056.jpg"):
        points, body = points_of(file), seen_in(file).body
        assert body is not None
        columns = body.probability.shape[1]
        assert points.calm
        for each in points.calm:
            beside = body.probability[:, int(each.left * columns) : int(each.right * columns)]
            assert (beside > 0.5).mean() < 0.001


@pytest.mark.parametrize(
    ("file", "window"),
    [
        ("NL1_1031.jpg", (0.0, 0.05, 0.9, 0.9)),
        ("NL1_1043.jpg", (0.2, 0.1, 0.8, 0.8)),
        ("NL1_1056.jpg", (0.15, 0.05, 0.85, 0.85)),
    ],
)
def test_a_crop_promises_no_copy_space_that_the_cropped_file_has_not(
    file: str, window: tuple[float, float, float, float]
) -> None:
    """The pixels cut out and looked at anew, against arithmetic on the frame's points."""
    picture = picture_of(file)
    left, top, width, height = window
    x, y = round(left * picture.width), round(top * picture.height)
    inside = picture.rgb[y : y + round(height * picture.height), x : x + round(width * picture.width)]
    cropped = painted(inside)
    seen = look(cropped)
    found = framing(points_of(file), np.array([window]), picture.width, picture.height)
    anew = sitter_points(cropped, seen, sitters_eyes(cropped, seen))
    word, *shares, _ = copy_space.MEASURE.function(subject(cropped, seen, anew))
    assert word.value == COPY_SPACES[int(found["copy_space"][0])]
    for side, share in zip(("left", "right"), shares, strict=True):
        # A crop knows only what lies in it of the frame's largest rectangles: rather too little.
        predicted = float(found[f"copy_space_{side}"][0])
        assert share.value - 0.1 < predicted < share.value + 0.02
