"""The networks answer as they did in training: recorded by the training scripts' own forward passes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from eyeline.measuring.blur_network import blur_of
from eyeline.measuring.covers import cover_odds
from eyeline.terms.points import PARTS

REPLAYS = Path(__file__).parent / "replays"


def test_the_cover_network_answers_as_in_training() -> None:
    """Recorded in PyTorch by training/train_covers.py."""
    with np.load(REPLAYS / "covers.npz") as recorded:
        assert len(recorded["patches"]) == 6
        for patch, odds in zip(recorded["patches"], recorded["odds"], strict=True):
            assert cover_odds(patch) == pytest.approx(odds[: len(PARTS)], abs=1e-3)


def test_the_blur_network_answers_as_in_training() -> None:
    """Recorded by training/train_blur.py."""
    with np.load(REPLAYS / "blur.npz") as recorded:
        assert len(recorded["energy"]) == 10
        for energy, radius, answers in zip(
            recorded["energy"], recorded["radius"], recorded["answers"], strict=True
        ):
            blur = blur_of(energy, float(radius))
            assert np.log(blur.sigma_px) == pytest.approx(answers[0], abs=1e-6)
            assert (blur.along_rows, blur.along_falling) == pytest.approx(answers[1:], abs=1e-6)
