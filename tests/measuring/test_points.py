"""The sitter's points: against the shoot's ground truth, and the laws that pixels must obey."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from eyeline.measuring.crown import BROWS, CHIN, LIPS, sides
from eyeline.measuring.eye_network import sitters_eyes
from eyeline.measuring.points import sitter_points
from eyeline.reading.look import look
from eyeline.terms.face import Face, Seen, Silhouette
from eyeline.terms.frame import Picture
from eyeline.terms.points import Points
from tests.reading.shoot_pictures import FEW, painted, picture_of, points_of, scaled, seen_in, truth

SAME = 0.006
"""Fraction of the frame within which two looks at the same thing agree: a pixel and a half of a 256 px
silhouette."""


def points_in(picture: Picture, seen: Seen) -> Points | None:
    return sitter_points(picture, seen, sitters_eyes(picture, seen))


def look_at(rgb: np.ndarray) -> Points:
    picture = painted(rgb)
    points = points_in(picture, look(picture))
    assert points is not None
    return points


@pytest.mark.slow
def test_points_agree_with_the_ground_truth_of_the_whole_shoot() -> None:
    """Goals: eye line median 0.5 %, 95th percentile 1.5 %; chin room and headroom 1 % and 3 %."""
    errors: dict[str, list[float]] = {"eye_x": [], "eye_line": [], "chin": [], "crown": []}
    unknown, cuts = 0, []
    for file, record in truth().items():
        person, points = record["people"][0], points_of(file)
        errors["eye_x"].append(points.eye_x - person["eye_x"])
        errors["eye_line"].append(points.eye_y - person["eye_line"])
        errors["chin"].append(min(points.chin[1], 1.0) - (1 - max(0.0, person["chin_room"])))
        cuts.append(points.crown_cut == person["crown_cut"])
        if points.crown_y is None:
            unknown += 1
        else:
            errors["crown"].append(points.crown_y - max(0.0, person["headroom"]))
    assert all(cuts)
    assert unknown <= 0.02 * len(cuts)
    for name, (median, worst) in {
        "eye_x": (0.005, 0.015),
        "eye_line": (0.005, 0.015),
        "chin": (0.01, 0.03),
        "crown": (0.01, 0.03),
    }.items():
        assert np.median(np.abs(errors[name])) <= median, name
        assert np.percentile(np.abs(errors[name]), 95) <= worst, name


@pytest.mark.parametrize("file", FEW)
def test_a_mirror_swaps_left_and_right(file: str) -> None:
    points, mirrored = points_of(file), look_at(picture_of(file).rgb[:, ::-1])
    assert mirrored.eye_x == pytest.approx(1 - points.eye_x, abs=SAME)
    assert mirrored.head_left == pytest.approx(1 - points.head_right, abs=3 * SAME)
    assert mirrored.head_right == pytest.approx(1 - points.head_left, abs=3 * SAME)
    assert mirrored.chin[1] == pytest.approx(points.chin[1], abs=SAME)
    assert mirrored.crown_y == pytest.approx(points.crown_y, abs=2 * SAME)


@pytest.mark.parametrize("file", FEW)
def test_padding_moves_the_points_as_arithmetic_says(file: str) -> None:
    rgb = picture_of(file).rgb
    points, (height, width) = points_of(file), rgb.shape[:2]
    above, before = height // 4, width // 5
    moved = look_at(cv2.copyMakeBorder(rgb, above, 0, before, 0, cv2.BORDER_REPLICATE))
    assert points.crown_y is not None
    assert moved.eye_y == pytest.approx((points.eye_y * height + above) / (height + above), abs=SAME)
    assert moved.eye_x == pytest.approx((points.eye_x * width + before) / (width + before), abs=SAME)
    assert moved.crown_y == pytest.approx((points.crown_y * height + above) / (height + above), abs=2 * SAME)
    assert moved.chin[1] == pytest.approx((points.chin[1] * height + above) / (height + above), abs=SAME)


@pytest.mark.parametrize("file", FEW)
def test_scaling_leaves_fractions_alone(file: str) -> None:
    points, smaller = points_of(file), look_at(scaled(picture_of(file).rgb, 0.6))
    for mine, other in (
        (points.pupil_left, smaller.pupil_left),
        (points.pupil_right, smaller.pupil_right),
        (points.chin, smaller.chin),
    ):
        assert other == pytest.approx(mine, abs=SAME)
    assert smaller.crown_y == pytest.approx(points.crown_y, abs=2 * SAME)


@pytest.mark.parametrize("file", FEW)
def test_a_frame_that_ends_inside_the_hair_cuts_the_crown_and_one_above_it_does_not(file: str) -> None:
    person = truth()[file]["people"][0]
    rgb = picture_of(file).rgb
    head = person["chin"][1] - person["hair_top_y"]
    inside, above = (round(person["hair_top_y"] + share * head) for share in (0.1, -0.05))
    cut = look_at(rgb[inside:])
    assert cut.crown_cut
    assert cut.crown_y == 0
    whole = look_at(rgb[max(0, above) :])
    assert not whole.crown_cut
    assert whole.crown_y is not None
    assert whole.crown_y > 0


@pytest.mark.parametrize("file", FEW)
def test_a_frame_that_ends_above_the_chin_cuts_it(file: str) -> None:
    person = truth()[file]["people"][0]
    cut = look_at(
        picture_of(file).rgb[: round(person["chin"][1] - 0.1 * (person["chin"][1] - person["pupil_left"][1]))]
    )
    assert cut.chin_cut
    assert not points_of(file).chin_cut


def test_silhouettes_that_disagree_leave_the_crown_untold_with_the_reason() -> None:
    seen = seen_in(FEW[0])
    assert seen.head is not None
    assert seen.sitter is not None
    leaking = seen.head.probability.copy()
    face_column = leaking.shape[1] // 2
    leaking[:, face_column - 40 : face_column + 40] = 1.0
    points = points_in(picture_of(FEW[0]), replace(seen, head=replace(seen.head, probability=leaking)))
    assert points is not None
    assert points.crown_y is None
    assert points.crown_missing
    assert not points.crown_cut


def test_no_sitter_no_points() -> None:
    assert points_in(picture_of(FEW[0]), Seen((), None, "no face was found", None, None)) is None


def test_a_frame_that_ends_inside_the_head_puts_that_side_outside_it() -> None:
    file = FEW[0]
    person = truth()[file]["people"][0]
    rgb = picture_of(file).rgb
    width = rgb.shape[1]
    right = round(person["pupil_right"][0] + 0.15 * (person["pupil_right"][0] - person["pupil_left"][0]))
    cut = look_at(rgb[:, :right])
    assert cut.head_right >= 1
    assert cut.head_left == pytest.approx(points_of(file).head_left * width / right, abs=4 * SAME)


@pytest.mark.parametrize("gap_px", [40, 0], ids=["a gap between the heads", "hair that touches"])
@pytest.mark.parametrize("on_right", [True, False])
def test_somebody_beside_the_sitter_is_no_part_of_the_head(gap_px: int, on_right: bool) -> None:
    """Two heads drawn by hand, 200 px wide, joined by one pair of shoulders."""
    landmarks = np.zeros((478, 3), np.float32)
    landmarks[:, 0] = np.linspace(420, 580, 478)
    landmarks[:, 1] = 500
    landmarks[list(BROWS), 1], landmarks[list(LIPS), 1] = 460, 560
    alone = np.zeros((1000, 1000), np.float32)
    alone[380:650, 400:600] = 1.0
    alone[650:, :] = 1.0
    both, (left, right) = alone.copy(), (600 + gap_px, 800 + gap_px)
    if not on_right:
        left, right = 1000 - right, 1000 - left
    both[380:650, left:right] = 1.0
    other = (left + 20.0, 400.0, right - 20.0, 600.0)
    one, two = (Silhouette(each, 0.0, 0.0, 1000.0, 1000.0) for each in (alone, both))
    expected = sides(landmarks, one, 1000)
    assert expected == pytest.approx((400, 600), abs=2)
    assert sides(landmarks, two, 1000, [other]) == pytest.approx(expected, abs=2)


@pytest.mark.parametrize(
    ("lowest", "feet"),
    [(0.95, True), (1.0, False), (0.4, False)],
    ids=["floor below the figure", "the frame ends at the legs", "a figure cut short by a desk"],
)
def test_feet_are_in_the_frame_when_a_long_figure_ends_above_its_edge(lowest: float, feet: bool) -> None:
    """A figure drawn by hand: face 100 px tall at the top of a frame of 1,600, body down to `lowest`."""
    height, width = 1600, 1200
    landmarks = np.zeros((478, 3), np.float32)
    landmarks[:, 0] = np.linspace(560, 640, 478)
    landmarks[:, 1] = 180
    landmarks[CHIN, 1] = 230
    landmarks[10, 1] = 130
    body = np.zeros((256, 256), np.float32)
    body[round(100 / height * 256) : round(lowest * 256), 110:146] = 1.0
    silhouette = Silhouette(body, 0.0, 0.0, width, height)
    face = Face((550, 130, 650, 230), landmarks, 0.9)
    seen = Seen((face,), face, "the only face", silhouette, silhouette)
    points = points_in(painted(np.full((height, width, 3), 200, np.uint8)), seen)
    assert points is not None
    assert points.feet_in_frame is feet
