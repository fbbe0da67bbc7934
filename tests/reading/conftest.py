"""A photograph for tests of reading."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tests.reading.shoot_pictures import FEW
from tests.reading.shoot_pictures import picture_of as shoot_picture


@pytest.fixture(scope="session")
def scene() -> NDArray[np.uint8]:
    """A photograph, upright, 800 × 1200: large enough for a preview to count."""
    return np.asarray(
        cv2.resize(shoot_picture(FEW[0]).rgb, (1000, 1500), interpolation=cv2.INTER_AREA), np.uint8
    )
