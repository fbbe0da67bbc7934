"""Verdicts, reasons and crops: what eyeline decides about a frame."""

from __future__ import annotations

from dataclasses import dataclass

from eyeline.terms.measurement import Value
from eyeline.terms.rectangle import Rectangle


@dataclass(frozen=True, slots=True)
class Reason:
    """One criterion or fault and what it did to the verdict.

    `desirability`: 0 to 1 for a criterion, None for a fault or where the value is missing.
    `cost`: how much of the score this criterion took (score without it minus score with it, 0 to 1);
    for a fault, how many stars it capped the verdict at is in `stars_at_most`, 0 for none at all.
    `ideal`: the ideal in words with its unit, e.g. "0.30 to 0.38 of the height".
    """

    name: str
    measure: str
    value: Value
    ideal: str
    desirability: float | None
    weight: float
    cost: float
    sentence: str
    stars_at_most: int | None = None


@dataclass(frozen=True, slots=True)
class Crop:
    """A suggested crop: `area` in fractions of the upright frame, `format_name` as "4:5".

    `score`: desirability of the cropped frame on the same criteria, 0 to 1; `as_shot`: that of the
    frame as shot. `width`, `height`: pixels of the upright crop.
    """

    format_name: str
    area: Rectangle
    score: float
    as_shot: float
    width: int
    height: int
    sentence: str


@dataclass(frozen=True, slots=True)
class NoCrop:
    """A format for which no crop is good enough, and why."""

    format_name: str
    reason: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """The judgement of one frame as shot, on the genre that it serves best.

    `stars`: 1 to 5, or None for a frame that is no portrait or that only a person can judge. `score`: 0 to
    1. `reasons`: what decided the stars first, then the heaviest loss first. `scores`: the score on every
    genre that was asked for. `remarks`: words of the vocabulary that fit, but are not written as keywords.
    """

    genre: str
    score: float
    stars: int | None
    keywords: tuple[str, ...]
    reasons: tuple[Reason, ...]
    scores: tuple[tuple[str, float], ...]
    rules_digest: str
    crops: tuple[Crop, ...] = ()
    no_crops: tuple[NoCrop, ...] = ()
    remarks: tuple[str, ...] = ()
