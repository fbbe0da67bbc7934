"""Memory that runs out in a measure is no fact about the photo: it must reach the worker."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest

from eyeline.measuring.take import take
from eyeline.terms.measurement import Measure, Measurement, Quantity, Subject
from tests.settings.test_guests import subject

FAR_TOO_MANY = 1_000_000
"""Side in pixels of a picture of a terabyte."""


def by_numpy() -> None:
    np.ones((FAR_TOO_MANY, FAR_TOO_MANY), np.uint8)


def by_opencv() -> None:
    cv2.resize(np.zeros((8, 8), np.uint8), (FAR_TOO_MANY, FAR_TOO_MANY))


@pytest.mark.parametrize("spend", [by_numpy, by_opencv])
def test_a_measure_for_which_memory_runs_out_is_not_taken_as_missing(spend: Callable[[], None]) -> None:
    def greedy(_: Subject) -> list[Measurement]:
        spend()
        return [Measurement("greed", "word")]

    measure = Measure((Quantity("greed", "word", "none"),), greedy, "common practice", needs_sitter=False)
    with pytest.raises(MemoryError, match="greed"):
        take(subject(np.zeros((64, 64, 3), np.uint8)), (measure,))
