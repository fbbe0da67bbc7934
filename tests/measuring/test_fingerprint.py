"""The hash of the picture's layout, and the colours of backdrop and clothes."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from eyeline.measuring.fingerprint import MEASURE, brought_down, cielab, difference_hash
from eyeline.measuring.take import take
from eyeline.terms.face import Face, Seen, Silhouette
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import FrameSubject, Measurement
from tests.measuring.subjects import POINTS, frame_subject, sitter

skimage_color = pytest.importorskip("skimage.color")
HEIGHT, WIDTH = 600, 480
BACKDROP, SHIRT, FACE = (120, 140, 170), (150, 40, 50), (200, 150, 120)


def distance(one: str, other: str) -> int:
    return (int(one, 16) ^ int(other, 16)).bit_count()


def grey(rows: NDArray[np.float64]) -> NDArray[np.uint8]:
    return np.repeat(rows[:, :, None], 3, axis=2).astype(np.uint8)


def sitting(stops: float = 0.0, person: bool = True) -> FrameSubject:
    """A shirt below a face before one backdrop; light changed by `stops`."""
    rgb = np.empty((HEIGHT, WIDTH, 3), np.uint8)
    rgb[:] = BACKDROP
    probability = np.zeros((HEIGHT // 2, WIDTH // 2), np.float32)
    if person:
        cv2.ellipse(rgb, (240, 180), (72, 90), 0, 0, 360, FACE, -1)
        rgb[300:, 100:380] = SHIRT
        probability[45:135, 84:156] = 1
        probability[135:, 50:190] = 1
    if stops:
        linear = (rgb / 255.0) ** 2.2 * 2.0**stops
        rgb = np.clip(255 * linear ** (1 / 2.2), 0, 255).astype(np.uint8)
    face = Face((168.0, 90.0, 312.0, 270.0), None, 1.0)
    body = Silhouette(probability, 0, 0, WIDTH, HEIGHT)
    seen = Seen((face,), face, "", None, body) if person else Seen((), None, "", None, None)
    return frame_subject(Picture(rgb, rgb), seen, sitter(points=POINTS) if person else None)


def measured(subject: FrameSubject) -> dict[str, Measurement]:
    return take(subject, (MEASURE,))[0]


def colour(found: dict[str, Measurement], what: str) -> list[float]:
    values = [found[f"{what}_{axis}"].value for axis in ("lightness", "a", "b")]
    assert all(isinstance(value, float) for value in values)
    return values  # type: ignore[return-value]


def test_ramps_are_the_extremes_of_the_hash() -> None:
    """Worked example: a rising ramp gives all ones, a falling one all zeros, distance 64 (exact)."""
    rising = grey(np.tile(np.linspace(0, 255, 90), (80, 1)))
    falling = np.ascontiguousarray(rising[:, ::-1])
    assert difference_hash(rising) == "ffffffffffffffff"
    assert difference_hash(falling) == "0000000000000000"
    assert distance(difference_hash(rising), difference_hash(falling)) == 64


def test_a_small_change_is_near_and_another_picture_is_far() -> None:
    """Measured elsewhere on a portrait: blur of 3 px 1 bit, brightness 2; other pictures 25 to 36."""
    photo = pytest.importorskip("skimage.data").astronaut()
    hashed = difference_hash(photo)
    assert distance(hashed, difference_hash(cv2.GaussianBlur(photo, (0, 0), 3))) <= 2
    assert distance(hashed, difference_hash(np.clip(photo * 1.25, 0, 255).astype(np.uint8))) <= 4
    assert distance(hashed, difference_hash(cv2.resize(photo, None, fx=0.5, fy=0.5))) <= 2
    assert distance(hashed, difference_hash(np.ascontiguousarray(photo[:, ::-1]))) >= 25


def test_colours_are_those_that_a_second_reader_computes() -> None:
    colours = np.array([[BACKDROP, SHIRT, FACE, (0, 0, 0), (255, 255, 255)]], np.uint8)
    assert np.allclose(cielab(colours), skimage_color.rgb2lab(colours), atol=0.25)


def test_backdrop_and_clothes_are_told_apart() -> None:
    found = measured(sitting())
    assert np.allclose(
        colour(found, "background"), skimage_color.rgb2lab(np.uint8([[BACKDROP]]))[0, 0], atol=0.3
    )
    assert np.allclose(colour(found, "clothes"), skimage_color.rgb2lab(np.uint8([[SHIRT]]))[0, 0], atol=0.3)


def test_less_light_darkens_the_backdrop_and_keeps_its_hue() -> None:
    even, dark = (colour(measured(sitting(stops)), "background") for stops in (0.0, -1.5))
    assert dark[0] < even[0] - 10
    assert np.arctan2(dark[2], dark[1]) == pytest.approx(np.arctan2(even[2], even[1]), abs=0.1)


def test_without_a_sitter_only_the_hash_is_told() -> None:
    found = measured(sitting(person=False))
    assert found["picture_hash"].value is not None
    assert {name for name, each in found.items() if each.value is None} == {
        quantity.name for quantity in MEASURE.quantities[1:]
    }


def test_a_tiny_or_long_picture_is_hashed_too() -> None:
    for shape in ((1, 1, 3), (3, 1000, 3), (1000, 3, 3)):
        rgb = np.zeros(shape, np.uint8)
        found = measured(frame_subject(Picture(rgb, rgb)))
        assert found["picture_hash"].value == "0" * 16


@pytest.mark.parametrize("long_side", [100, 300, 500, 700, 1000, 1024])
def test_a_picture_is_brought_down_as_opencv_averages_it(long_side: int) -> None:
    rgb = np.random.default_rng(long_side).integers(0, 256, (long_side * 2 // 3, long_side, 3))
    rgb = rgb.astype(np.uint8)
    factor = max(1, long_side // 128)
    height, width = rgb.shape[0] // factor, rgb.shape[1] // factor
    whole = rgb[: factor * height, : factor * width]
    expected = cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA)
    assert np.array_equal(brought_down(rgb), expected)
