"""What the models saw: faces with their landmarks, and the person silhouette."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """One face.

    `box`: left, top, right, bottom of the detector's face box, pixels of the full-size picture.
    `landmarks`: float32 (478, 3), x and y in pixels of the full-size upright picture, z in the same
    scale with the model's sign (negative = toward the camera); None where only a box was found.
    Indices are those of mediapipe's face mesh; 468 to 477 are the irises (468 and 473 the centres;
    468 lies on the frame's left for a face toward the camera).
    `confidence`: the detector's own score, 0 to 1.
    """

    box: tuple[float, float, float, float]
    landmarks: NDArray[np.float32] | None
    confidence: float

    @property
    def height_px(self) -> float:
        """Height of the face box in pixels."""
        return self.box[3] - self.box[1]


@dataclass(frozen=True, slots=True)
class Hand:
    """A hand near a face: where its middle finger begins and how long its palm is, from there to the wrist,
    both in pixels of the full-size picture."""

    knuckle: tuple[float, float]
    palm_px: float


@dataclass(frozen=True, slots=True, eq=False)
class Silhouette:
    """Where people are.

    `probability`: float32 (m, n), 0 = background, 1 = person, covering the part of the picture
    given by `left`, `top`, `right`, `bottom` (pixels of the full-size picture).
    """

    probability: NDArray[np.float32]
    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """All that was seen in one picture; `sitter` is None when no face was found.

    `faces` holds every face, the sitter's included, largest first. `why_sitter` says in words why
    this one is the sitter. `head`: the silhouette on a crop of about three face heights around the
    sitter; `body`: the silhouette of the whole frame. Both are None without a sitter. `covered`: parts of the
    sitter's face, of `terms.points.PARTS`, that something stands before.
    """

    faces: tuple[Face, ...]
    sitter: Face | None
    why_sitter: str
    head: Silhouette | None
    body: Silhouette | None
    covered: tuple[str, ...] = ()
