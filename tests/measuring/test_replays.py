"""The networks answer as they did in training: recorded by the training scripts' own forward passes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from eyeline.measuring.blur_network import blur_of
from eyeline.measuring.covers import cover_odds
from eyeline.measuring.eye_network import head_inputs, network_answers, networks, normalised
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


def test_the_eye_networks_answer_as_in_training() -> None:
    """Recorded in PyTorch by training/train_eyes.py: both networks on one face of each sitter."""
    with np.load(REPLAYS / "eyes.npz") as recorded:
        assert recorded["gaze"].shape == (len(networks()), 5, 2)
        for k, weights in enumerate(networks()):
            for face, (levels, head) in enumerate(zip(recorded["grey"], recorded["head"], strict=True)):
                grey = np.stack([normalised(each.astype(np.float32)) for each in levels])
                gaze, eyes, both = network_answers(weights, grey, head_inputs(*map(float, head)))
                assert gaze == pytest.approx(recorded["gaze"][k, face], abs=1e-4)
                assert eyes == pytest.approx(recorded["eyes"][k, face], abs=1e-3)
                assert both == pytest.approx(recorded["both"][k, face], abs=2e-3)
