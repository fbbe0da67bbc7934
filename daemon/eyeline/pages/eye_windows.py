"""Windows onto frames, side by side, each about the eyes and the eyes on one line. Pure.

Where whole frames hang, `stave` says how. Lengths here are pixels of the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from eyeline.pages.stave import USUAL_EYE_Y
from eyeline.terms.frame import Frame
from eyeline.terms.points import Points


@dataclass(frozen=True, slots=True)
class EyeWindow:
    """The window of the page that one frame is given, and where the picture lies behind it.

    `width`: of the window, `left`, `top`: of the picture within it, `picture_width`, `picture_height`.
    """

    width: float
    left: float
    top: float
    picture_width: float
    picture_height: float


@dataclass(frozen=True, slots=True)
class WindowRow:
    """Windows beside one another: `line`, how far below their top the eyes are; `height` of them all."""

    hung: tuple[EyeWindow, ...]
    line: float
    height: float


def eyes_at(points: Points | None) -> tuple[float, float]:
    """Where the eyes are, fractions of the frame; the usual place where that is not known."""
    return (0.5, USUAL_EYE_Y) if points is None or points.eyes_covered else (points.eye_x, points.eye_y)


def window_row(
    frames: Sequence[tuple[Frame, Points | None]], scales: Sequence[float], widths: Sequence[float | None]
) -> WindowRow:
    """The windows of `frames`, each at so many pixels of the page a pixel of its own, so many pixels wide
    about the eyes; None: as wide as the picture is."""
    placed: list[EyeWindow] = []
    line = bottom = 0.0
    for (frame, points), scale, width in zip(frames, scales, widths, strict=True):
        eye_x, eye_y = eyes_at(points)
        wide, high = frame.width * scale, frame.height * scale
        window = wide if width is None else min(width, wide)
        left = min(0.0, max(window - wide, window / 2 - eye_x * wide))
        placed.append(
            EyeWindow(round(window, 1), round(left, 1), -eye_y * high, round(wide, 1), round(high, 1))
        )
        line, bottom = max(line, eye_y * high), max(bottom, (1 - eye_y) * high)
    hung = tuple(
        EyeWindow(each.width, each.left, round(line + each.top, 1), each.picture_width, each.picture_height)
        for each in placed
    )
    return WindowRow(hung, round(line, 1), round(line + bottom, 1))


def slice_width(count: int, open_width: float, room: float, gap: float, least: float, most: float) -> float:
    """How wide each of `count` slices beside one open frame is where `room` is left for all."""
    if not count:
        return most
    return min(most, max(least, (room - open_width - count * gap) / count))
