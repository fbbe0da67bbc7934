"""Subjects for measures, drawn or from the shoot: what a test does not care about is filled in."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np

from eyeline.terms.eyes import EyesSeen
from eyeline.terms.face import Face, Seen, Silhouette
from eyeline.terms.frame import Frame, Picture
from eyeline.terms.measurement import FrameSubject, Measurement, Subject
from eyeline.terms.points import Points
from eyeline.terms.sitter import Sitter

NOBODY = Seen((), None, "no face was found", None, None)
UNSEEN = Silhouette(np.zeros((2, 2), np.float32), 0.0, 0.0, 1.0, 1.0)
POINTS = Points((0.43, 0.3), (0.57, 0.3), (0.5, 0.45), False, 0.15, False, None, 0.35, 0.65)
EYES = EyesSeen(
    gaze_yaw_deg=0.0,
    gaze_pitch_deg=0.0,
    gaze_yaw_error_deg=1.0,
    gaze_pitch_error_deg=1.0,
    irises=((0.0, 0.0), (1.0, 0.0)),
    openings=(0.3, 0.3),
    between_px=100.0,
    aperture=1.0,
    iris_visible=1.0,
    open_score=4.0,
    closed_score=-4.0,
)
BARE = Face((0.0, 0.0, 10.0, 10.0), np.zeros((478, 3), np.float32), 0.9)
"""A face somewhere, for measures that look at no face."""


def sitter(
    face: Face = BARE,
    eyes: EyesSeen = EYES,
    points: Points = POINTS,
    head: Silhouette = UNSEEN,
    body: Silhouette = UNSEEN,
) -> Sitter:
    assert face.landmarks is not None
    return Sitter(face.box, face.landmarks, eyes, points, head, body)


def frame_of(picture: Picture) -> Frame:
    width, height = picture.width, picture.height
    return Frame(Path("NL1_0000.jpg"), "0" * 32, width, height, width, height, 1)


def subject_of(
    picture: Picture,
    of: Sitter | None = None,
    seen: Seen = NOBODY,
    known: Mapping[str, Measurement] | None = None,
) -> Subject:
    return Subject(frame_of(picture), picture, seen, of or sitter(), known or {})


def frame_subject(picture: Picture, seen: Seen = NOBODY, of: Sitter | None = None) -> FrameSubject:
    return FrameSubject(frame_of(picture), picture, seen, of)
