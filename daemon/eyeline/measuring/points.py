"""From what the models saw to the sitter's points in fractions of the frame."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.calm import calm_rectangles
from eyeline.measuring.crown import CHIN, SIDE_HAIR, crown, person_about, sides
from eyeline.measuring.framing import HEAD_ABOVE_EYES
from eyeline.measuring.pupils import CENTRES, refined_pupils
from eyeline.terms.eyes import EyesSeen
from eyeline.terms.face import Face, Seen, Silhouette
from eyeline.terms.frame import Picture
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle

LEAST_HEADS_TO_FEET = 5.0
"""Head heights from the chin to the feet, at least: 6.5 of 7.5 in a standing figure, about 5 in one on a
chair (common practice in figure drawing)."""

FLOOR_ROOM = 0.02
"""Floor that must be seen under the silhouette, in fractions of the frame's height."""


def sitter_points(picture: Picture, seen: Seen, eyes: EyesSeen | None) -> Points | None:
    """The sitter's points; None without a sitter whose landmarks were found and `eyes` looked at.

    Fractions of the upright frame, x of its width and y of its height.
    """
    if seen.sitter is None or seen.sitter.landmarks is None or eyes is None:
        return None
    if seen.head is None or seen.body is None:
        return None
    width, height = picture.width, picture.height
    landmarks = seen.sitter.landmarks
    irises = refined_pupils(picture, landmarks, eyes)
    chin = (float(landmarks[CHIN, 0]) / width, float(landmarks[CHIN, 1]) / height)
    top = crown(picture, landmarks, seen.head, seen.body)
    others = [face for face in seen.faces if face is not seen.sitter]
    extent = sides(landmarks, seen.head, width, [face.box for face in others])
    if extent is None:
        left, right = float(landmarks[:468, 0].min()), float(landmarks[:468, 0].max())
        more = SIDE_HAIR * (right - left)
        extent = left - more, right + more
    return Points(
        pupil_left=(irises.left[0] / width, irises.left[1] / height),
        pupil_right=(irises.right[0] / width, irises.right[1] / height),
        chin=chin,
        chin_cut=chin[1] >= 1,
        crown_y=None if top.y is None else top.y / height,
        crown_cut=top.cut,
        crown_missing=top.missing,
        head_left=extent[0] / width,
        head_right=extent[1] / width,
        feet_in_frame=feet_in_frame(landmarks, seen.body, height),
        calm=calm_rectangles(picture, seen, (extent[0] / width, extent[1] / width)),
        others=tuple(whole_head(face, width, height) for face in others),
        covered=seen.covered,
    )


def whole_head(face: Face, width_px: int, height_px: int) -> Rectangle:
    """The head of `face` with hair, as far as it lies in the frame: what no crop may cut.

    Its silhouette is not looked at, so hair is guessed by the usual shares; a tall hat stays out.
    """
    left, top, right, bottom = face.box
    if face.landmarks is not None:
        x, y = face.landmarks[:468, 0], face.landmarks[:468, 1]
        more = SIDE_HAIR * float(np.ptp(x))
        left, right = min(left, float(x.min()) - more), max(right, float(x.max()) + more)
        bottom = max(bottom, float(y.max()))
        eyes_y = float(face.landmarks[CENTRES, 1].mean())
        top = min(top, eyes_y - HEAD_ABOVE_EYES / (1 - HEAD_ABOVE_EYES) * (float(y.max()) - eyes_y))
    left, right = max(left, 0.0), min(right, float(width_px))
    top, bottom = max(top, 0.0), min(bottom, float(height_px))
    return Rectangle(
        left / width_px, top / height_px, max(right - left, 0) / width_px, max(bottom - top, 0) / height_px
    )


def feet_in_frame(points: NDArray[np.float32], body: Silhouette, height_px: int) -> bool:
    """Whether the sitter's silhouette ends above the bottom edge, far enough below the chin for feet.

    Evidence, not proof: the silhouette model knows no feet, and a decider can hide them.
    """
    person = person_about(body, points)
    if person is None:
        return False
    row = (body.bottom - body.top) / person.shape[0]
    lowest = (float(np.flatnonzero(person.any(axis=1))[-1]) + 1) * row
    chin = float(points[CHIN, 1])
    head = 2 * (chin - float(points[CENTRES, 1].mean()))  # the eyes lie halfway up the head
    return bool(lowest < (1 - FLOOR_ROOM) * height_px and lowest - chin > LEAST_HEADS_TO_FEET * head)
