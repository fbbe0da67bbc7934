"""Faces that fill the frame and are cut by it: crops of photographs in which the face was found."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from PIL import Image, ImageOps

from eyeline.reading.look import look
from eyeline.reading.picture import reduced
from eyeline.terms.frame import Picture
from tests.accuracy.figures.row import Row
from tests.accuracy.real.altered import some
from tests.accuracy.real.measured import Measured, share

SIDES = (0.8, 1.0, 1.3)
"""Sides of the square crops over the longer side of the face's landmarks."""

SMALL_PX = 160
"""Long side of the small files, in pixels; a crop that is larger is looked at as it is, too."""

FARTHEST = 0.06
"""Mean distance of the landmarks from those of the whole photograph, in such sides, beyond which another face
than the one that is there was found: the mesh on a crop lies within 0.03."""


def filling_rows(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """Crops in which no face, none with landmarks, or landmarks elsewhere are found."""
    lost = elsewhere = count = 0
    for each in some(photographs):
        with Image.open(each.photograph.path) as opened:
            rgb = np.asarray(ImageOps.exif_transpose(opened).convert("RGB"))
        whole = look(Picture(rgb, reduced(rgb))).sitter
        if whole is None or whole.landmarks is None:
            continue
        places = whole.landmarks[:468, :2]
        middle, side = (places.min(axis=0) + places.max(axis=0)) / 2, float(np.ptp(places, axis=0).max())
        for factor in SIDES:
            left, top = np.maximum(middle - factor * side / 2, 0).astype(int)
            right, bottom = (middle + factor * side / 2).astype(int)
            crop = np.ascontiguousarray(rgb[top:bottom, left:right])
            longest = max(crop.shape[:2])
            for scale in {1.0, SMALL_PX / longest} if longest > SMALL_PX else ():
                file = crop
                if scale != 1:
                    file = np.asarray(
                        cv2.resize(crop, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
                    )
                found = look(Picture(file, reduced(file))).sitter
                count += 1
                if found is None or found.landmarks is None:
                    lost += 1
                    continue
                off = np.linalg.norm(
                    found.landmarks[:468, :2] / scale - (places - (left, top)), axis=1
                ).mean()
                elsewhere += bool(off > FARTHEST * side)
    rows = []
    for what, number, goal in (
        ("no face or none with landmarks", lost, 0.01),
        ("another face", elsewhere, None),
    ):
        reached = None if goal is None or not count else number / count <= goal
        text = "" if goal is None else f"≤ {goal:.0%}"
        rows.append(Row(f"{name}: fills the frame, {what}", count, None, share(number, count), text, reached))
    return rows
