"""All that the models see in one picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.covers import covered_parts
from eyeline.reading.boxes import Box
from eyeline.reading.crop import square
from eyeline.reading.finder import filling_face, find_boxes
from eyeline.reading.hands import hands_about
from eyeline.reading.mesh import landmarks_in
from eyeline.reading.on_a_picture import is_on_a_picture
from eyeline.reading.silhouette import body_silhouette, head_silhouette
from eyeline.terms.face import Face, Seen
from eyeline.terms.frame import Picture

SECOND_LOOKS = (1.0, 0.75, 1.4)
"""Box sizes, in sides of the detector's box, that the mesh is tried on until it finds the face."""

RIVAL_SIZE = 0.75
"""A face this tall against the largest may be the sitter too: people of one group differ as much by
where they stand (adult head heights vary by less than 10 %, ANSUR II)."""

PASSER_BY = 0.4
"""A face less tall than this against one on a picture is nobody whom the frame is about."""

CLEARLY_SHARPER = 1.9
"""Ratio of sharpness from which focus, not chance, tells who the frame is about (measured: up to 1.7 in
99 % of pairs of equally sharp faces; 1.9 to 3 for a blur of 2 % of the face)."""

SHARPNESS_PX = 128
"""Side that faces are brought to before their sharpness is compared: the same for all."""

MOST_APART = 0.1
"""Mean distance between the landmarks of a look and of one in the mirror, in heights of the face's box, from
which they are not of one face (measured on 242 faces, real and rendered: at most 0.04)."""


def look(picture: Picture) -> Seen:
    """Find faces, choose the sitter, and take the sitter's landmarks and both silhouettes.

    The sitter is the largest face; among those nearly as large the clearly sharpest, else the most
    central; a face on a picture within the scene gives way to one in it. A face in which the
    mesh finds nothing gives way to the next. Every face beside the sitter's must be confirmed by the mesh:
    the detector alone takes a hand for a face now and then. The sitter's landmarks are the mean of two looks
    (`steadied`); where the second finds nothing in any face, they are those of one.
    """
    body = body_silhouette(picture)
    faces = [Face(box, _landmarks(picture, box), score) for box, score in find_boxes(picture, body)]
    confirmed = [face for face in faces if face.landmarks is not None]
    found = _steady_sitter(picture, confirmed) or _steady_sitter(picture, _filling(picture))
    if found is not None:
        sitter, why, confirmed = found
    elif confirmed:
        sitter, why = choose(picture, confirmed)
    elif faces:
        sitter, why = faces[0], "the largest face, though no landmarks were found in it"
        confirmed = [sitter]
    else:
        return Seen((), None, "no face was found", None, None)
    head = head_silhouette(picture, sitter.box)
    return Seen(tuple(confirmed), sitter, why, head, body, _covered(picture, sitter))


def _covered(picture: Picture, sitter: Face) -> tuple[str, ...]:
    """What something stands before in the sitter's face; hands are sought where that is in doubt."""
    landmarks = sitter.landmarks
    if landmarks is None:
        return ()
    return covered_parts(picture, landmarks, lambda: hands_about(picture, landmarks))


def _steady_sitter(picture: Picture, faces: Sequence[Face]) -> tuple[Face, str, list[Face]] | None:
    """The sitter with landmarks in the mean of two looks, why, and who else there is; None without one.

    A face in which a look at the mirrored picture finds nothing gives way to the next, and is none.
    """
    left = list(faces)
    while left:
        chosen, why = choose(picture, left)
        steady = steadied(picture, chosen)
        if steady is not None:
            return steady, why, [steady if face is chosen else face for face in left]
        left = [face for face in left if face is not chosen]
    return None


def _filling(picture: Picture) -> list[Face]:
    """The face that fills the picture, if the mesh confirms it."""
    found = filling_face(picture)
    if found is None:
        return []
    box, score = found
    landmarks = _landmarks(picture, box)
    return [] if landmarks is None else [Face(box, landmarks, score)]


