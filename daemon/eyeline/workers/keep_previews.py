"""Small versions of a photo, kept in a worker from pixels that are decoded anyway."""

from __future__ import annotations

from eyeline.errors import EyelineError
from eyeline.previews.drawing import drawn
from eyeline.previews.store import Previews
from eyeline.terms.frame import Frame, Picture
from eyeline.terms.points import Points


def kept_previews(
    previews: Previews, frame: Frame, picture: Picture, points: Points | None
) -> tuple[int, EyelineError | None]:
    """Keep small versions of `picture`; how many bytes, and what stood in the way: never a reason to fail."""
    if not previews.most_bytes:
        return 0, None
    try:
        return previews.keep(frame.digest, frame.orientation, drawn(picture, points)), None
    except OSError as error:
        return 0, EyelineError(
            f"small versions of photos cannot be kept ({error.strerror or error})",
            previews.folder,
            "Make room there, or set another folder (`previews`); everything else goes on",
        )
