"""Codes on slates, made by an encoder that is independent of what reads them."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from eyeline.measuring.slate_code import LONGEST, MEASURE, NO_CODE, NO_WORDS, WITH_FACE, read_code
from eyeline.terms.face import Face, Seen
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import FrameSubject

# EAN-13 by the tables of ISO/IEC 15420: L, G and R codes, and which of L and G the first digit asks for.
LEFT = (
    "0001101",
    "0011001",
    "0010011",
    "0111101",
    "0100011",
    "0110001",
    "0101111",
    "0111011",
    "0110111",
    "0001011",
)
PARITY = ("LLLLLL", "LLGLGG", "LLGGLG", "LLGGGL", "LGLLGG", "LGGLLG", "LGGGLL", "LGLGLG", "LGLGGL", "LGGLGL")


def ean_13(digits: str) -> NDArray[np.uint8]:
    """A bar code of twelve digits and their check digit, black on white."""
    check = -sum(int(digit) * (3 if place % 2 else 1) for place, digit in enumerate(digits)) % 10
    digits += str(check)
    right = ["".join("10"[int(bit)] for bit in code) for code in LEFT]
    bits = "101"
    for digit, parity in zip(digits[1:7], PARITY[int(digits[0])], strict=True):
        bits += LEFT[int(digit)] if parity == "L" else right[int(digit)][::-1]
    bits += "01010" + "".join(right[int(digit)] for digit in digits[7:]) + "101"
    row = np.repeat(np.array([255 * (bit == "0") for bit in bits], np.uint8), 4)
    return np.pad(np.tile(row, (160, 1)), 60, constant_values=255)


def qr(text: str) -> NDArray[np.uint8]:
    code = cv2.QRCodeEncoder.create().encode(text)
    return np.pad(
        cv2.resize(code, None, fx=6, fy=6, interpolation=cv2.INTER_NEAREST), 40, constant_values=255
    )


def held_up(code: NDArray[np.uint8], turn: float = 8.0, noise: float = 6.0) -> NDArray[np.uint8]:
    """The card with `code` in a grey frame of 1024 × 683, turned a little, in noise."""
    frame = np.full((683, 1024), 110, np.float32)
    top, left = (683 - code.shape[0]) // 2, (1024 - code.shape[1]) // 2
    frame[top : top + code.shape[0], left : left + code.shape[1]] = code
    matrix = cv2.getRotationMatrix2D((512, 341), turn, 1.0)
    frame = cv2.warpAffine(frame, matrix, (1024, 683), borderValue=110)
    frame += np.random.default_rng(1).normal(0, noise, frame.shape).astype(np.float32)
    return np.repeat(np.clip(frame, 0, 255).astype(np.uint8)[:, :, None], 3, axis=2)


def measured(rgb: NDArray[np.uint8], faces: tuple[Face, ...] = ()) -> object:
    seen = Seen.__new__(Seen)
    object.__setattr__(seen, "faces", faces)
    subject = FrameSubject.__new__(FrameSubject)
    for name, value in (("seen", seen), ("picture", Picture(rgb, rgb))):
        object.__setattr__(subject, name, value)
    (found,) = MEASURE.function(subject)
    return found.value if found.missing is None else found.missing


@pytest.mark.parametrize("text", ["17", "Alva Example", "Zoë Ünal"])
def test_a_qr_code_that_is_held_up_is_read(text: str) -> None:
    assert measured(held_up(qr(text))) == text


def test_a_bar_code_is_read_with_its_check_digit() -> None:
    assert (
        measured(held_up(ean_13("000000000017"), turn=2.0)) == "000000000178"
    )  # UPC-A, since the first digit is 0


def test_nothing_is_read_where_there_is_no_code() -> None:
    assert measured(np.full((683, 1024, 3), 90, np.uint8)) == NO_CODE
    assert read_code(np.random.default_rng(2).integers(0, 255, (683, 1024, 3)).astype(np.uint8)) is None


def test_a_code_that_is_no_line_of_text_is_none() -> None:
    assert measured(held_up(qr("x" * (LONGEST + 1)))) == NO_WORDS
    assert measured(held_up(qr("17\x1b[2J"))) == NO_WORDS


def test_a_frame_with_a_face_is_not_searched() -> None:
    assert measured(held_up(qr("17")), faces=(object(),)) == WITH_FACE  # type: ignore[arg-type]
