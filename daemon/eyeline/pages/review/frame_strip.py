"""The strip of a series on the mat: windows, eyes, lines over the open frame."""

from __future__ import annotations

from dataclasses import dataclass

from eyeline.judging.rulebook import Rulebook
from eyeline.measuring.framing import look_side
from eyeline.pages.eye_windows import EyeWindow, WindowRow
from eyeline.pages.outline import Outline, outline
from eyeline.pages.review.spread import Laid, Part
from eyeline.previews.drawing import eyes_window
from eyeline.terms.rectangle import Rectangle

OPEN_HEIGHT = 480.0
"""Of the open frame: with head, eyes and words it fills a window of 900 pixels."""

ROOM = 1360.0

GAP = 12.0

LEAST_SLICE, MOST_SLICE = 96.0, 248.0

MOST_OPEN = 1000.0
"""A wide frame is shown smaller than OPEN_HEIGHT, so that it leaves room beside it."""

EYES_HEIGHT = 52.0
"""Of the window on both eyes below each frame, pixels."""


@dataclass(frozen=True, slots=True)
class Place:
    """A frame of the strip. `is_open`: it is the one looked at. `stars`: theirs, else eyeline's.

    `eyes`: where the strip about both eyes lies in its window: left, top, width, height, pixel for pixel.
    """

    laid: Laid
    hung: EyeWindow
    is_open: bool
    stars: int | None
    is_own: bool
    words: str
    eyes: tuple[float, float, int, int] | None


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


def beside(rulebook: Rulebook, laid: Laid, stave: WindowRow) -> Beside:
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


def eyes_of(laid: Laid, width: float) -> tuple[float, float, int, int] | None:
    """Where the strip about both eyes lies in a window so wide, pixel for pixel; None without eyes."""
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


def marks_over(part: Part, laid: Laid, hung: EyeWindow, crop: CropLine | None) -> Marks:
    """The lines over the open frame in its window."""
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
