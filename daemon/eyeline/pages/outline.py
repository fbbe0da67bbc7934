"""What is missing, drawn: the head where the genre's own numbers want it, with eyes, look and room for text.

Pure. A drawing has fractions of the frame's height, both ways, so that it keeps its shape at any size.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

from eyeline.judging.condition import comparisons_in
from eyeline.judging.rulebook import Criterion, Ideal, Rulebook

UPRIGHT, WIDE, SQUARE = 2 / 3, 3 / 2, 1.0
USUAL_EYE_LINE, USUAL_HEAD = 0.38, 0.40
"""Where a genre says nothing of them (common practice)."""

ABOVE_EYES = 0.51
"""Share of the head's height, with hair, above the eyes (as in measuring/framing.py)."""

HEAD_WIDTH = 0.68
"""Width of the head over its height (ANSUR II: 152 mm by 225 mm)."""

EYES_APART = 0.14
"""From the middle to an eye, in heights of the head (ANSUR II: 63 mm between the pupils)."""

NECK, SHOULDERS = 0.21, 0.92
"""Half the widths of neck and shoulders in heights of the head (ANSUR II)."""


@dataclass(frozen=True, slots=True)
class Outline:
    """`ratio`: width over height of the frame. All else in fractions of the height.

    `band` of the eyes: top and bottom; `eyes`: their middle; `head`: its middle and half axes; `look`: -1 to
    frame left, 1 to frame right, 0 into the lens or anywhere; `text`: left, top, right, bottom of its room.
    """

    ratio: float
    band: tuple[float, float]
    eyes: tuple[float, float]
    head: tuple[float, float, float, float]
    look: int
    text: tuple[float, float, float, float] | None

    @property
    def eye_y(self) -> float:
        """Height of the eyes below the top edge, fraction of the height."""
        return self.eyes[1]

    @property
    def shoulders(self) -> str:
        """Path data of neck and shoulders, for a frame that is 100 high."""
        x, y, _, half = self.head
        high = 2 * half
        chin, neck, wide = y + half, NECK * high, SHOULDERS * high
        parts = []
        for side in (-1, 1):
            near, far = x + side * neck, x + side * wide
            floor = 100 * max(1.0, chin + high)
            parts.append(
                f"M{100 * near:.1f} {100 * (chin - 0.1 * high):.1f}"
                f"V{100 * (chin + 0.1 * high):.1f}"
                f"C{100 * near:.1f} {100 * (chin + 0.25 * high):.1f} "
                f"{100 * far:.1f} {100 * (chin + 0.1 * high):.1f} {100 * far:.1f} {floor:.1f}"
            )
        return "".join(parts)

    @property
    def dashes(self) -> tuple[tuple[float, float], ...]:
        """From and to, x, of the two eyes."""
        x, high = self.eyes[0], 2 * self.head[3]
        return tuple(
            (x + side * EYES_APART * high - 0.045 * high, x + side * EYES_APART * high + 0.045 * high)
            for side in (-1, 1)
        )

    @property
    def arrow(self) -> tuple[float, float] | None:
        """From and to, x, of the look."""
        if not self.look:
            return None
        x, wide = self.eyes[0], self.head[2]
        end = min(self.ratio - 0.06, x + 5 * wide) if self.look > 0 else max(0.06, x - 5 * wide)
        return x + self.look * 1.15 * wide, end


def outline(rulebook: Rulebook, ratio: float | None = None) -> Outline:
    """The drawing for `rulebook`; `ratio`: width over height where the genre leaves it open."""
    ratio = _ratio(rulebook, ratio)
    wide = ratio > 1
    ideals = {ideal.measure: ideal for ideal in _ideals(rulebook, wide)}
    eye_y = _middle(ideals.get("eye_line"), USUAL_EYE_LINE)
    high = _head(ideals)
    copy = "right" if "copy_space_right" in ideals else "left" if "copy_space_left" in ideals else ""
    look = _look(ideals.get("gaze"))
    x = _across(ideals, copy, look, wide) * ratio
    middle_y = eye_y + (0.5 - ABOVE_EYES) * high
    text = None
    if copy:
        edge = x + (1.5 if copy == "right" else -1.5) * HEAD_WIDTH * high / 2
        low, end = (edge, ratio - 0.08) if copy == "right" else (0.08, edge)
        text = (low, eye_y + 0.12, end, 0.84)
    band = ideals.get("eye_line")
    return Outline(
        ratio,
        (band.ideal_low, band.ideal_high) if band is not None else (eye_y, eye_y),
        (x, eye_y),
        (x, middle_y, HEAD_WIDTH * high / 2, high / 2),
        look,
        text,
    )


def _ratio(rulebook: Rulebook, ratio: float | None) -> float:
    for requirement in rulebook.requirements:
        for test in comparisons_in(requirement.when):
            if test.measure == "frame_format" and test.words:
                return {"landscape": WIDE, "square": SQUARE}.get(test.words[0], UPRIGHT)
    return ratio or UPRIGHT


def _ideals(rulebook: Rulebook, wide: bool) -> Iterator[Ideal]:
    for criterion in rulebook.criteria:
        if _holds(criterion, wide):
            yield from criterion.ideals


def _holds(criterion: Criterion, wide: bool) -> bool:
    """Whether a criterion that is for one format is for this one."""
    if criterion.when is None:
        return True
    formats = [test.words for test in comparisons_in(criterion.when) if test.measure == "frame_format"]
    return not formats or ("landscape" if wide else "portrait") in formats[0]


def _middle(ideal: Ideal | None, otherwise: float) -> float:
    if ideal is None:
        return otherwise
    ends = [each for each in (ideal.ideal_low, ideal.ideal_high) if isfinite(each)]
    return sum(ends) / len(ends) if ends else otherwise


def _head(ideals: dict[str, Ideal]) -> float:
    """Height of the head with hair, fraction of the frame's height."""
    if "head_height" in ideals:
        return _middle(ideals["head_height"], USUAL_HEAD)
    if "eye_to_chin" in ideals:
        return _middle(ideals["eye_to_chin"], USUAL_HEAD / 2) / (1 - ABOVE_EYES)
    return USUAL_HEAD


def _look(gaze: Ideal | None) -> int:
    best = [word for word, mark in gaze.words if mark == 1.0] if gaze is not None else []
    return {"left": -1, "right": 1}.get(best[0], 0) if len(best) == 1 else 0


def _across(ideals: dict[str, Ideal], copy: str, look: int, wide: bool) -> float:
    """Middle of the eyes, fraction of the width: on the third that leaves the room where it is wanted."""
    if "third_distance" not in ideals or not wide:
        return 0.5
    return 2 / 3 if copy == "left" or (not copy and look < 0) else 1 / 3
