"""Hands about a face: as mediapipe sees them, where they are, and only looked for where they matter."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from eyeline.measuring.face_shape import mirrored
from eyeline.reading.detector import PALM, anchors
from eyeline.reading.hands import LEAST_SCORE, MIDDLE, WRIST, hands_about
from eyeline.terms.face import Hand
from tests.reading.hand_pictures import USED, hand_pictures
from tests.reading.mediapipe_record import WHOLE_PX
from tests.reading.shoot_pictures import painted, picture_of, scaled, seen_in

RECORD = Path(__file__).with_name("mediapipe_hands.npz")
"""mediapipe 0.10.21's own palms in the same pictures; mediapipe_record.py says how it came about."""


@cache
def landmarks_of(file: str) -> np.ndarray:
    """Of the frame as `hand_pictures` shows it, without a hand."""
    sitter = seen_in(file).sitter
    assert sitter is not None and sitter.landmarks is not None
    return sitter.landmarks * np.float32(WHOLE_PX / max(picture_of(file).rgb.shape[:2]))


def test_the_grids_have_as_many_anchors_as_the_published_model() -> None:
    """2016 for 192 pixels, as the model's own output has rows."""
    assert anchors(PALM.grids).shape == (2016, 2)


@pytest.mark.parametrize("name", list(hand_pictures()))
def test_the_surest_palm_is_mediapipes(name: str) -> None:
    """Weights are rounded to 8 bits here: over 192 likely anchors of 25 such pictures, scores differ by 0.02
    in the mean and 0.10 at the most. Which side the thumb is on may differ, wrist and knuckle hardly do."""
    with np.load(RECORD) as record:
        theirs = record[f"{name}.palms"][0]
    ours = PALM.found(hand_pictures()[name], LEAST_SCORE)[0]
    assert ours.score == pytest.approx(theirs[-1], abs=0.1)
    wrist, middle = theirs[4:6], theirs[8:10]
    palm_px = np.hypot(*(middle - wrist))
    assert np.abs(ours.points[[WRIST, MIDDLE]] - [wrist, middle]).max() < 0.1 * palm_px


@pytest.mark.parametrize("name", list(hand_pictures()))
def test_a_hand_before_a_face_is_seen_there(name: str) -> None:
    found = hands_about(painted(hand_pictures()[name]), landmarks_of(f"{name[-8:]}.jpg"))
    face = landmarks_of(f"{name[-8:]}.jpg")[:468, :2]
    middle, size = face.mean(axis=0), np.ptp(face[:, 1])
    assert found
    for hand in found:
        assert np.hypot(*(np.array(hand.knuckle) - middle)) < size
        assert 0.2 * size < hand.palm_px < size


def test_a_mirror_has_mirrored_hands() -> None:
    name, rgb = next(iter(hand_pictures().items()))
    landmarks = landmarks_of(f"{name[-8:]}.jpg")
    plain = hands_about(painted(rgb), landmarks)
    other = hands_about(painted(rgb[:, ::-1]), mirrored(landmarks, rgb.shape[1]))
    assert len(plain) == len(other) > 0

    def places(hands: tuple[Hand, ...], mirror: bool) -> np.ndarray:
        x = [rgb.shape[1] - hand.knuckle[0] if mirror else hand.knuckle[0] for hand in hands]
        return np.array(sorted(zip(x, (hand.knuckle[1] for hand in hands), strict=True)))

    np.testing.assert_allclose(places(plain, False), places(other, True), atol=2)


def test_few_bare_faces_show_a_hand() -> None:
    """Alone the detector is no witness: of real bare faces one in sixteen looks like a palm to it."""
    shown = [
        hands_about(painted(scaled(picture_of(file).rgb, WHOLE_PX / 1800)), landmarks_of(file))
        for file in USED
    ]
    assert sum(map(bool, shown)) <= 1
