"""The view of a crop: what is kept, as it will be, and what becomes of the framing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from eyeline.cropping.search import whole_size
from eyeline.deciding.own_hand import OwnHand
from eyeline.judging.columns import Columns
from eyeline.judging.rulebook import Criterion, CropFormat, Rulebook
from eyeline.judging.score import applies, chosen_ideals, desirability
from eyeline.judging.wording import ideal_in_words, value_in_words
from eyeline.measuring.framing import EVERYTHING, WORDS, framing, look_side
from eyeline.pages.curve import Curve, curve
from eyeline.pages.review.frame_page import slug
from eyeline.pages.review.frame_words import spoken
from eyeline.pages.review.spread import Laid, Part
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop

MOST_CURVES = 6
"""Criteria that are drawn: the heaviest of those that a crop changes."""

LEAST_SHARE = 0.05
"""Smallest side of a crop, fraction of the frame's: below, nothing of a picture is left."""

PICTURE_SIDE = 560.0
"""Longer side of the frame as it is drawn, pixels."""


@dataclass(frozen=True, slots=True)
class Framed:
    """A criterion that depends on the crop: its value as shot and as cropped, in words, and the drawing with
    both on it. `better`: 1, 0 or -1."""

    name: str
    before: str
    after: str
    ideal: str
    curve: Curve
    was: float | None
    was_dot: float | None
    better: int


@dataclass(frozen=True, slots=True)
class CropPage:
    """All that the view shows. `area`: fractions of the upright frame; `pixels`: of the crop; `least`: of the
    format; `formats`: name and slug of each that may be chosen."""

    laid: Laid
    shape: CropFormat
    area: Rectangle
    is_own: bool
    framed: tuple[Framed, ...]
    sentence: str
    pixels: tuple[int, int]
    formats: tuple[tuple[str, str], ...]
    hand: OwnHand
    scale: float

    @property
    def least(self) -> tuple[int, int]:
        """Width and height that the format wants."""
        return self.shape.width, self.shape.height

    @property
    def is_too_small(self) -> bool:
        """Whether fewer pixels are left than the format wants."""
        return self.pixels[0] < self.shape.width or self.pixels[1] < self.shape.height


def crop_page(
    part: Part,
    laid: Laid,
    shape: CropFormat,
    area: Rectangle | None,
    suggested: Sequence[Crop],
    hand: OwnHand,
) -> CropPage:
    """The page of `shape` for `laid`. `area`: as the photographer has it by now, else as it stands in the
    sidecar or as eyeline suggests it, else as much as the frame holds."""
    own = hand.crop(shape.name)
    ours = next((each.area for each in suggested if each.format_name == shape.name), None)
    chosen = fitted(area or own or ours or Rectangle(0, 0, 1, 1), shape, laid)
    width, height = laid.frame.width, laid.frame.height
    rulebook = part.rulebook(laid)
    framed = _framed(part, laid, rulebook, chosen)
    return CropPage(
        laid,
        shape,
        chosen,
        own is not None and area is None,
        framed,
        _sentence(framed),
        (round(chosen.width * width), round(chosen.height * height)),
        tuple((each.name, slug(each.name)) for each in rulebook.formats),
        hand,
        PICTURE_SIDE / max(width, height),
    )


def fitted(area: Rectangle, shape: CropFormat, laid: Laid) -> Rectangle:
    """`area` in whole pixels, of exactly the format's shape as far as pixels allow, inside the frame; its
    middle stays where it is, if it can."""
    width, height = laid.frame.width, laid.frame.height
    wanted = max(LEAST_SHARE * height, min(area.height * height, area.width * width / shape.ratio))
    wide, high = (int(each) for each in whole_size(wanted, shape.ratio, width, height))
    x = (area.left + area.width / 2) * width - wide / 2
    y = (area.top + area.height / 2) * height - high / 2
    left = min(max(0, round(x)), width - wide)
    top = min(max(0, round(y)), height - high)
    return Rectangle(left / width, top / height, wide / width, high / height)


def _framed(part: Part, laid: Laid, rulebook: Rulebook, area: Rectangle) -> tuple[Framed, ...]:
    if laid.points is None or part.judgement is None:
        return ()
    before = part.judgement.columns.only(laid.row)
    yaws = [before.value(name, 0) for name in ("gaze_yaw_deg", "head_yaw_deg")]
    unsure = before.value("gaze", 0) == "unsure"
    look = look_side(
        float(yaws[0]) if isinstance(yaws[0], (int, float)) and not unsure else None,
        float(yaws[1]) if isinstance(yaws[1], (int, float)) else None,
    )
    window = np.array([[area.left, area.top, area.width, area.height]])
    found = framing(laid.points, window, laid.frame.width, laid.frame.height, look)
    after = before.replaced(1, found, {name: words for name, words in WORDS.items() if name in found})
    judge = rulebook.crops_as or rulebook
    framed = []
    for criterion in sorted(judge.criteria, key=lambda each: -each.weight):
        of_framing = any(ideal.measure in EVERYTHING for ideal in criterion.ideals)
        if not of_framing or not bool(applies(criterion, after)[0]) or criterion.weight == 0:
            continue
        framed.append(_one(part, criterion, before, after))
    return tuple(framed[:MOST_CURVES])


def _one(part: Part, criterion: Criterion, before: Columns, after: Columns) -> Framed:
    ideal = criterion.ideals[int(chosen_ideals(criterion, after)[0])]
    quantity = part.rules.quantities.get(ideal.measure)
    was, now = before.value(ideal.measure, 0), after.value(ideal.measure, 0)
    also = [float(was)] if isinstance(was, (int, float)) else []
    drawn = curve(ideal, now, also, width=220.0, height=48.0)
    old = curve(ideal, was, span=(drawn.low, drawn.high), width=220.0, height=48.0)
    marks = [float(desirability(criterion, each)[0]) for each in (before, after)]
    return Framed(
        spoken(criterion.name),
        value_in_words(was, quantity),
        value_in_words(now, quantity),
        ideal_in_words(ideal, quantity),
        drawn,
        old.needle,
        old.dot,
        int(np.sign(np.nan_to_num(marks[1] - marks[0]))),
    )


def _sentence(framed: Sequence[Framed]) -> str:
    better = [each.name for each in framed if each.better > 0]
    worse = [each.name for each in framed if each.better < 0]
    if not better and not worse:
        return "As the frame was shot, nothing is gained and nothing lost."
    parts = [f"better: {', '.join(better)}"] if better else []
    parts += [f"worse: {', '.join(worse)}"] if worse else []
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."
