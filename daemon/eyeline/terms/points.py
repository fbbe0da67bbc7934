"""The sitter's points: all that framing and cropping need to know about where the sitter is."""

from __future__ import annotations

from dataclasses import dataclass

from eyeline.terms.rectangle import Rectangle

PARTS = LEFT_EYE, RIGHT_EYE, CHIN = "the eye on the left", "the eye on the right", "the chin"
"""What can be covered; left and right are the viewer's."""

COVERED = "something covers {}"
"""The reason for what cannot be told of a part."""


@dataclass(frozen=True, slots=True)
class Points:
    """Where the sitter is, in fractions of the upright frame (x of its width, y of its height).

    Coordinates may lie outside 0..1 where the frame cuts the head and the model extrapolates.
    `crown_y`: top of the head with hair; None where it cannot be told, then `crown_missing` says
    why; 0 where the frame cuts it (`crown_cut`). `head_left`, `head_right`: the silhouette's extent
    between brow and mouth level. `shoulder_y`: None where unseen. `feet_in_frame`: bool.
    `calm`: calm rectangles beside the sitter that black or white text can be set on.
    `others`: heads of the other faces, with hair, as far as they lie in the frame.
    `covered`: parts of the face, of `PARTS`, that something stands before; their points are guesses.
    """

    pupil_left: tuple[float, float]
    pupil_right: tuple[float, float]
    chin: tuple[float, float]
    chin_cut: bool
    crown_y: float | None
    crown_cut: bool
    crown_missing: str | None
    head_left: float
    head_right: float
    feet_in_frame: bool = False
    calm: tuple[Rectangle, ...] = ()
    others: tuple[Rectangle, ...] = ()
    covered: tuple[str, ...] = ()

    @property
    def chin_covered(self) -> bool:
        """Whether something stands before the chin, so that nobody can tell where it is."""
        return CHIN in self.covered

    @property
    def eyes_covered(self) -> bool:
        """Whether something stands before both eyes. One is enough to place the other."""
        return LEFT_EYE in self.covered and RIGHT_EYE in self.covered

    @property
    def eye_x(self) -> float:
        """Eye midpoint, fraction of the frame's width."""
        return (self.pupil_left[0] + self.pupil_right[0]) / 2

    @property
    def eye_y(self) -> float:
        """Eye midpoint, fraction of the frame's height."""
        return (self.pupil_left[1] + self.pupil_right[1]) / 2
