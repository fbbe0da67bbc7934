"""Focus on the eye or behind it, told by blurring the one or the other by known amounts."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from eyeline.measuring.focus_behind import MEASURE, sharper_behind
from eyeline.reading.picture import reduced
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Measurement
from tests.measuring.shoot_sitters import Sitter, shoot_sitters

NOISE = {"noise_sigma": Measurement("noise_sigma", 0.5)}


def _ears_outside() -> Sitter:
    """A sitter turned to the lens."""
    return next(s for s in shoot_sitters() if abs(s.truth["head_yaw_los"]) < 5 and s.truth["eyes_visible"])


def _measured(behind_sigma: float, eye_sigma: float) -> Measurement:
    """Bricks of known blur about the sitter's face; the eye's own blur as given."""
    sitter = _ears_outside()
    rows, columns = np.mgrid[: sitter.picture.height, : sitter.picture.width]
    bricks = np.where((rows // 40 + columns // 60) % 2, 190.0, 60.0).astype(np.float32)
    behind = cv2.GaussianBlur(bricks, (0, 0), behind_sigma)[..., None].repeat(3, axis=2)
    left, top = sitter.landmarks[:, :2].min(axis=0) - 60
    right, bottom = sitter.landmarks[:, :2].max(axis=0) + 60
    person = (rows > top) & (rows < bottom) & (columns > left) & (columns < right)
    face = cv2.GaussianBlur(sitter.picture.rgb, (0, 0), 12)  # ears and all far softer than the bricks
    rgb = np.where(person[..., None], face, behind).astype(np.uint8)
    small = reduced(rgb)
    size = (float(sitter.picture.width), float(sitter.picture.height))
    body = Silhouette(person[::4, ::4].astype(np.float32), 0.0, 0.0, *size)
    subject = sitter.subject
    (found,) = MEASURE.function(
        replace(
            subject,
            picture=Picture(rgb, small),
            sitter=replace(subject.sitter, body=body),
            known={"eye_blur_px": Measurement("eye_blur_px", eye_sigma), **NOISE},
        )
    )
    return found


@pytest.mark.parametrize(("behind", "eye"), [(1.0, 4.0), (2.0, 2.0), (4.0, 1.0)])
def test_bricks_of_known_blur_stand_against_the_eye_as_arithmetic_says(behind: float, eye: float) -> None:
    assert _measured(behind, eye).value == pytest.approx((eye - behind) / (eye + behind), abs=0.12)


def test_the_sign_says_which_is_sharper() -> None:
    assert sharper_behind(4, 1) == pytest.approx(0.6)
    assert sharper_behind(1, 4) == pytest.approx(-0.6)
    assert sharper_behind(2, 2) == 0


def test_without_the_eyes_own_blur_it_is_missing() -> None:
    sitter = _ears_outside()
    known = {"eye_blur_px": Measurement("eye_blur_px", None, "the eyes are closed"), **NOISE}
    (found,) = MEASURE.function(replace(sitter.subject, known=known))
    assert found.value is None
    assert "the eyes are closed" in str(found.missing)


def test_a_plain_background_and_smooth_ears_give_no_answer() -> None:
    sitter = _ears_outside()
    plain = np.full_like(sitter.picture.rgb, 128)
    picture = Picture(plain, reduced(plain))
    known = {"eye_blur_px": Measurement("eye_blur_px", 1.0), **NOISE}
    (found,) = MEASURE.function(replace(sitter.subject, picture=picture, known=known))
    assert found.value is None
    assert found.missing
