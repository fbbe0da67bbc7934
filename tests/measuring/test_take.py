"""Memory that runs out in a measure is no fact about the photo: it must reach the worker."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
import pytest

from eyeline.measuring.take import NO_FEATURES, NO_SITTER, take
from eyeline.terms.face import Face, Seen
from eyeline.terms.measurement import (
    FrameMeasure,
    FrameSubject,
    Measurement,
    Quantity,
    SitterMeasure,
    Subject,
)
from tests.settings.test_guests import subject

FAR_TOO_MANY = 1_000_000
"""Side in pixels of a picture of a terabyte."""


def by_numpy() -> None:
    np.ones((FAR_TOO_MANY, FAR_TOO_MANY), np.uint8)


def by_opencv() -> None:
    cv2.resize(np.zeros((8, 8), np.uint8), (FAR_TOO_MANY, FAR_TOO_MANY))


@pytest.mark.parametrize("spend", [by_numpy, by_opencv])
def test_a_measure_for_which_memory_runs_out_is_not_taken_as_missing(spend: Callable[[], None]) -> None:
    def greedy(_: FrameSubject) -> list[Measurement]:
        spend()
        return [Measurement("greed", "word")]

    measure = FrameMeasure((Quantity("greed", "word", "none"),), greedy, "common practice")
    with pytest.raises(MemoryError, match="greed"):
        take(subject(np.zeros((64, 64, 3), np.uint8)), (measure,))


def test_without_a_sitter_a_measure_of_one_is_not_called_and_says_why() -> None:
    def never(_: Subject) -> list[Measurement]:
        raise AssertionError("called without a sitter")

    measure = SitterMeasure((Quantity("lids", "ratio", "none"),), never, "common practice")
    nobody = subject(np.zeros((64, 64, 3), np.uint8))
    face = Face((0.0, 0.0, 9.0, 9.0), None, 0.9)
    featureless = replace(nobody, seen=Seen((face,), face, "the only one", None, None))
    for given, reason in ((nobody, NO_SITTER), (featureless, NO_FEATURES)):
        assert take(given, (measure,))[0] == {"lids": Measurement("lids", None, reason)}
