"""Small versions of a photo, kept in a worker from pixels that are decoded anyway."""

from __future__ import annotations

from collections.abc import Mapping

from eyeline.errors import EyelineError
from eyeline.previews.drawing import Kind, drawn
from eyeline.previews.store import Previews
from eyeline.terms.frame import Frame, Picture
from eyeline.terms.points import Points


def kept_previews(
    previews: Previews, frame: Frame, picture: Picture, points: Points | None
) -> tuple[int, EyelineError | None]:
    """Keep small versions of `picture`; how many bytes, and what stood in the way: never a reason to fail."""
    return kept(previews, frame, drawn(picture, points)) if previews.most_bytes else (0, None)


def kept(previews: Previews, frame: Frame, pictures: Mapping[Kind, bytes]) -> tuple[int, EyelineError | None]:
    """Keep `pictures`, small versions of `frame`; how many bytes, and what stood in the way."""
    try:
        return previews.keep(frame.digest, frame.orientation, pictures), None
    except OSError as error:
        return 0, EyelineError(
            f"small versions of photos cannot be kept ({error.strerror or error})",
            previews.folder,
            "Make room there, or set another folder (`previews`); everything else goes on",
        )
