"""Small versions of a photo that was measured before, decoded for them alone: where none were kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from eyeline.errors import EyelineError
from eyeline.previews.drawing import Kind, drawn
from eyeline.previews.store import Previews
from eyeline.terms.frame import Frame
from eyeline.terms.points import Points
from eyeline.workers.examine import picture_in, read_only
from eyeline.workers.keep_previews import kept_previews


@dataclass(frozen=True, slots=True)
class ToDraw:
    """A photo without small versions: its frame, and where its sitter is."""

    frame: Frame
    points: Points | None


def draw(photo: ToDraw, previews: Previews) -> EyelineError | None:
    """Decode `photo` and keep its small versions in `previews`; what stood in the way of keeping them.

    Raises UnreadablePhoto when the file is gone, damaged, or no longer the frame that was measured.
    """
    picture = picture_in(read_only(photo.frame.path), photo.frame)
    return kept_previews(previews, photo.frame, picture, photo.points)[1]


def sketch(photo: ToDraw) -> Mapping[Kind, bytes]:
    """Decode `photo` and draw its small versions, kept nowhere. Raises UnreadablePhoto as `draw` does."""
    return drawn(picture_in(read_only(photo.frame.path), photo.frame), photo.points)
