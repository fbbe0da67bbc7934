"""The camera's height and its distance."""

from __future__ import annotations

from dataclasses import replace

import pytest

from eyeline.measuring import camera_height, subject_distance
from eyeline.terms.frame import Capture
from eyeline.terms.measurement import Measurement
from tests.reading.shoot_pictures import FEW, picture_of, points_of, seen_in, subject, truth


@pytest.mark.parametrize(
    ("pitch_deg", "word"),
    [(-15, "high"), (-10, "high"), (-8, "level"), (0, "level"), (8, "level"), (10, "low")],
)
def test_a_camera_that_looks_up_stands_low(pitch_deg: float, word: str) -> None:
    """EXIF CameraElevationAngle counts upward; the words are symmetric about level, with a border at 8°."""
    plain = subject(picture_of(FEW[0]), seen_in(FEW[0]), points_of(FEW[0]))
    noted = replace(plain, frame=replace(plain.frame, capture=Capture(camera_elevation_deg=pitch_deg)))
    assert [each.value for each in camera_height.MEASURE.function(noted)] == [word]


def test_without_evidence_the_height_is_unsure() -> None:
    plain = subject(picture_of(FEW[0]), seen_in(FEW[0]), points_of(FEW[0]))
    assert [each.value for each in camera_height.MEASURE.function(plain)] == ["unsure"]


@pytest.mark.parametrize(("iris_px", "metres"), [(97.5, 1.0), (65.0, 1.5), (32.5, 3.0)])
def test_distance_follows_the_pinhole(iris_px: float, metres: float) -> None:
    """6000 pixels over 36 mm behind 50 mm make 8333 pixels of focal length; an iris is 11.7 mm wide."""
    focal_px = subject_distance.focal_px(50, 6000, 4000)
    assert focal_px == pytest.approx(8333, abs=1)
    assert subject_distance.distance_m(iris_px, focal_px) == pytest.approx(metres, rel=0.005)


def test_distance_of_the_shoot_is_within_a_tenth_on_average() -> None:
    ratios = []
    for file in FEW:
        person = truth()[file]["people"][0]
        plain = subject(picture_of(file), seen_in(file), points_of(file))
        capture = Capture(focal_length_35mm=person["focal_mm_ff"])
        noted = replace(plain, frame=replace(plain.frame, capture=capture))
        (answer,) = subject_distance.MEASURE.function(noted)
        assert isinstance(answer.value, float)
        ratios.append(answer.value / person["camera_distance_m"])
    assert sum(ratios) / len(ratios) == pytest.approx(1.0, abs=0.1)


@pytest.mark.parametrize("known", [{"eyes_open": 0.1}, {"eyes_open": 0.9, "head_yaw_deg": -41.0}])
def test_an_iris_that_does_not_show_its_width_tells_no_distance(known: dict[str, float]) -> None:
    plain = subject(picture_of(FEW[0]), seen_in(FEW[0]), points_of(FEW[0]))
    capture = Capture(focal_length_35mm=85.0)
    noted = replace(
        plain,
        frame=replace(plain.frame, capture=capture),
        known={name: Measurement(name, value) for name, value in known.items()},
    )
    (answer,) = subject_distance.MEASURE.function(noted)
    assert answer.value is None and answer.missing and "iris" in answer.missing


def test_distance_without_a_focal_length_says_what_is_missing() -> None:
    plain = subject(picture_of(FEW[0]), seen_in(FEW[0]), points_of(FEW[0]))
    (answer,) = subject_distance.MEASURE.function(plain)
    assert answer.value is None
    assert answer.missing is not None
    assert "focal length" in answer.missing
