"""The view of one frame: its series hung from the eyes, its reasons, and what the photographer sets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from eyeline.deciding.own_hand import OwnHand
from eyeline.judging.cures import cures
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.wording import value_in_words
from eyeline.measuring.framing import look_side
from eyeline.pages.curve import Curve, curve
from eyeline.pages.hanging import Hung, Stave, hang, slice_width
from eyeline.pages.outline import Outline, outline
from eyeline.pages.review.own_hands import stars_of
from eyeline.pages.review.spread import Laid, Part, Spread
from eyeline.previews.drawing import eyes_window
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop, NoCrop, Reason, Verdict

OPEN_HEIGHT = 480.0
"""Of the open frame: with head, eyes and words it fills a window of 900 pixels."""

ROOM = 1360.0
GAP = 12.0
LEAST_SLICE, MOST_SLICE = 96.0, 248.0
MOST_OPEN = 1000.0
"""A wide frame is shown smaller than OPEN_HEIGHT, so that it leaves room beside it."""

EYES_HEIGHT = 52.0
"""Of the window on both eyes below each frame, pixels."""

NOTABLE_COST = 0.005
"""Loss of score from which a criterion is said to have cost something: two decimals are shown."""

NUMBERS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


@dataclass(frozen=True, slots=True)
class Place:
    """A frame of the strip. `is_open`: it is the one looked at. `stars`: theirs, else eyeline's.

    `eyes`: where the strip about both eyes lies in its window: left, top, width, height, pixel for pixel.
    """

    laid: Laid
    hung: Hung
    is_open: bool
    stars: int | None
    is_own: bool
    words: str
    eyes: tuple[float, float, int, int] | None


@dataclass(frozen=True, slots=True)
class Beside:
    """What a frame without a series stands beside: the drawing of what its genre wants, pixels."""

    outline: Outline
    width: float
    height: float
    top: float


@dataclass(frozen=True, slots=True)
class Marks:
    """Lines over the open frame, pixels of its window: upright thirds, heights with their words, the look as
    (from, to, height), corners of the crop."""

    thirds: tuple[float, ...]
    heights: tuple[tuple[float, str], ...]
    look: tuple[float, float, float] | None
    crop: tuple[float, float, float, float] | None
    crop_is_own: bool


@dataclass(frozen=True, slots=True)
class Judged:
    """A criterion: its name, the frame's value and the ideal in words, and the drawing where there is one."""

    name: str
    value: str
    ideal: str
    curve: Curve | None
    costs: bool


@dataclass(frozen=True, slots=True)
class CropLine:
    """A format: the crop that counts, whose it is, and its score where eyeline suggests it."""

    name: str
    slug: str
    area: Rectangle | None
    is_own: bool
    score: float | None
    why_not: str


@dataclass(frozen=True, slots=True)
class FramePage:
    """All that the view shows. `left`, `right`: keys beside it in the series; `up`, `down`: of the series
    before and after. `state`: on which the page's corrections are made."""

    laid: Laid
    verdict: Verdict
    sentence: str
    cure: str
    places: tuple[Place, ...]
    beside: Beside | None
    line: float
    height: float
    marks: Marks
    judged: tuple[Judged, ...]
    hand: OwnHand
    own_stars: int | None
    words: tuple[tuple[str, bool], ...]
    crops: tuple[CropLine, ...]
    left: str | None
    right: str | None
    up: str | None
    down: str | None
    undo: str


