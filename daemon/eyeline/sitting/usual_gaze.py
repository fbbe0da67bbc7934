"""Where the eyes point, from where this sitter's point when they look into the lens.

The line of sight does not run through the middle of the pupil, by some degrees and differently in every
eye, and eyelids differ: an estimate from one picture is off by the same amount in all frames of a sitter.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

from eyeline.measuring.gaze import LEAST_CONFIDENCE, gaze_at
from eyeline.sitting.shot import Shot
from eyeline.terms.measurement import Measurement

Angles = tuple[float, float]

LEAST_FRAMES = 5
"""Frames with eyes to the camera from which a sitter's zero is told: fewer may all have been a glance."""

DOUBT_FRAMES = 4.0
"""The zero counts by n / (n + this): few frames move it little."""

MOST_DEG = 5.0
"""Farthest that the zero is moved: the angle between line of sight and pupil's axis is about 5 degrees in
adults (kappa). Whoever looks past the lens by more does so."""

ERROR_YAW_DEG, ERROR_PITCH_DEG = 3.5, 4.1
"""Errors that are left once the zero is taken off: the rendered crowd, sitters that the networks had not seen
(training/calibrate_sitting.py: root mean squares of plain frames 3.2, 3.8; in good and bad pictures by
their middle half 3.5, 4.1). Of people no set shows one sitter often enough."""


def zero_of_gaze(shots: Sequence[Shot]) -> Angles | None:
    """Yaw and pitch in degrees that are measured when this sitter looks into the lens; None where too few
    frames show it."""
    into_lens = [
        angles for shot in shots if shot.value("gaze") == "camera" and (angles := _angles(shot)) is not None
    ]
    if len(into_lens) < LEAST_FRAMES:
        return None
    share = len(into_lens) / (len(into_lens) + DOUBT_FRAMES)
    yaw, pitch = (share * median(each[axis] for each in into_lens) for axis in range(2))
    return _bounded(yaw), _bounded(pitch)


def gaze_from(shot: Shot, zero: Angles | None) -> tuple[Measurement, ...]:
    """The gaze of `shot` measured from the sitter's `zero`; nothing where the frame's own stands.

    The word is found anew. Where it stays what it was, the greater of both confidences holds, since two
    ways of asking agree.
    """
    angles = _angles(shot)
    if zero is None or angles is None:
        return ()
    yaw, pitch = angles[0] - zero[0], angles[1] - zero[1]
    found = gaze_at(yaw, pitch, ERROR_YAW_DEG, ERROR_PITCH_DEG)
    word, confidence = found.word, found.confidence
    if word == shot.value("gaze"):
        confidence = max(confidence, shot.number("gaze_confidence") or 0.0)
    return (
        Measurement("gaze_yaw_deg", round(yaw, 2)),
        Measurement("gaze_pitch_deg", round(pitch, 2)),
        Measurement("gaze", word if confidence >= LEAST_CONFIDENCE else "unsure"),
        Measurement("gaze_confidence", round(confidence, 4)),
    )


def _angles(shot: Shot) -> Angles | None:
    yaw, pitch = shot.number("gaze_yaw_deg"), shot.number("gaze_pitch_deg")
    return None if yaw is None or pitch is None else (yaw, pitch)


def _bounded(angle: float) -> float:
    return min(max(angle, -MOST_DEG), MOST_DEG)
