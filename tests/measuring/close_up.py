"""A sitter in a picture cut down to the face: the same numbers in a tenth of the time."""

from dataclasses import replace

import numpy as np

from eyeline.reading.picture import reduced
from eyeline.terms.frame import Picture
from tests.measuring.shoot_sitters import Sitter

MARGIN_PX = 40


def close_up(sitter: Sitter) -> Sitter:
    left, top = np.maximum(sitter.landmarks[:, :2].min(axis=0) - MARGIN_PX, 0).astype(int)
    right, bottom = sitter.landmarks[:, :2].max(axis=0).astype(int) + MARGIN_PX
    rgb = np.ascontiguousarray(sitter.picture.rgb[top:bottom, left:right])
    face = replace(sitter.face, landmarks=sitter.landmarks - np.array([left, top, 0], np.float32))
    return replace(sitter, picture=Picture(rgb, reduced(rgb)), face=face)