def frame_page(
    spread: Spread,
    part: Part,
    laid: Laid,
    hands: Sequence[OwnHand],
    crops: tuple[tuple[Crop, ...], tuple[NoCrop, ...]],
    undo: str,
) -> FramePage:
    """The page of `laid`. `hands`: of each frame of its series, in order; `crops`: that eyeline suggests."""
    series = series_around(part, laid)
    place = series.index(laid)
    hand = hands[place]
    verdict = part.verdict(laid)
    rulebook = part.rulebook(laid)
    scale = min(OPEN_HEIGHT / laid.frame.height, MOST_OPEN / laid.frame.width)
    slice_px = slice_width(len(series) - 1, laid.frame.width * scale, ROOM, GAP, LEAST_SLICE, MOST_SLICE)
    stave = hang(
        [(each.frame, each.points) for each in series],
        [scale * laid.frame.height / each.frame.height for each in series],
        [None if each is laid else slice_px for each in series],
    )
    lines = _crop_lines(rulebook, hand, crops)
    shown = next((each for each in lines if each.is_own), None) or next(
        (each for each in sorted(lines, key=lambda each: -(each.score or 0)) if each.area), None
    )
    frames, here = spread.frames, spread.frames.index(laid)
    before = next((each for each in reversed(frames[:here]) if each not in series), None)
    after = next((each for each in frames[here:] if each not in series), None)
    return FramePage(
        laid,
        verdict,
        sentence(verdict, laid, len(series)),
        _cure(verdict, rulebook),
        tuple(
            Place(
                each,
                stave.hung[row],
                each is laid,
                stars_of(hands[row]) or each.stars,
                stars_of(hands[row]) is not None,
                each.word,
                _eyes(each, stave.hung[row].width),
            )
            for row, each in enumerate(series)
        ),
        _beside(rulebook, laid, stave) if len(series) == 1 else None,
        stave.line,
        stave.height,
        _marks(part, laid, stave.hung[place], shown),
        _judged(part, laid, verdict, rulebook),
        hand,
        stars_of(hand),
        words_of(verdict, hand),
        lines,
        series[place - 1].key if place else None,
        series[place + 1].key if place + 1 < len(series) else None,
        before.key if before else None,
        after.key if after else None,
        undo,
    )


def _beside(rulebook: Rulebook, laid: Laid, stave: Stave) -> Beside:
    """As large as the line of the eyes and the room that is left allow, and no larger than the frame."""
    drawn = outline(rulebook, laid.frame.width / laid.frame.height)
    frame = stave.hung[0]
    height = min(
        max(frame.picture_width, frame.picture_height) / max(1.0, drawn.ratio),
        stave.line / drawn.eye_y,
        (stave.height - stave.line) / (1 - drawn.eye_y),
        (ROOM - GAP - frame.width) / drawn.ratio,
    )
    top = stave.line - drawn.eye_y * height
    return Beside(drawn, round(height * drawn.ratio, 1), round(height, 1), round(top, 1))


def _eyes(laid: Laid, width: float) -> tuple[float, float, int, int] | None:
    if laid.points is None:
        return None
    found = eyes_window(laid.points, laid.frame.width, laid.frame.height)
    if found is None:
        return None
    wide, high = found[2] - found[0], found[3] - found[1]
    return round((width - wide) / 2, 1), round((EYES_HEIGHT - high) / 2, 1), wide, high


def series_around(part: Part, laid: Laid) -> list[Laid]:
    """The frames of the series of `laid`, in the order taken; itself alone where it has none."""
    if laid.series is None:
        return [laid]
    return [each for each in part.laid if each.series == laid.series]


def sentence(verdict: Verdict, laid: Laid, of: int) -> str:
    """The verdict in a sentence or two."""
    if verdict.stars is None:
        why = verdict.reasons[0].sentence if verdict.reasons else "it is no portrait"
        return f"No stars: {why}."
    binds = next(
        (each for each in verdict.reasons if each.stars_at_most is not None or each.cost >= NOTABLE_COST),
        None,
    )
    number = NUMBERS[of] if of < len(NUMBERS) else str(of)
    first = f"Best of its {number}. " if laid.word and laid.twin is None and of > 1 else ""
    if binds is None:
        return f"{first}All is as {verdict.genre} wants it."
    if first or verdict.stars >= 4:
        return f"{first}What it lacks most: {binds.sentence}."
    return f"{binds.sentence[0].upper()}{binds.sentence[1:]}."


def words_of(verdict: Verdict, hand: OwnHand) -> tuple[tuple[str, bool], ...]:
    """Keywords as they stand or will stand in the sidecar, and whether each is the photographer's."""
    out = {word.casefold() for word in hand.taken_out}
    own = {word.casefold() for word in hand.words}
    ours = [word for word in verdict.keywords if word.casefold() not in out | own]
    return (*((word, False) for word in ours), *((word, True) for word in hand.words))


