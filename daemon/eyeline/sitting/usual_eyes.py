"""Whether both eyes are open, by how far this sitter's usually are.

Lids hang lower in one face than in another. What is a half blink of one sitter is the look of another.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log
from statistics import quantiles

from eyeline.sitting.shot import Shot
from eyeline.terms.measurement import Measurement

LEAST_FRAMES = 5
"""Frames of a sitter from which the usual opening is known: of fewer, two blinks would be the usual."""

ALONE, RELATIVE, CONSTANT = 1.30, 12.0, -8.31
"""Weight of the frame's own evidence (logit), of the opening as a share of the usual one, and constant:
logistic regression on 952 looks, good and bad, at 15 rendered sitters that the eye networks had not seen,
open against half open and closed. None of them has narrow eyes, for which the usual opening is there, so
its weight is more than the 9 that is best for these; nothing is lost up to 24 (training/calibrate_sitting.py:
log-loss 0.0257, with the best weights 0.0250, of the frame alone 0.0310)."""

MOST_EVIDENCE = 4.0
"""Logit, 98 %, beyond which a frame's own evidence adds nothing: as in that regression."""

FLOOR_OPENING = 0.10
"""Opening below which no eye is open, whoever's it is (a proposal): whoever's eyes are
shut in most frames has shut eyes, not narrow ones."""

MOST_TURN_DEG = 30.0
"""Turn of the head up to which openings compare: beyond it the far eye is partly hidden."""


def usual_opening(shots: Sequence[Shot]) -> float | None:
    """The opening that a quarter of a sitter's frames exceed: usual for open eyes while fewer than half
    of the frames are blinks. None of fewer than `LEAST_FRAMES`."""
    known = [opening for shot in shots if (opening := _opening(shot)) is not None]
    return quantiles(known, n=4, method="inclusive")[2] if len(known) >= LEAST_FRAMES else None


def eyes_open(shot: Shot, usual: float | None) -> Measurement | None:
    """`eyes_open` in the light of the sitter's `usual` opening; None where the frame's own stands."""
    opening, alone = _opening(shot), shot.number("eyes_open")
    if not usual or opening is None or alone is None:
        return None
    bound = 1 / (1 + exp(-MOST_EVIDENCE))
    own = min(max(alone, 1 - bound), bound)
    evidence = ALONE * log(own / (1 - own)) + RELATIVE * opening / usual + CONSTANT
    probability = 1 / (1 + exp(-evidence))
    if opening < FLOOR_OPENING:
        probability = min(probability, alone)
    return Measurement("eyes_open", round(probability, 4))


def _opening(shot: Shot) -> float | None:
    """Mean of both eyes; None where it does not compare."""
    if abs(shot.number("head_yaw_deg") or 0.0) > MOST_TURN_DEG:
        return None
    left, right = shot.number("eye_opening_left"), shot.number("eye_opening_right")
    return None if left is None or right is None else (left + right) / 2
