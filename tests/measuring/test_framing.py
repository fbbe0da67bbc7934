"""Framing measures: by hand, by law, against the truth of the bundled shoot, and by published checks."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from eyeline.measuring.framing import FRAME_FORMATS, SHOT_SCALES, WHOLE, WORDS, framing, heads_cut_of_many
from eyeline.measuring.framing_as_shot import MEASURE
from eyeline.measuring.sitters import sitters_of
from eyeline.terms.frame import Frame, Picture
from eyeline.terms.measurement import Subject
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from tests.judging.truth import frames, points_of
from tests.measuring.subjects import sitter, subject_of

SITTER = Points(
    pupil_left=(0.35, 0.30),
    pupil_right=(0.45, 0.32),
    chin=(0.41, 0.51),
    chin_cut=False,
    crown_y=0.11,
    crown_cut=False,
    crown_missing=None,
    head_left=0.30,
    head_right=0.50,
    calm=(Rectangle(0.60, 0.10, 0.30, 0.80), Rectangle(0.05, 0.05, 0.25, 0.4)),
    others=(Rectangle(0.70, 0.20, 0.10, 0.20),),
)
SHOOT = Path(__file__).parents[2] / "shoot" / "truth.jsonl"


def at(
    points: Points, window: tuple[float, ...] = (0, 0, 1, 1), look: int = 0, width: int = 3, height: int = 2
):
    """Framing in one window as plain numbers and words; None = missing."""
    found = framing(points, np.array([window], float), width, height, look)
    return {
        name: (None if column[0] < 0 else WORDS[name][column[0]])
        if name in WORDS
        else (None if np.isnan(column[0]) else float(column[0]))
        for name, column in found.items()
    }


def test_the_frame_as_shot_by_hand() -> None:
    found = at(SITTER, look=1)
    expected = {
        "eye_line": 0.31,
        "eye_x": 0.40,
        "third_distance": 0.40 - 1 / 3,
        "centre_distance": 0.10,
        "headroom": 0.11,
        "chin_room": 0.49,
        "head_height": 0.40,
        "eye_to_chin": 0.20,
        "room_left": 0.30,
        "room_right": 0.50,
        "edge_room": 1.5,
        "lead_room": 0.20,
        "copy_space_left": 0.10,
        "copy_space_right": 0.24,
    }
    assert {name: found[name] for name in expected} == pytest.approx(expected)
    assert found["crown_cut"] == 0
    assert (found["frame_format"], found["shot_scale"], found["copy_space"]) == (
        "landscape",
        "headshot",
        "right",
    )


def test_a_crop_by_hand() -> None:
    found = at(SITTER, (0.2, 0.2, 0.5, 0.5), look=-1)
    assert found["eye_line"] == pytest.approx(0.22)
    assert found["eye_x"] == pytest.approx(0.40)
    assert (found["crown_cut"], found["headroom"], found["head_height"]) == (1, 0, None)
    assert found["eye_to_chin"] == pytest.approx(0.40)
    assert found["edge_room"] == pytest.approx(0.5)
    assert found["lead_room"] == pytest.approx(0.2 - 0.4)
    assert found["shot_scale"] == "close-up"


def test_what_a_crop_cuts() -> None:
    chin_gone = at(SITTER, (0, 0, 1, 0.5))
    assert (chin_gone["chin_room"], chin_gone["eye_to_chin"], chin_gone["head_height"]) == (0, None, None)
    side_gone = at(SITTER, (0.35, 0, 0.65, 1))
    assert side_gone["room_left"] == pytest.approx(-0.05 / 0.65)
    assert side_gone["edge_room"] == pytest.approx(-0.25)


def test_a_head_that_the_frame_cuts_stays_cut_in_every_crop() -> None:
    cut = replace(SITTER, crown_y=0.0, crown_cut=True)
    assert at(cut)["crown_cut"] == 1 and at(cut)["headroom"] == 0 and at(cut)["head_height"] is None
    no_chin = replace(SITTER, chin=(0.41, 1.04), chin_cut=True)
    assert (at(no_chin)["chin_room"], at(no_chin)["eye_to_chin"]) == (0, None)


def test_a_crown_that_cannot_be_told_is_missing_not_guessed() -> None:
    found = at(replace(SITTER, crown_y=None, crown_missing="hair meets a dark background"))
    assert [found[name] for name in ("crown_cut", "headroom", "head_height", "shot_scale")] == [None] * 4
    assert found["eye_to_chin"] == pytest.approx(0.20)


def test_a_cut_crown_and_a_touched_one_are_told_by_the_usual_height_of_a_head() -> None:
    """published values: 0.51 of the head lie above the eyes, so a head cut to its eyes lacks 0.51."""
    whole = replace(SITTER, pupil_left=(0.38, 0.40), pupil_right=(0.44, 0.40), chin=(0.41, 0.60))
    head = 0.20 / 0.49
    above = 0.40 - 0.51 * head
    for top in (0.0, above, above + 0.1 * head, 0.40):
        found = at(whole, (0, top, 1, 1 - top))["head_beyond_top"]
        assert found == pytest.approx((top - above) / head)


@pytest.mark.parametrize(
    ("width", "height", "word"),
    [(3000, 2000, 0), (2000, 3000, 1), (2000, 2000, 2), (2040, 2000, 2), (2041, 2000, 0), (2000, 2041, 1)],
)
def test_frame_format_is_square_within_two_per_cent(width: int, height: int, word: int) -> None:
    assert at(SITTER, width=width, height=height)["frame_format"] == FRAME_FORMATS[word]


@pytest.mark.parametrize(
    ("head", "below", "feet", "scale"),
    [
        (0.66, 0.30, False, "close-up"),
        (0.40, 0.55, False, "headshot"),
        (0.25, 0.64, False, "half-length"),
        (0.15, 0.80, False, "three-quarter"),
        (0.12, 0.80, False, "three-quarter"),
        (0.12, 0.80, True, "full-length"),
    ],
)
def test_shot_scale_counts_heads_below_the_chin(head: float, below: float, feet: bool, scale: str) -> None:
    chin = 1 - below
    points = replace(
        SITTER,
        chin=(0.4, chin),
        crown_y=chin - head,
        pupil_left=(0.38, chin - head / 2),
        pupil_right=(0.42, chin - head / 2),
        feet_in_frame=feet,
    )
    assert at(points)["shot_scale"] == scale
    assert scale in SHOT_SCALES


def test_feet_are_shown_only_by_a_crop_that_keeps_the_bottom() -> None:
    points = replace(SITTER, chin=(0.4, 0.2), crown_y=0.1, feet_in_frame=True)
    points = replace(points, pupil_left=(0.38, 0.15), pupil_right=(0.42, 0.15))
    assert at(points)["shot_scale"] == "full-length"
    assert at(points, (0, 0, 1, 0.95))["shot_scale"] == "three-quarter"


def test_other_heads_are_in_or_out_or_cut() -> None:
    windows = np.array(
        [[0, 0, 1, 1], [0, 0, 0.7, 1], [0, 0, 0.75, 1], [0, 0.3, 1, 0.7], [0.65, 0.15, 0.2, 0.3]]
    )
    sitters = sitters_of([SITTER, replace(SITTER, others=())], [1, 1], [1, 1], [0, 0])
    found = heads_cut_of_many(sitters, np.stack([windows, windows]).astype(float))
    assert found[0].tolist() == [False, False, True, True, False]
    assert not found[1].any()


@given(some.floats(0, 0.28), some.floats(0, 0.10), some.floats(0.45, 0.6), some.floats(0.6, 0.85))
def test_a_crop_measures_as_the_cropped_picture_would(
    x: float, y: float, width: float, height: float
) -> None:
    """The law behind all crops: a window is the same as a frame in which the points lie anew."""
    moved = Points(
        pupil_left=((0.35 - x) / width, (0.30 - y) / height),
        pupil_right=((0.45 - x) / width, (0.32 - y) / height),
        chin=((0.41 - x) / width, (0.51 - y) / height),
        chin_cut=False,
        crown_y=(0.11 - y) / height,
        crown_cut=False,
        crown_missing=None,
        head_left=(0.30 - x) / width,
        head_right=(0.50 - x) / width,
    )
    still = replace(SITTER, calm=())
    cropped = at(still, (x, y, width, height), 1, 3000, 2000)
    anew = framing(moved, WHOLE, 3000 * width, 2000 * height, 1)
    for name, value in cropped.items():
        column = anew[name]
        if name in WORDS:
            assert value == WORDS[name][column[0]]
        elif value is not None:
            assert value == pytest.approx(float(column[0]), abs=1e-9)


def test_mirroring_swaps_left_and_right_and_nothing_else() -> None:
    mirrored = replace(
        SITTER,
        pupil_left=(0.55, 0.32),
        pupil_right=(0.65, 0.30),
        chin=(0.59, 0.51),
        head_left=0.50,
        head_right=0.70,
        calm=(Rectangle(0.10, 0.10, 0.30, 0.80), Rectangle(0.7, 0.05, 0.25, 0.4)),
    )
    one, other = at(SITTER, look=1), at(mirrored, look=-1)
    swapped = {
        "room_left": "room_right",
        "room_right": "room_left",
        "copy_space_left": "copy_space_right",
        "copy_space_right": "copy_space_left",
    }
    for name, value in one.items():
        if name == "eye_x":
            assert other["eye_x"] == pytest.approx(1 - value)
        elif name == "copy_space":
            assert (value, other[name]) == ("right", "left")
        elif isinstance(value, float):
            assert other[swapped.get(name, name)] == pytest.approx(value), name
        else:
            assert other[name] == value


@pytest.mark.skipif(not SHOOT.exists(), reason="the bundled shoot is not here")
def test_the_shoots_own_truth() -> None:
    """The rendered frames' truth was computed by other code (portraits/README.md)."""
    compared = 0
    for frame in frames(SHOOT):
        person = frame["people"][0]
        found = at(points_of(frame, person), width=frame["width"], height=frame["height"])
        for name in (
            "eye_line",
            "eye_x",
            "chin_room",
            "head_height",
            "eye_to_chin",
            "room_left",
            "room_right",
        ):
            truth = person[name]
            if name in ("chin_room",) and truth is not None:
                truth = max(truth, 0.0)
            assert (found[name] is None) == (truth is None), (frame["file"], name)
            if truth is not None:
                assert found[name] == pytest.approx(truth, abs=2e-4), (frame["file"], name)
            compared += 1
        assert found["headroom"] == pytest.approx(max(person["headroom"], 0.0), abs=2e-4)
        assert found["crown_cut"] == person["crown_cut"]
    assert compared > 400


def subject(points: Points) -> Subject:
    frame = Frame(Path("one.jpg"), "0" * 32, 3000, 2000, 3000, 2000, 1)
    dot = np.zeros((1, 1, 3), np.uint8)
    return replace(subject_of(Picture(dot, dot), sitter(points=points)), frame=frame)


def test_the_measure_answers_every_quantity_with_a_value_or_a_reason() -> None:
    for points in (SITTER, replace(SITTER, crown_y=None, crown_missing="dark on dark")):
        answers = {each.name: each for each in MEASURE.function(subject(points))}
        assert list(answers) == [each.name for each in MEASURE.quantities]
    known = {each.name: each for each in MEASURE.function(subject(SITTER))}
    assert known["crown_cut"].value is False
    assert known["frame_format"].value == "landscape"
    assert "into the lens" in str(known["lead_room"].missing)
    cut = replace(SITTER, crown_y=0.0, crown_cut=True)
    assert {each.name: each.missing for each in MEASURE.function(subject(cut))}["head_height"] == (
        "the frame cuts the crown"
    )