def slug(format_name: str) -> str:
    """A format's name as it stands in an address: "4x5"."""
    return format_name.replace(":", "x")


def _cure(verdict: Verdict, rulebook: Rulebook) -> str:
    found = cures(verdict.reasons, rulebook, 1) if verdict.stars else []
    if not found:
        return ""
    text = found[0].partition(":")[0]
    return f"{text[0].upper()}{text[1:]}."


def _crop_lines(
    rulebook: Rulebook, hand: OwnHand, crops: tuple[tuple[Crop, ...], tuple[NoCrop, ...]]
) -> tuple[CropLine, ...]:
    suggested = {each.format_name: each for each in crops[0]}
    refused = {each.format_name: each.reason for each in crops[1]}
    lines = []
    for each in rulebook.formats:
        own, ours = hand.crop(each.name), suggested.get(each.name)
        area = own or (ours.area if ours else None)
        score = None if own or not ours else ours.score
        lines.append(
            CropLine(each.name, slug(each.name), area, own is not None, score, refused.get(each.name, ""))
        )
    return tuple(lines)


def _marks(part: Part, laid: Laid, hung: Hung, crop: CropLine | None) -> Marks:
    wide, high, top, left = hung.picture_width, hung.picture_height, hung.top, hung.left
    heights, look = [], None
    points = laid.points
    if points is not None:
        found = (
            (None if points.crown_cut else points.crown_y, "crown"),
            (None if points.eyes_covered else points.eye_y, "eyes"),
            (None if points.chin_cut or points.chin_covered else points.chin[1], "chin"),
        )
        heights = [
            (round(top + y * high, 1), f"{word} {100 * y:.0f}")
            for y, word in found
            if y is not None and 0 < y < 1
        ]
        assert part.judgement is not None
        columns = part.judgement.columns
        yaws = [columns.value(name, laid.row) for name in ("gaze_yaw_deg", "head_yaw_deg")]
        gaze_known = columns.value("gaze", laid.row) != "unsure"
        side = look_side(
            float(yaws[0]) if isinstance(yaws[0], (int, float)) and gaze_known else None,
            float(yaws[1]) if isinstance(yaws[1], (int, float)) else None,
        )
        if side:
            edge = points.head_right if side > 0 else points.head_left
            ends = (edge + side * 0.02, 0.98 if side > 0 else 0.02)
            if (ends[1] - ends[0]) * side > 0.05:  # an arrow needs some room to be one
                y = round(top + points.eye_y * high, 1)
                look = (round(left + ends[0] * wide, 1), round(left + ends[1] * wide, 1), y)
    area = crop.area if crop is not None else None
    corners = None
    if area is not None:
        corners = (
            round(left + area.left * wide, 1),
            round(top + area.top * high, 1),
            round(left + area.right * wide, 1),
            round(top + area.bottom * high, 1),
        )
    thirds = tuple(round(left + share * wide, 1) for share in (1 / 3, 2 / 3))
    return Marks(thirds, tuple(heights), look, corners, crop is not None and crop.is_own)


def _judged(part: Part, laid: Laid, verdict: Verdict, rulebook: Rulebook) -> tuple[Judged, ...]:
    """Every criterion, what cost most first."""
    criteria = {each.name: each for each in rulebook.criteria}
    found = []
    for reason in verdict.reasons:
        criterion = criteria.get(reason.name)
        if criterion is None or reason.stars_at_most is not None:
            continue
        ideal = next((each for each in criterion.ideals if each.measure == reason.measure), None)
        quantity = part.rules.quantities.get(reason.measure)
        drawn = curve(ideal, reason.value) if ideal is not None else None
        found.append(
            Judged(
                spoken(reason.name),
                value_in_words(reason.value, quantity),
                reason.ideal,
                drawn,
                _costs(reason),
            )
        )
    return tuple(found)


def spoken(name: str) -> str:
    """A criterion's name as a person reads it."""
    return name.replace("_", " ")


def _costs(reason: Reason) -> bool:
    return reason.cost >= NOTABLE_COST
