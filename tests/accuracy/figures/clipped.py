"""How much of the face is at the white limit."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageOps
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation
from skimage import draw

from eyeline.measuring.face_shape import usual_face
from eyeline.measuring.skin import NOT_SKIN, OVAL
from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair
from tests.accuracy.portraits import Person, Portrait

MOST_OFF = 0.01
"""Share of the face that the measure may be off, on average."""

WHITE_LIMIT = 250
"""8-bit value at which a channel is full."""

CHANNELS = 2
"""Channels at that limit from which drawing is lost (docs/measures.md): light skin's red alone is there
long before."""

REST_PITCH_DEG = 9.0
"""How much higher than the usual face's the zero of the rendered sitters' pitch lies (README of the sets)."""

PUPILS, CHIN = (468, 473), 152
"""Irises' centres, on the frame's left and right, and the lowest point of the chin in mediapipe's mesh."""


def clipped_row(pairs: Sequence[Pair]) -> Row:
    """Against the share of white pixels in the face where the truth says that it is: no landmark that
    eyeline found is in it, only the outline by which "the face" is defined."""
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
    """Distance of the measured share from the true one, for frames of one person."""
    return np.array(
        [
            abs(value - clipped_by_truth(pair.portrait))
            for pair in pairs
            if _is_counted(pair) and (value := pair.number("face_clipped")) is not None
        ]
    )


def clipped_by_truth(portrait: Portrait) -> float:
    """Share of the skin of the face, in full size, with two channels at the limit."""
    (person,) = portrait.people
    with Image.open(portrait.path) as opened:
        pixels = np.asarray(ImageOps.exif_transpose(opened).convert("RGB"))
    face = face_by_truth(person)
    skin = np.zeros(pixels.shape[:2], bool)
    skin[_outlined(face, OVAL, skin.shape)] = True
    for part in NOT_SKIN:
        skin[_outlined(face, part, skin.shape)] = False
    return float(((pixels[skin] >= WHITE_LIMIT).sum(axis=1) >= CHANNELS).mean())


def face_by_truth(person: Person) -> np.ndarray:
    """The usual face's 478 points, x and y in pixels, turned by the true angles and brought onto the true
    pupils and chin by size, length and place (least squares; perspective within a face left out).
    """
    angles = person.head_yaw_los, REST_PITCH_DEG - person.head_pitch_los, -person.head_roll
    turn = Rotation.from_euler("YXZ", angles, degrees=True).as_matrix()
    upright = usual_face().points
    size = upright * (1, 0, 1) @ turn.T
    length = upright * (0, 1, 0) @ turn.T
    known = [*PUPILS, CHIN]
    true = np.array([person.pupil_left, person.pupil_right, person.chin]) * (1, -1)
    columns = [size[known, :2].ravel(), length[known, :2].ravel(), np.tile((1, 0), 3), np.tile((0, 1), 3)]
    wide, high, right, up = np.linalg.lstsq(np.stack(columns, 1), true.ravel(), rcond=None)[0]
    found = wide * size[:, :2] + high * length[:, :2] + (right, up)
    return np.asarray(found * (1, -1))


def _outlined(face: np.ndarray, part: Sequence[int], shape: tuple[int, int]) -> tuple[np.ndarray, np.ndarray]:
    """Rows and columns of the pixels within the hull of some points of `face`."""
    points = face[list(part)]
    x, y = points[ConvexHull(points).vertices].T
    return draw.polygon(y, x, shape)


def _is_counted(pair: Pair) -> bool:
    return pair.person is not None and len(pair.portrait.people) == 1
