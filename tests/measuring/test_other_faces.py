"""The eyes of everybody in a picture: two frames of the bundled shoot side by side are a picture of two."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest

from eyeline.measuring import other_faces
from eyeline.measuring.points import whole_head
from eyeline.terms.face import Face, Seen
from eyeline.terms.measurement import Value
from tests.measuring.shoot_sitters import Sitter, shoot_sitters

BLUR_PX = 6.0
"""Sigma of an added blur that no one calls sharp: a sixth of an iris of these frames and more."""


@cache
def of_eyes(word: str) -> Sitter:
    """A frame in which the sitter's eyes are `word` and the picture is sharp."""
    return next(
        each
        for each in shoot_sitters()
        if each.truth["eyes"] == word and each.truth["true_eye_blur_sigma_px"] < 1
    )


def beside(sitter: Sitter, other: Sitter, blur_px: float = 0.0) -> dict[str, Value]:
    """What is measured of `other`, set to the right of `sitter` in one picture, blurred by `blur_px`."""
    left, right = sitter.picture.rgb, other.picture.rgb
    if blur_px:
        right = np.asarray(cv2.GaussianBlur(right, (0, 0), blur_px))
    height = max(len(left), len(right))
    canvas = np.full((height, left.shape[1] + right.shape[1], 3), 128, np.uint8)
    canvas[: len(left), : left.shape[1]] = left
    canvas[: len(right), left.shape[1] :] = right
    by = np.array([left.shape[1], 0, 0], np.float32)
    box = other.face.box
    moved = Face((box[0] + by[0], box[1], box[2] + by[0], box[3]), other.landmarks + by, 0.9)
    subject = sitter.subject
    picture = replace(sitter.picture, rgb=canvas, reduced=canvas)
    seen = Seen((sitter.face, moved), sitter.face, "", None, None)
    measured = other_faces.MEASURE.function(replace(subject, picture=picture, seen=seen))
    return {each.name: each.value for each in measured}


def test_alone_there_is_nobody_else_to_judge() -> None:
    found = {each.name: each.value for each in other_faces.MEASURE.function(of_eyes("open").subject)}
    assert found["others"] == 0
    assert {value for name, value in found.items() if name != "others"} == {None}


def test_a_second_persons_open_and_closed_eyes_are_told() -> None:
    awake, asleep = (beside(of_eyes("open"), of_eyes(word)) for word in ("open", "closed"))
    assert (awake["others"], asleep["others"]) == (1, 1)
    assert isinstance(awake["others_eyes_open"], float) and awake["others_eyes_open"] > 0.8
    assert isinstance(asleep["others_eyes_open"], float) and asleep["others_eyes_open"] < 0.15


def test_a_second_person_out_of_focus_is_told_and_of_one_both_ends_are_alike() -> None:
    sharp = beside(of_eyes("open"), of_eyes("open"))
    soft = beside(of_eyes("open"), of_eyes("open"), BLUR_PX)
    assert sharp["others_blur_least"] == sharp["others_blur_most"] == pytest.approx(0.02, abs=0.02)
    assert isinstance(soft["others_blur_least"], float) and soft["others_blur_least"] > 0.08


def test_one_who_is_much_smaller_belongs_to_the_background() -> None:
    sitter = of_eyes("open")
    left, top, right, bottom = sitter.face.box
    small = Face((0, 0, 0.3 * (right - left), 0.3 * (bottom - top)), None, 0.9)
    seen = Seen((sitter.face, small), sitter.face, "", None, None)
    found = {
        each.name: each.value for each in other_faces.MEASURE.function(replace(sitter.subject, seen=seen))
    }
    assert found["others"] == 0


def test_a_face_of_like_size_without_features_is_one_of_whom_nothing_can_be_told() -> None:
    sitter = of_eyes("open")
    seen = Seen((sitter.face, replace(sitter.face, landmarks=None)), sitter.face, "", None, None)
    found = {
        each.name: each.value for each in other_faces.MEASURE.function(replace(sitter.subject, seen=seen))
    }
    assert (found["others"], found["others_untold"], found["others_eyes_open"]) == (1, 1, None)


def test_a_neighbours_head_reaches_from_the_crown_to_the_chin_and_ends_at_the_frame() -> None:
    """Against the renders' own silhouettes: `head_box`, top of hair to chin."""
    checked = 0
    for each in shoot_sitters():
        _, top, _, bottom = each.truth["head_box"]
        width, height = each.picture.width, each.picture.height
        if top < 0 or abs(each.truth["head_yaw_los"]) > 20:
            continue
        head = whole_head(each.face, width, height)
        tall = bottom - top
        assert head.top * height == pytest.approx(top, abs=0.2 * tall), each.file
        assert head.bottom * height == pytest.approx(bottom, abs=0.06 * tall), each.file
        face_left, face_right = max(each.truth["face_left_x"], 0), min(each.truth["face_right_x"], width)
        assert head.left * width <= face_left and face_right <= head.right * width + 1e-6, each.file
        checked += 1
    assert checked > 20
    cut = whole_head(Face((-50, -20, 60, 80), None, 0.9), 100, 100)
    assert (cut.left, cut.top, cut.right, cut.bottom) == (0, 0, 0.6, 0.8)
