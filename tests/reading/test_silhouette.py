"""The silhouette about a head."""

from __future__ import annotations

import numpy as np
import pytest

from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.picture import picture_of
from eyeline.reading.silhouette import head_silhouette
from eyeline.terms.frame import Picture
from tests.accuracy.portraits import SHOOT


def test_a_mirrored_picture_has_the_mirrored_silhouette() -> None:
    whole = picture_of(jpeg_stream((SHOOT / "NL1_1002.jpg").read_bytes(), 1))
    mirrored = Picture(*(np.ascontiguousarray(each[:, ::-1]) for each in (whole.rgb, whole.reduced)))
    width, height = whole.width, whole.height
    box = (0.4 * width, 0.2 * height, 0.6 * width, 0.45 * height)
    here = head_silhouette(whole, box)
    there = head_silhouette(mirrored, (width - box[2], box[1], width - box[0], box[3]))
    assert 0.1 < here.probability.mean() < 0.9
    assert there.left == pytest.approx(width - here.right, abs=1.5)  # a crop begins at a whole pixel
    assert np.abs(there.probability[:, ::-1] - here.probability).mean() < 0.01
