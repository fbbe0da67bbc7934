from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from eyeline.measuring.face_shape import mirrored, posture, usual_face
from eyeline.measuring.head import head_angles
from eyeline.measuring.rotation import compose
from tests.measuring.shoot_sitters import shoot_sitters

turns = st.floats(-40, 40)


def seen_at(yaw: float, pitch: float, roll: float, scale: float = 30) -> np.ndarray:
    """The usual face turned by the angles, as landmarks: pixels, y down, z away from the camera."""
    points = usual_face().points @ compose(yaw, pitch, roll).T * scale
    return (points * [1, -1, -1] + [400, 500, 0]).astype(np.float32)


def test_the_usual_face_is_symmetric_and_its_mirror_undoes_itself() -> None:
    face = usual_face()
    assert (face.mirror[face.mirror] == np.arange(478)).all()
    assert face.points[face.mirror] * [-1, 1, 1] == pytest.approx(face.points, abs=1e-4)
    assert face.weight.sum() == pytest.approx(1, abs=1e-6)


def test_the_usual_face_is_as_wide_between_the_pupils_as_people_are() -> None:
    """Its unit is a centimetre: adult interpupillary distance 5.1 to 7.7 cm (ANSUR II)."""
    face = usual_face().points
    assert 5.1 < np.linalg.norm(face[468] - face[473]) < 7.7


@settings(max_examples=50, deadline=None)
@given(turns, turns, turns)
def test_an_aligned_face_gives_its_own_turn_back(yaw: float, pitch: float, roll: float) -> None:
    posed = posture(seen_at(yaw, pitch, roll))
    assert posed.rotation == pytest.approx(compose(yaw, pitch, roll), abs=1e-3)
    assert posed.scale == pytest.approx(30, rel=1e-3)


def test_shift_and_scale_change_no_angle() -> None:
    landmarks = shoot_sitters()[0].landmarks
    moved = (landmarks * np.float32(2.5) + np.array([300, -120, 0], np.float32)).astype(np.float32)
    assert head_angles(moved) == pytest.approx(head_angles(landmarks), abs=0.01)


def test_a_mirrored_mesh_turns_yaw_and_roll_about() -> None:
    for sitter in shoot_sitters()[:10]:
        yaw, pitch, roll = head_angles(sitter.landmarks)
        assert head_angles(mirrored(sitter.landmarks, sitter.picture.width)) == pytest.approx(
            (-yaw, pitch, -roll), abs=0.02
        )


def test_accuracy_on_the_shoot() -> None:
    """Mean absolute error within ±30°: 2.0°, 3.5° (after one common offset, since the rendered sitters rest
    about 9° higher than the canonical face) and 1.2°. The sitters' own rest poses differ by 5° to 11°, which
    bounds what pitch can be held to here: real faces decide (measuring/head.py).
    """
    sitters = [s for s in shoot_sitters() if abs(s.truth["head_yaw_los"]) <= 30]
    assert len(sitters) >= 50
    truth = [(s.truth["head_yaw_los"], s.truth["head_pitch_los"], s.truth["head_roll"]) for s in sitters]
    error = np.array([head_angles(s.landmarks) for s in sitters]) - truth
    error[:, 1] -= np.median(error[:, 1])
    yaw, pitch, roll = abs(error).mean(axis=0)
    assert yaw <= 2.0
    assert pitch <= 3.5
    assert roll <= 1.2
