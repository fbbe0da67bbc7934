"""What a QR or bar code says that is held up to the camera: on a slate or a card, before a sitter begins."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.terms.measurement import FrameMeasure, FrameSubject, Measurement, Quantity

NAME = "slate_code"

LONGEST = 80
"""Characters of a code that are kept: a name or a number. A longer one is an address for telephones."""

WITH_FACE = "codes are read only where no face is found: looking for one costs a fifth of measuring a photo"
NO_CODE = "no QR or bar code was found"
NO_WORDS = f"the code holds no text of one line, or more than {LONGEST} characters"


@cache
def _detectors() -> tuple[cv2.QRCodeDetector, cv2.barcode.BarcodeDetector]:
    return cv2.QRCodeDetector(), cv2.barcode.BarcodeDetector()


def read_code(rgb: NDArray[np.uint8]) -> str | None:
    """The text of the QR code in `rgb`, uint8 (M, N, 3), else of the bar code (EAN-13, EAN-8, UPC-A), digits
    with their check digit; None where there is none that can be read."""
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    qr, bar = _detectors()
    for detector in (qr, bar):
        try:
            text = detector.detectAndDecode(grey)[0]
        except (cv2.error, UnicodeDecodeError):  # a code in bytes that are no text, or broken geometry
            continue
        if text:
            return str(text)
    return None


def _slate_code(subject: FrameSubject) -> Sequence[Measurement]:
    if subject.seen.faces:
        return [Measurement(NAME, None, WITH_FACE)]
    text = read_code(subject.picture.reduced)
    if text is None:
        return [Measurement(NAME, None, NO_CODE)]
    text = " ".join(text.split())
    if not text.isprintable() or not 0 < len(text) <= LONGEST:
        return [Measurement(NAME, None, NO_WORDS)]
    return [Measurement(NAME, text)]


MEASURE = FrameMeasure(
    quantities=(
        Quantity(NAME, "text", "what a QR or bar code says, on a frame without a face: who sits next"),
    ),
    function=_slate_code,
    source="ISO/IEC 18004 (QR), ISO/IEC 15420 (EAN/UPC), as OpenCV reads them",
)
