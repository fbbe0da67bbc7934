"""A picture small and grey, upright, for comparing it with others."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from eyeline.errors import UnreadablePhoto
from eyeline.rendering.libvips import pyvips


@dataclass(frozen=True, slots=True, eq=False)
class Reduced:
    """`grey`: uint8 (m, n). `width`, `height`: pixels of the picture itself, upright; `orientation`: EXIF 1
    to 8 of its pixels as stored."""

    grey: NDArray[np.uint8]
    width: int
    height: int
    orientation: int


def reduced_grey(path: Path, long_side: int) -> Reduced:
    """The picture in the file at `path` with its long side brought down to `long_side`, never enlarged.

    Raises UnreadablePhoto.
    """
    try:
        header = pyvips.Image.new_from_file(str(path))
        orientation = header.get("orientation") if header.get_typeof("orientation") else 1
        small = pyvips.Image.thumbnail(str(path), long_side, size="down", export_profile="srgb")
        if small.hasalpha():
            small = small.flatten(background=255)
        grey = np.asarray(small.colourspace("b-w").cast("uchar").numpy())
    except (pyvips.Error, UnicodeEncodeError) as error:
        raise UnreadablePhoto("it cannot be read", path, "Look whether it opens elsewhere") from error
    width, height = header.width, header.height
    if orientation >= 5:
        width, height = height, width
    return Reduced(np.ascontiguousarray(grey.reshape(grey.shape[:2])), width, height, orientation)
