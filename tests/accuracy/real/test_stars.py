"""How photographs are darkened, and which verdicts count as wrong."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from skimage.color import rgb2xyz

from tests.accuracy.real.measured import Measured
from tests.accuracy.real.sets import Photograph
from tests.accuracy.real.stars import DARKER_STOPS, darkened


@pytest.mark.parametrize("level", [90, 180, 255])
def test_a_darkened_picture_has_so_many_stops_less_light(level: int, tmp_path: Path) -> None:
    """Luminance Y by scikit-image's sRGB conversion; JPEG rounds to a level, some per cent in the dark."""
    path = tmp_path / "grey.png"
    Image.new("RGB", (64, 64), (level, level, level)).save(path)
    made = darkened(Measured(Photograph(path, "x", {}, True), {}, None), tmp_path)
    before, after = (
        rgb2xyz(np.asarray(Image.open(each).convert("RGB")) / 255)[..., 1].mean()
        for each in (path, made.path)
    )
    assert after / before == pytest.approx(2**DARKER_STOPS, rel=0.06)
