"""How much of the face is at the white limit."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageOps
from skimage import draw

from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair
from tests.accuracy.portraits import Portrait

MOST_OFF = 0.01
"""Share of the face that the measure may be off, on average."""

WHITE_LIMIT = 250
"""8-bit value at which a channel has lost its detail."""

OVAL_ABOVE_EYES, OVAL_INSIDE = 0.75, 0.95
"""The face as an oval of the true points: from so much of the distance from eyes to chin above the eyes down
to the chin, drawn in by a twentieth from the true edge of the skin."""


def clipped_row(pairs: Sequence[Pair]) -> Row:
    """Against the share of white pixels in an oval by the truth: no landmark of eyeline's is in it, and where
    light falls on one side the two regions differ by their borders."""
    errors = clipped_errors(pairs)
    counted = sum(_is_counted(pair) for pair in pairs)
    mean, high = float(errors.mean()), float(np.percentile(errors, 95))
    return Row(
        "face_clipped",
        counted,
        len(errors) / counted,
        f"mean {mean:.2%}, 95th {high:.2%} of the face",
        f"{MOST_OFF:.0%} of the face",
        mean <= MOST_OFF,
    )


def clipped_errors(pairs: Sequence[Pair]) -> np.ndarray:
    """Distance of the measured share from that of the oval, for frames of one person."""
    return np.array(
        [
            abs(value - clipped_by_truth(pair.portrait))
            for pair in pairs
            if _is_counted(pair) and (value := pair.number("face_clipped")) is not None
        ]
    )


def clipped_by_truth(portrait: Portrait) -> float:
    """Share of the face's oval with a channel at the limit."""
    (person,) = portrait.people
    with Image.open(portrait.path) as opened:
        pixels = np.asarray(ImageOps.exif_transpose(opened).convert("RGB"))
    chin_y, eye_y = person.chin[1], person.eyes_middle[1]
    top_y = eye_y - OVAL_ABOVE_EYES * (chin_y - eye_y)
    down = OVAL_INSIDE * (chin_y - top_y) / 2
    across = OVAL_INSIDE * (person.face_right_x - person.face_left_x) / 2
    middle_x = (person.face_left_x + person.face_right_x) / 2
    oval = draw.ellipse((top_y + chin_y) / 2, middle_x, down, across, shape=pixels.shape[:2])
    return float((pixels[oval] >= WHITE_LIMIT).any(axis=1).mean())


def _is_counted(pair: Pair) -> bool:
    return pair.person is not None and len(pair.portrait.people) == 1
