"""How a sheet or a proof is to look: what is drawn, how large, on which paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from eyeline.previews.drawing import Kind

Size = Literal["small", "medium", "large"]
SIZES: tuple[Size, ...] = ("small", "medium", "large")
Paper = Literal["a4", "letter"]
PAPERS: tuple[Paper, ...] = ("a4", "letter")

PAPER_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height: ISO 216; ANSI/ASME Y14.1, size A."""


@dataclass(frozen=True, slots=True)
class Scale:
    """How large a unit of the stave is on a screen and on paper, and what a picture is taken from.

    `longest_px`: of the picture that is embedded where it has to be made anew.
    """

    unit_px: float
    unit_mm: float
    kind: Kind
    longest_px: int


SCALES: dict[Size, Scale] = {
    "small": Scale(5.1, 0.9, Kind.SMALL, 512),
    "medium": Scale(9.0, 1.6, Kind.LARGE, 800),
    "large": Scale(17.0, 3.3, Kind.LARGE, 1500),
}
"""A frame of 3:2 is 184, 324 or 612 px wide and 32, 58 or 119 mm on paper: seven, four, two side by side on a
screen of 1440 px; a picture has twice the pixels of the screen, or 300 dots an inch."""


@dataclass(frozen=True, slots=True)
class Look:
    """`client`: a proof, with numbers and pictures only and `watermark` across these. `geometry`: thin lines
    over the pictures of a sheet."""

    size: Size = "small"
    paper: Paper = "a4"
    geometry: bool = False
    client: bool = False
    watermark: str = ""

    @property
    def scale(self) -> Scale:
        """The scale of its size."""
        return SCALES[self.size]
