"""Frames of the bundled shoot, made small, with a hand drawn before the face.

    python -m tests.reading.hand_pictures FOLDER

writes them as PNG files, for mediapipe_record.py.
"""

from __future__ import annotations

import copy
import sys
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image

from tests.accuracy.hard_drawings import Scene, hand_over_an_eye, hand_over_the_chin
from tests.reading.mediapipe_record import WHOLE_PX
from tests.reading.shoot_pictures import FEW, picture_of, scaled, truth

USED = FEW[:3]


@cache
def hand_pictures() -> Mapping[str, np.ndarray]:
    """A hand over an eye of every other sitter, over mouth and chin of the rest; by a name for each."""
    made = {}
    for number, file in enumerate(USED):
        draw = hand_over_an_eye if number % 2 else hand_over_the_chin
        made[f"{draw.__name__}_{Path(file).stem}"] = draw(small_scene(file), number).pixels
    return made


def small_scene(file: str) -> Scene:
    """A frame with `WHOLE_PX` along its long side; of its truth, the points of the face."""
    rgb, person = picture_of(file).rgb, copy.deepcopy(truth()[file]["people"][0])
    scale = WHOLE_PX / max(rgb.shape[:2])
    for name in ("pupil_left", "pupil_right", "chin", "crown"):
        person[name] = [axis * scale for axis in person[name]]
    return Scene(scaled(rgb, scale), {"people": [person]})


if __name__ == "__main__":
    for name, pixels in hand_pictures().items():
        Image.fromarray(pixels).save(Path(sys.argv[1]) / f"{name}.png")
