"""The eyes: how far the lids are open, whether both eyes are, and where they point."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp

from eyeline.measuring.covers import without_covered
from eyeline.measuring.gaze import LEAST_CONFIDENCE, WORDS, Gaze, gaze
from eyeline.measuring.glare import sitters_hidden_shares
from eyeline.terms.eyes import EyesSeen
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject
from eyeline.terms.points import LEFT_EYE, RIGHT_EYE

OPEN_SLOPE, OPEN_INTERCEPT = 0.685, -0.190
CLOSED_SLOPE, CLOSED_INTERCEPT = 0.994, 0.348
"""Logistic curves from the networks' scores to probabilities (training/calibrate_eyes.py: photographed eyes
with lids lowered by a known share and rendered ones, of people that the networks had not seen)."""

CLOSED_FROM = 0.7
"""Probability of closed eyes from which there is no gaze to speak of. A false alarm costs more than a
miss: of unseen people in good and bad pictures, rendered and with lids lowered in photographs, 96 % of the
closed eyes lie above, of the half closed 1 %, of the open ones 1 in 2000."""

LEAST_IRIS = 0.15
"""Share of the iris, as the networks see it, below which nobody could tell where the eye points."""

LEAST_BETWEEN_PX = 20.0
"""Pixels between the pupils below which nothing is said of lids and gaze: of unseen rendered eyes, in good
and bad pictures, 9 of 73 open ones are called closed at 10 to 18 pixels, 1 of 103 at 18 to 40."""

MOST_HIDDEN = 0.5
"""Share of the better eye hidden by blown-out reflections from which its iris cannot be told to be seen."""

HIDDEN = "reflections on the glasses hide both eyes"

EYES_OF = {
    "eye_opening_left": (LEFT_EYE,),
    "eye_opening_right": (RIGHT_EYE,),
    **dict.fromkeys(
        ("eyes_open", "gaze", "gaze_yaw_deg", "gaze_pitch_deg", "gaze_confidence"), (LEFT_EYE, RIGHT_EYE)
    ),
}
"""The eyes that must be seen for each: whether both are open nobody can tell of one, and the network was
taught to look at both."""

TOO_SMALL = "the eyes are too small to tell"
"""Why nothing is said of a gaze, or of eyes at all."""


def probability_open(seen: EyesSeen) -> float:
    """Calibrated probability that both eyes are open, 0 to 1; half closed is not open."""
    return logistic(OPEN_SLOPE * seen.open_score + OPEN_INTERCEPT)


def probability_closed(seen: EyesSeen) -> float:
    """Calibrated probability that the eyes are shut, 0 to 1; half closed is not shut."""
    return logistic(CLOSED_SLOPE * seen.closed_score + CLOSED_INTERCEPT)


def logistic(score: float) -> float:
    """1 / (1 + e^−score), without overflow."""
    return 1 / (1 + exp(-score)) if score >= 0 else exp(score) / (1 + exp(score))


def measure_eyes(subject: Subject) -> Sequence[Measurement]:
    """Opening of each eye, probability that both are open, angles, word and confidence of the gaze."""
    sitter, seen = subject.sitter, subject.sitter.eyes
    if seen.between_px < LEAST_BETWEEN_PX:
        lids = [Measurement(quantity.name, None, TOO_SMALL) for quantity in MEASURE.quantities[:3]]
        return [*lids, *no_gaze(TOO_SMALL)]
    hidden = sitters_hidden_shares(subject)
    unseen = hidden and min(hidden) >= MOST_HIDDEN
    look = no_gaze(HIDDEN) if unseen else gaze_measurements(seen, gaze(seen))
    left, right = (max(0.0, opening) for opening in seen.openings)
    taken = [
        Measurement("eye_opening_left", round(left, 4)),
        Measurement("eye_opening_right", round(right, 4)),
        Measurement("eyes_open", round(probability_open(seen), 4)),
        *look,
    ]
    return [
        Measurement("gaze", "unsure") if each.name == "gaze" and each.value is None else each
        for each in without_covered(taken, sitter.points.covered, EYES_OF)
    ]


def no_gaze(reason: str) -> list[Measurement]:
    """What is said of eyes whose gaze nobody could see, for the `reason` given."""
    return [
        Measurement("gaze_yaw_deg", None, reason),
        Measurement("gaze_pitch_deg", None, reason),
        Measurement("gaze", "unsure"),
        Measurement("gaze_confidence", None, reason),
    ]


def gaze_measurements(seen: EyesSeen, look: Gaze) -> list[Measurement]:
    """The four quantities of the gaze: none but the word where the eyes are shut."""
    closed = probability_closed(seen)
    if closed >= CLOSED_FROM:
        return [
            Measurement("gaze_yaw_deg", None, "the eyes are closed"),
            Measurement("gaze_pitch_deg", None, "the eyes are closed"),
            Measurement("gaze", "closed"),
            Measurement("gaze_confidence", round(closed, 4)),
        ]
    confidence = look.confidence * (1 - closed)
    told = confidence >= LEAST_CONFIDENCE and seen.iris_visible >= LEAST_IRIS
    return [
        Measurement("gaze_yaw_deg", round(look.yaw_deg, 2)),
        Measurement("gaze_pitch_deg", round(look.pitch_deg, 2)),
        Measurement("gaze", look.word if told else "unsure"),
        Measurement("gaze_confidence", round(confidence, 4)),
    ]


MEASURE = SitterMeasure(
    quantities=(
        Quantity("eye_opening_left", "ratio", "lid opening over eye width, eye on the frame's left"),
        Quantity("eye_opening_right", "ratio", "lid opening over eye width, eye on the frame's right"),
        Quantity("eyes_open", "0 to 1", "probability that both eyes are open"),
        Quantity("gaze_yaw_deg", "degrees", "gaze to the side; + = toward frame right, 0 = into the lens"),
        Quantity("gaze_pitch_deg", "degrees", "gaze up or down; + = up, 0 = into the lens"),
        Quantity("gaze", "word", "where the eyes point", (*WORDS, "unsure", "closed")),
        Quantity("gaze_confidence", "0 to 1", "calibrated probability that the word is right"),
    ),
    function=measure_eyes,
    source="eye aspect ratio (Soukupová & Čech, CVWW 2016); networks trained on moved real and rendered eyes",
)
