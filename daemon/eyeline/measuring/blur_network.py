"""From the slopes of an eye to the blur that made them: four small networks, trained on known blurs, in the
mean of what they say.

Lids, lashes and the rim of an iris stand closer together than a heavy blur is wide, so that no single
edge tells it (edges.py reads a third too sharp there). What the slopes of the whole eye do at eight scales
still does; training/train_blur.py learns it from rendered, drawn and real eyes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.edges import DIRECTIONS, SCALES_PX, SHARES
from eyeline.measuring.network_file import arrays_in

ROUNDING_ENERGY = 0.01
"""Mean squared slope, (levels per pixel)², that rounding to 8 bits alone makes: it is added to all, so
that what is flatter counts as flat."""

REFERENCE = (SCALES_PX.index(2.8), SHARES.index(0.1), 0)
"""Scale, share and direction whose energy all others are set against: contrast divides out."""


@dataclass(frozen=True, slots=True)
class Blur:
    """`sigma_px`: Gaussian sigma, the root of the mean variance over all directions. `along_rows`,
    `along_falling`: (variance along − variance across) / (their sum), −1 to 1, for the rows and for the
    diagonal that falls to the right; both 0 = alike in all directions.
    """

    sigma_px: float
    along_rows: float
    along_falling: float


def described(energy: NDArray[np.float64], radius: float) -> NDArray[np.float64]:
    """Features (161,) of an eye: log of its `slope_energy` (8, 4, 5) against the reference, and of the
    iris `radius` in pixels.
    """
    logs = np.log(energy + ROUNDING_ENERGY)
    return np.append((logs - logs[REFERENCE]).ravel(), np.log(radius))


def mirror_features(features: NDArray[np.float64]) -> NDArray[np.float64]:
    """Features (..., 161) of the same eye in a mirror: the two diagonals change places."""
    shape = (len(SCALES_PX), len(SHARES), 1 + len(DIRECTIONS))
    grid = features[..., :-1].reshape(*features.shape[:-1], *shape)[..., [0, 1, 2, 4, 3]]
    return np.concatenate([grid.reshape(*features.shape[:-1], -1), features[..., -1:]], axis=-1)


def blur_of(energy: NDArray[np.float64], radius: float) -> Blur:
    """The blur of an eye with `slope_energy` `energy` and an iris of `radius` pixels."""
    features = described(energy, radius)
    here, there = _answers(np.stack([features, mirror_features(features)]))
    answer = (here + there * (1.0, 1.0, -1.0)) / 2
    return Blur(float(np.exp(answer[0])), float(answer[1]), float(answer[2]))


def _answers(features: NDArray[np.float64]) -> NDArray[np.float64]:
    """Log of sigma and both anisotropies (n, 3) for `features` (n, 161), in the mean of the networks."""
    mean, spread, layers = _networks()
    values = (features - mean) / spread
    for number, (weight, bias) in enumerate(layers):
        values = values @ weight + bias[:, None]
        if number < len(layers) - 1:
            values = np.tanh(values)
    return np.asarray(values.mean(axis=0))


@cache
def _networks() -> tuple[
    NDArray[np.float64], NDArray[np.float64], list[tuple[NDArray[np.float64], NDArray[np.float64]]]
]:
    """Mean and spread of the features, and the layers: weights (networks, inputs, outputs) and biases
    (networks, outputs)."""
    arrays = arrays_in("eye_blur.npz", np.float64)
    count = sum(key.startswith("weight") for key in arrays)
    layers = [(arrays[f"weight{number}"], arrays[f"bias{number}"]) for number in range(count)]
    return arrays["mean"], arrays["spread"], layers
