"""Whether something stands before the sitter's face: a hand, a scarf, a paper, hair across an eye.

A face mesh always draws a whole face, behind a hand too, and says nothing of it. A small network looks at
the face (face_patch.py) and tells what of it is not to be seen (`covers.npz`; training/train_covers.py).
Where it is in doubt, a hand that is seen near the part decides.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping, Sequence
from dataclasses import replace
from functools import cache
from math import hypot, inf

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.convolution import FLAT_LEVELS, Layer, convolved, rectified
from eyeline.measuring.crown import CHIN as CHIN_POINT
from eyeline.measuring.face_patch import SIDE_CM, SIDE_PX, face_patch
from eyeline.measuring.face_shape import posture
from eyeline.measuring.head import corrected_angles
from eyeline.measuring.network_file import arrays_in
from eyeline.measuring.pupils import CENTRES
from eyeline.terms.face import Hand
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject
from eyeline.terms.points import COVERED, LEFT_EYE, PARTS, RIGHT_EYE

LEAST_ODDS = (2.0, 2.0, 4.0)
"""Log odds from which each of `PARTS` counts as covered: the least whole ones at which, of sitters kept
aside, no bare look is called covered and of parts beside a cover at most one in 100 is
(training/train_covers.py): half of the covered eyes and a quarter of the covered chins are told. That rule
replaced a stricter one after photographs had been looked at (training/README.md). A false alarm takes
measures from a good frame and costs more than a miss."""

LEAST_BY_A_HAND = (0.5, 0.5, 1.5)
"""The same where a hand is seen near the part: by the same rule, in half steps, with a modelled hand set
before real faces (training/README.md)."""

HAND_REACH = 1.25
"""How far from where the middle finger begins a hand can cover something, in lengths of its palm: that finger
is somewhat shorter than the palm, and a palm that is turned looks shorter than it is."""

PART_POINTS = (*CENTRES, CHIN_POINT)
"""The landmark in the middle of each part."""

MOST_TURNED_DEG = 45.0
"""Turn of the head from which nothing is said of the eye on the far side: the network learned from heads that
turn up to 43°, and behind the bridge of the nose an eye looks covered to it."""

LAYERS = ("c1", "c2", "c3", "c4")
"""Layers of convolutions, each of which halves the patch."""


def covered_parts(
    picture: Picture, landmarks: NDArray[np.float32], hands: Callable[[], Sequence[Hand]] = tuple
) -> tuple[str, ...]:
    """Parts of the face with `landmarks` (478, 3; pixels of the full-size picture), of `terms.points.PARTS`,
    that something covers for certain. `hands`: see `told`.
    """
    return told(part_odds(picture, landmarks), landmarks, hands)


def told(
    odds: Sequence[float], landmarks: NDArray[np.float32], hands: Callable[[], Sequence[Hand]]
) -> tuple[str, ...]:
    """The parts that count as covered by their log `odds`. `hands` is asked for those about the face, which
    costs time, only where a part is in doubt.
    """
    doubtful = [LEAST_BY_A_HAND[part] <= odds[part] < LEAST_ODDS[part] for part in range(len(PARTS))]
    seen = hands() if any(doubtful) else ()
    return tuple(
        name
        for part, name in enumerate(PARTS)
        if odds[part] >= LEAST_ODDS[part]
        or (doubtful[part] and any(reaches(hand, landmarks[PART_POINTS[part], :2]) for hand in seen))
    )


def reaches(hand: Hand, place: NDArray[np.float32]) -> bool:
    """Whether `place` (x, y), in pixels of the full-size picture, is near enough for `hand` to cover it."""
    away = hypot(float(place[0]) - hand.knuckle[0], float(place[1]) - hand.knuckle[1])
    return away <= HAND_REACH * hand.palm_px


def part_odds(picture: Picture, landmarks: NDArray[np.float32]) -> tuple[float, ...]:
    """Log odds that each of `PARTS` is covered of the face with `landmarks`; of an eye that the head itself
    turns away minus infinity.
    """
    face, rgb = posture(landmarks), picture.rgb
    yaw_deg, _, _ = corrected_angles(face)
    reduction = picture.reduced.shape[0] / picture.height
    if SIDE_CM * face.scale * reduction >= SIDE_PX:
        rgb, landmarks = picture.reduced, landmarks * np.float32(reduction)
        face = replace(face, scale=face.scale * reduction)
    patch, _ = face_patch(rgb, landmarks, face)
    away = {LEFT_EYE: yaw_deg <= -MOST_TURNED_DEG, RIGHT_EYE: yaw_deg >= MOST_TURNED_DEG}
    return tuple(
        -inf if away.get(part) else odds for part, odds in zip(PARTS, cover_odds(patch), strict=True)
    )


def cover_odds(patch: NDArray[np.uint8]) -> tuple[float, ...]:
    """Log odds that each of `PARTS` is covered in a `face_patch`. It is looked at in a mirror too, so that
    a mirrored picture has mirrored answers by construction.

    The network's fourth answer, the mouth, only helped it to learn: rendered mouths have no teeth, and a grin
    looks like a cover to it.
    """
    levels = patch.transpose(2, 0, 1).astype(np.float32)
    centred = levels - levels.mean(axis=(1, 2), keepdims=True)
    centred /= centred.std() + np.float32(FLAT_LEVELS)
    layer: Layer = np.stack([centred, centred[:, :, ::-1]], axis=1)
    weights = _weights()
    for name in LAYERS:
        layer = rectified(convolved(layer, weights[f"{name}.weight"], weights[f"{name}.bias"], 2))
    hidden = np.maximum(layer.swapaxes(0, 1).reshape(2, -1) @ weights["f.weight"].T + weights["f.bias"], 0)
    plain, mirrored = hidden @ weights["o.weight"].T + weights["o.bias"]
    return tuple(float(each) for each in (plain + mirrored[[1, 0, 2, 3]])[: len(PARTS)] / 2)


@cache
def _weights() -> Mapping[str, Layer]:
    return arrays_in("covers.npz", np.float32)


def without_covered(
    taken: Sequence[Measurement], covered: Container[str], parts_of: Mapping[str, Sequence[str]]
) -> list[Measurement]:
    """`taken` with what depends on a `covered` part made missing; `parts_of` names the parts by measure."""
    answer = []
    for each in taken:
        hidden = next((part for part in parts_of.get(each.name, ()) if part in covered), None)
        answer.append(each if hidden is None else Measurement(each.name, None, COVERED.format(hidden)))
    return answer


def measure_covers(subject: Subject) -> Sequence[Measurement]:
    """Whether each part is covered."""
    return [
        Measurement(quantity.name, part in subject.sitter.points.covered)
        for quantity, part in zip(MEASURE.quantities, PARTS, strict=True)
    ]


MEASURE = SitterMeasure(
    quantities=(
        Quantity("left_eye_covered", "bool", "something stands before the eye on the frame's left"),
        Quantity("right_eye_covered", "bool", "something stands before the eye on the frame's right"),
        Quantity("chin_covered", "bool", "something stands before the chin"),
    ),
    function=measure_covers,
    source="a network trained on rendered faces with things drawn before them (training/train_covers.py); in "
    "doubt, whether a hand is seen there (palm detector, Zhang et al. 2020)",
)
