"""Pictures whose pixels are an array, for tests that paint on them, shrink them or turn them as a whole."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from eyeline.reading.picture import picture_of
from eyeline.reading.stream import Stream
from eyeline.terms.frame import Picture


def whole_picture_of(stream: Stream) -> Picture:
    """As `picture_of` decodes it, every pixel upright and in sRGB."""
    picture = picture_of(stream)
    return replace(picture, rgb=np.asarray(picture.rgb))
