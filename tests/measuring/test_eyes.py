from __future__ import annotations

from dataclasses import replace
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from eyeline.measuring.eye_network import look_at_eyes
from eyeline.measuring.eyes import MEASURE, TOO_SMALL, probability_open
from eyeline.measuring.face_shape import mirrored
from eyeline.measuring.gaze import word_of
from eyeline.measuring.pupils import pupils
from eyeline.terms.frame import Picture
from tests.accuracy.portraits import Person
from tests.measuring.shoot_sitters import Sitter, shoot_sitters

SIX = ((33, 160, 158, 133, 153, 144), (362, 385, 387, 263, 373, 380))
"""Points of the published ratio in mediapipe's mesh, eye on the frame's left and right
(published values): corner, two on the upper lid, corner, two on the lower lid."""


def published_ratio(six: NDArray[np.floating[Any]]) -> float:
    """Eye aspect ratio (Soukupová & Čech, CVWW 2016) of points (6, 2): what an opening shall agree with."""
    first, second = np.linalg.norm(six[1] - six[5]), np.linalg.norm(six[2] - six[4])
    return float((first + second) / (2 * np.linalg.norm(six[0] - six[3])))


def test_the_published_ratio_is_as_published() -> None:
    """published values: six points of a 30 by 6 eye give exactly 0.2; an ellipse 30 mm wide of 9.7 mm
    (Read et al. 2006) with points at the thirds gives 0.305.
    """
    worked = np.array([[0, 0], [10, 3], [20, 3], [30, 0], [20, -3], [10, -3]], float)
    assert published_ratio(worked) == pytest.approx(0.2, abs=1e-12)
    half = 9.7 / 2 * np.sqrt(1 - (1 / 3) ** 2)
    ellipse = np.array([[-15, 0], [-5, half], [5, half], [15, 0], [5, -half], [-5, -half]])
    assert published_ratio(ellipse) == pytest.approx(0.305, abs=5e-4)


def test_openings_agree_with_the_published_ratio_of_the_mesh() -> None:
    """A ratio that is taken from the mesh's own lids is known to run up to 0.08 off the true opening, and
    does not fall to 0 in closed eyes: there the opening lies below it.
    """
    off: dict[bool, list[float]] = {True: [], False: []}
    for sitter in shoot_sitters():
        openings = [m.value for m in MEASURE.function(sitter.subject)][:2]
        by_mesh = sorted((sitter.landmarks[list(six), :2] for six in SIX), key=lambda eye: float(eye[0, 0]))
        closed = sitter.truth["eyes"] == "closed"
        off[closed] += [
            opening - published_ratio(eye) for opening, eye in zip(openings, by_mesh, strict=True)
        ]
    assert len(off[True]) == 8 and max(off[True]) < 0
    assert abs(np.median(off[False])) <= 0.02
    assert np.mean(np.abs(off[False]) <= 0.08) >= 0.95


def test_a_mirrored_photo_swaps_left_and_right_and_changes_nothing_else() -> None:
    for sitter in shoot_sitters()[:10]:
        here = look_at_eyes(sitter.picture.rgb, sitter.landmarks)
        flipped = np.ascontiguousarray(sitter.picture.rgb[:, ::-1])
        there = look_at_eyes(flipped, mirrored(sitter.landmarks, sitter.picture.width))
        assert there.gaze_yaw_deg == pytest.approx(-here.gaze_yaw_deg, abs=0.05)
        assert there.gaze_pitch_deg == pytest.approx(here.gaze_pitch_deg, abs=0.05)
        assert there.openings == pytest.approx(here.openings[::-1], abs=1e-3)
        assert there.open_score == pytest.approx(here.open_score, abs=0.05)
        (left_x, left_y), _ = here.irises
        _, (right_x, right_y) = there.irises
        assert (sitter.picture.width - left_x, left_y) == pytest.approx((right_x, right_y), abs=0.1)


def test_a_photo_twice_as_large_measures_alike() -> None:
    for sitter in shoot_sitters()[:10]:
        here = look_at_eyes(sitter.picture.rgb, sitter.landmarks)
        large = cv2.resize(sitter.picture.rgb, None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC)
        there = look_at_eyes(large, sitter.landmarks * np.float32(2))
        assert there.gaze_yaw_deg == pytest.approx(here.gaze_yaw_deg, abs=1)
        assert there.gaze_pitch_deg == pytest.approx(here.gaze_pitch_deg, abs=1)
        assert there.openings == pytest.approx(here.openings, abs=0.01)


def test_open_half_and_closed_eyes_of_the_shoot() -> None:
    """Every frame of the shoot falls on its own side of a half."""
    for sitter in shoot_sitters():
        measured = {m.name: m.value for m in MEASURE.function(sitter.subject)}
        assert (measured["eyes_open"] > 0.5) == (sitter.truth["eyes"] == "open"), sitter.file
        assert (measured["gaze"] == "closed") == (sitter.truth["eyes"] == "closed"), sitter.file


