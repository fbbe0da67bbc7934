from __future__ import annotations

import cv2
import numpy as np
import pytest

from eyeline.measuring.face_shape import mirrored
from eyeline.measuring.mouth import (
    INNER_LIPS,
    SAMPLED_COLUMNS,
    between_lips,
    mouth_opening,
    smile,
    teeth_showing,
)
from tests.measuring.shoot_sitters import shoot_sitters


def of(mouth: str) -> list:
    return [s for s in shoot_sitters() if s.truth["mouth"] == mouth]


def test_open_mouths_are_open_and_others_are_not() -> None:
    assert min(mouth_opening(s.landmarks) for s in of("open")) > 0.15
    assert max(mouth_opening(s.landmarks) for s in of("closed") + of("smile")) < 0.1


def test_smiles_lift_the_corners() -> None:
    closed, smiling = ([smile(s.landmarks) for s in of(mouth)] for mouth in ("closed", "smile"))
    assert np.median(smiling) > np.median(closed) + 0.05
    assert np.mean(np.array(smiling) > np.percentile(closed, 95)) > 0.9


def test_scale_shift_and_mirror_leave_the_mouth_alone() -> None:
    for sitter in shoot_sitters()[:10]:
        moved = sitter.landmarks * np.float32(1.7) + np.array([40, -90, 0], np.float32)
        for changed in (moved, mirrored(sitter.landmarks, sitter.picture.width)):
            assert mouth_opening(changed) == pytest.approx(mouth_opening(sitter.landmarks), abs=1e-3)
            assert smile(changed) == pytest.approx(smile(sitter.landmarks), abs=1e-3)


def test_painted_teeth_show_and_a_dark_mouth_has_none() -> None:
    """The renders have no teeth: the gap between the lips is painted, once as teeth, once black."""
    sitter = of("open")[0]
    outline = np.round(sitter.landmarks[list(INNER_LIPS), :2]).astype(np.int32)
    for colour, expected in (((225, 215, 200), True), ((25, 10, 10), False)):
        painted = sitter.picture.rgb.copy()
        cv2.fillPoly(painted, [outline], colour)
        assert teeth_showing(painted, sitter.landmarks) is expected


def test_lips_together_show_no_teeth() -> None:
    assert not any(teeth_showing(s.picture.rgb, s.landmarks) for s in of("closed"))


def test_a_mouth_out_of_the_frame_cannot_be_told() -> None:
    sitter = of("open")[0]
    assert teeth_showing(sitter.picture.rgb[:100], sitter.landmarks) is None


def test_a_mouth_is_told_alike_in_a_file_five_times_as_large() -> None:
    """There it is sampled: every so many pixels, not all."""
    sitter = of("open")[0]
    outline = sitter.landmarks[list(INNER_LIPS), :2]
    for colour, expected in (((225, 215, 200), True), ((25, 10, 10), False)):
        painted = sitter.picture.rgb.copy()
        cv2.fillPoly(painted, [np.round(outline).astype(np.int32)], colour)
        large = cv2.resize(painted, None, fx=5, fy=5, interpolation=cv2.INTER_LINEAR)
        assert teeth_showing(large, 5 * sitter.landmarks) is expected
        between = between_lips(large, 5 * sitter.landmarks)
        assert SAMPLED_COLUMNS < len(between) < 5 * len(between_lips(painted, sitter.landmarks))
        assert np.median(between, axis=0) == pytest.approx(colour, abs=2)