def choose(picture: Picture, faces: list[Face]) -> tuple[Face, str]:
    """The sitter among `faces`, largest first and not empty, and why.

    A face on a picture within the scene gives way to one in the scene, unless that is a passer-by.
    """
    chosen, why = _chosen(picture, faces)
    if len(faces) > 1 and is_on_a_picture(picture, chosen.box):
        others = [
            each
            for each in faces
            if each is not chosen and each.height_px >= PASSER_BY * chosen.height_px
            if not is_on_a_picture(picture, each.box)
        ]
        if others:
            return _chosen(picture, others)[0], "the face in the scene; another is on a picture in it"
    return chosen, why


def steadied(picture: Picture, face: Face) -> Face | None:
    """`face` with the mean of its landmarks and of those that a look at the mirrored picture finds; None
    where that finds nothing there, or another face.

    Alone, the mesh sees a face and its mirror image differently: the head's turn by 0.5° and up to 2°, the
    gaze by 0.8°, blur at the eye by more than a tenth in 3 of 50 portraits; by the mean 0.2°, 0.4°, none.
    That costs one more look of the short-range detector and of the mesh, for the sitter alone.
    """
    there = _landmarks(picture, face.box, in_mirror=True)
    if face.landmarks is None or there is None:
        return None
    apart = np.linalg.norm(face.landmarks[:, :2] - there[:, :2], axis=1).mean()
    if apart > MOST_APART * face.height_px:
        return None
    return replace(face, landmarks=np.asarray((face.landmarks + there) / 2, np.float32))


def _chosen(picture: Picture, faces: list[Face]) -> tuple[Face, str]:
    if len(faces) == 1:
        return faces[0], "the only face"
    rivals = [face for face in faces if face.height_px >= RIVAL_SIZE * faces[0].height_px]
    if len(rivals) == 1:
        return faces[0], f"the largest of {len(faces)} faces"
    sharpness = sorted(
        ((_sharpness(picture, face), index) for index, face in enumerate(rivals)), reverse=True
    )
    if sharpness[0][0] > CLEARLY_SHARPER * sharpness[1][0]:
        return rivals[sharpness[0][1]], f"the sharpest of {len(rivals)} faces of like size"
    return (
        min(rivals, key=lambda face: abs((face.box[0] + face.box[2]) / 2 - picture.width / 2)),
        f"the most central of {len(rivals)} faces of like size",
    )


def _landmarks(picture: Picture, box: Box, in_mirror: bool = False) -> NDArray[np.float32] | None:
    """Landmarks of the face in `box` and no other: their middle must lie inside it."""
    centre = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    for size in SECOND_LOOKS:
        half = (box[2] - box[0]) / 2 * size, (box[3] - box[1]) / 2 * size
        grown = (centre[0] - half[0], centre[1] - half[1], centre[0] + half[0], centre[1] + half[1])
        found = landmarks_in(picture, grown, in_mirror)
        if found is not None:
            x, y = found[:468, :2].mean(axis=0)
            if box[0] <= x <= box[2] and box[1] <= y <= box[3]:
                return found
    return None


def _sharpness(picture: Picture, face: Face) -> float:
    """Finest edges in a face against its coarser ones; comparable between faces of a frame.

    The strongest 2 % of edges decide, so that smooth skin, beards and light weigh little.
    """
    box = face.box
    centre = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    patch = square(picture, centre, max(box[2] - box[0], box[3] - box[1]), SHARPNESS_PX)
    grey = cv2.cvtColor(patch.rgb, cv2.COLOR_RGB2GRAY).astype(np.float32)
    fine, middle, coarse = (cv2.GaussianBlur(grey, (0, 0), sigma) for sigma in (1, 2, 8))
    strongest = [float(np.percentile(np.abs(band), 98)) for band in (fine - middle, middle - coarse)]
    return strongest[0] / max(strongest[1], 1e-6)