def test_openings_on_the_shoot() -> None:
    """Median error of the lid gap over eye width, eyes open: a tenth of a usual opening of 0.3."""
    errors = []
    for sitter in shoot_sitters():
        if sitter.truth["eyes"] == "open":
            left, right, *_ = (m.value for m in MEASURE.function(sitter.subject))
            errors += [
                left - sitter.truth["eye_aspect_sitter_right"],
                right - sitter.truth["eye_aspect_sitter_left"],
            ]
    assert np.median(np.abs(errors)) <= 0.03


def test_gaze_on_the_shoot() -> None:
    """Goals of the issue: median angle at most 5°, 93 % of the words right of those decided, at most
    15 % undecided, left never for right; words are judged outside 6° to 10° and 10° to 14°. The truth is that
    of people whose irises lie so (tests/accuracy/portraits.py).
    """
    errors, right, told, counted = [], 0, 0, 0
    for sitter in shoot_sitters():
        measured = {m.name: m.value for m in MEASURE.function(sitter.subject)}
        person = Person(sitter.truth)
        truth = (person.gaze_yaw, person.gaze_pitch)
        if sitter.truth["eyes"] != "open" or max(sitter.truth["iris_visible"]) < 0.35:
            continue
        errors.append(np.hypot(measured["gaze_yaw_deg"] - truth[0], measured["gaze_pitch_deg"] - truth[1]))
        assert {measured["gaze"], word_of(*truth)} != {"left", "right"}, sitter.file
        if 6 <= abs(truth[0]) <= 10 or 10 <= abs(truth[1]) <= 14:
            continue
        counted += 1
        told += measured["gaze"] != "unsure"
        right += measured["gaze"] == word_of(*truth)
    assert len(errors) >= 54
    assert np.median(errors) <= 5
    assert told >= 0.85 * counted
    assert right >= 0.93 * told


def test_closed_eyes_have_no_gaze() -> None:
    closed = [s for s in shoot_sitters() if s.truth["eyelid_opening"] == [0, 0]]
    assert len(closed) == 4
    for sitter in closed:
        measured = {m.name: m for m in MEASURE.function(sitter.subject)}
        assert measured["gaze"].value == "closed"
        assert measured["gaze_yaw_deg"].value is None and measured["gaze_yaw_deg"].missing


def test_blank_pixels_are_no_error() -> None:
    """An eye of one flat colour: whatever is said, it is said with numbers."""
    sitter = shoot_sitters()[0]
    seen = look_at_eyes(np.full_like(sitter.picture.rgb, 128), sitter.landmarks)
    assert np.isfinite([seen.gaze_yaw_deg, seen.gaze_pitch_deg, seen.open_score, *seen.openings]).all()


def test_eyes_outside_the_frame_are_no_error() -> None:
    sitter = shoot_sitters()[0]
    away = sitter.landmarks + np.array([-5000, 200, 0], np.float32)
    seen = look_at_eyes(sitter.picture.rgb, away)
    assert np.isfinite([seen.gaze_yaw_deg, seen.gaze_pitch_deg, seen.open_score, *seen.openings]).all()


def test_eyes_are_told_where_the_mesh_lies_too_low() -> None:
    """On dark skin in poor light it does, by a tenth of the eyes' distance: pixels count for more."""
    errors = []
    for sitter in shoot_sitters()[::3]:
        if sitter.truth["eyes"] != "open":
            continue
        truth = np.array([sitter.truth["pupil_left"], sitter.truth["pupil_right"]])
        between = float(np.hypot(*(truth[1] - truth[0])))
        low = sitter.landmarks + np.array([0, 0.1 * between, 0], np.float32)
        seen = look_at_eyes(sitter.picture.rgb, low)
        assert probability_open(seen) > 0.5, sitter.file
        errors += list(np.hypot(*(np.array(seen.irises) - truth).T) / between)
    assert len(errors) >= 30
    assert np.median(errors) <= 0.02


@pytest.mark.parametrize(("between_px", "told"), [(12.0, False), (40.0, True)])
def test_eyes_of_a_few_pixels_are_not_told(between_px: float, told: bool) -> None:
    """Below a size nothing is said of lids and gaze, and why; above it all is."""
    for sitter in shoot_sitters()[::20]:
        scale = between_px / pupils(sitter.landmarks).interpupillary_px
        rgb = cv2.resize(sitter.picture.rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        landmarks = sitter.landmarks * np.float32(scale)
        small = Sitter(
            sitter.file, Picture(rgb, rgb), replace(sitter.face, landmarks=landmarks), sitter.truth
        )
        measured = {m.name: m for m in MEASURE.function(small.subject)}
        for name in ("eye_opening_left", "eye_opening_right", "eyes_open"):
            assert (measured[name].value is not None) == told
        if not told:
            assert measured["gaze"].value == "unsure"
            assert {m.missing for m in measured.values() if m.value is None} == {TOO_SMALL}
