"""The sitter: the person that the frame is about, with all that was seen of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.terms.eyes import EyesSeen
from eyeline.terms.face import Seen, Silhouette
from eyeline.terms.points import Points


@dataclass(frozen=True, slots=True, eq=False)
class Sitter:
    """A sitter whose features were found; nothing here is missing.

    `box`: left, top, right, bottom of the face box; `landmarks`: float32 (478, 3), both in pixels of the
    full-size picture, see `terms.face.Face`. `points`: fractions of the frame. `head`, `body`: the silhouette
    of about three face heights around the face, and that of the whole frame.
    """

    box: tuple[float, float, float, float]
    landmarks: NDArray[np.float32]
    eyes: EyesSeen
    points: Points
    head: Silhouette
    body: Silhouette

    @property
    def height_px(self) -> float:
        """Height of the face box in pixels."""
        return self.box[3] - self.box[1]


def sitter_of(seen: Seen, eyes: EyesSeen | None, points: Points | None) -> Sitter | None:
    """The sitter of what was `seen`; None where a face, its features or its silhouettes were not found."""
    face = seen.sitter
    if face is None or face.landmarks is None or eyes is None or points is None:
        return None
    if seen.head is None or seen.body is None:
        return None
    return Sitter(face.box, face.landmarks, eyes, points, seen.head, seen.body)
