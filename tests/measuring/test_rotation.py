from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from eyeline.measuring.rotation import compose, decompose

turns = st.floats(-85, 85)


def test_the_order_is_that_of_the_contract() -> None:
    """docs/measures.md: R = Ry(yaw) · Rx(−pitch) · Rz(−roll); the textbook's elementary matrices."""
    yaw, pitch, roll = np.radians([20.0, 10.0, 5.0])
    ry = np.array([[np.cos(yaw), 0, np.sin(yaw)], [0, 1, 0], [-np.sin(yaw), 0, np.cos(yaw)]])
    rx = np.array([[1, 0, 0], [0, np.cos(pitch), np.sin(pitch)], [0, -np.sin(pitch), np.cos(pitch)]])
    rz = np.array([[np.cos(roll), np.sin(roll), 0], [-np.sin(roll), np.cos(roll), 0], [0, 0, 1]])
    assert compose(20, 10, 5) == pytest.approx(ry @ rx @ rz, abs=1e-12)


@given(turns, turns, turns)
def test_scipy_composes_alike(yaw: float, pitch: float, roll: float) -> None:
    """Intrinsic turns about y, x, z by `scipy.spatial.transform.Rotation`, with the contract's signs."""
    theirs = Rotation.from_euler("YXZ", (yaw, -pitch, -roll), degrees=True)
    assert compose(yaw, pitch, roll) == pytest.approx(theirs.as_matrix(), abs=1e-12)


@pytest.mark.parametrize("angles", [(20.0, -10.0, 5.0), (-43.0, 14.0, -14.0), (0.0, 0.0, 0.0)])
def test_worked_examples_come_back(angles: tuple[float, float, float]) -> None:
    """published values: 20, −10, 5 composed and decomposed gives 20, −10, 5 within 1e-9."""
    assert decompose(compose(*angles)) == pytest.approx(angles, abs=1e-9)


@given(turns, turns, turns)
def test_decompose_undoes_compose(yaw: float, pitch: float, roll: float) -> None:
    assert decompose(compose(yaw, pitch, roll)) == pytest.approx((yaw, pitch, roll), abs=1e-6)


@given(turns, turns, turns)
def test_a_mirror_turns_yaw_and_roll_about_and_leaves_pitch(yaw: float, pitch: float, roll: float) -> None:
    mirror = np.diag([-1.0, 1.0, 1.0])
    assert decompose(mirror @ compose(yaw, pitch, roll) @ mirror) == pytest.approx(
        (-yaw, pitch, -roll), abs=1e-6
    )


def test_the_signs_are_those_a_viewer_sees() -> None:
    assert (compose(20, 0, 0) @ [0, 0, 1])[0] > 0, "the face points toward frame right"
    assert (compose(0, 20, 0) @ [0, 0, 1])[1] > 0, "the chin is up"
    assert (compose(0, 0, 20) @ [0, 1, 0])[0] > 0, "the top of the head leans to frame right: clockwise"
