"""What the eye networks' gaze is multiplied and raised by, from what they say of moved irises of people left
out: a network answers with a little less than it sees."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

MOVED = "moved"
SEEN_FROM = 0.35
"""Share of the iris from which its look can be told."""


@dataclass(frozen=True)
class Level:
    """Gains of the gaze across and up, and degrees by which it is raised."""

    gain: tuple[float, float]
    raised_deg: float

    def levelled(self, sines: NDArray[np.float64]) -> NDArray[np.float64]:
        """The gaze as sines across and up (n, 2), levelled."""
        return sines * self.gain + (0.0, np.sin(np.radians(self.raised_deg)))

    def in_weights(self, weights: dict[str, NDArray]) -> dict[str, NDArray]:
        """The network `weights` whose answers are levelled, as float16."""
        answer = {name: each.astype(np.float32) for name, each in weights.items()}
        for axis, gain in enumerate(self.gain):
            for name in ("o.weight", "o.bias", "s.weight", "s.bias"):
                answer[name][axis] *= gain
        answer["o.bias"][1] += np.sin(np.radians(self.raised_deg))
        return {name: each.astype(np.float16) for name, each in answer.items()}


def level_of(said: Sequence[dict[str, NDArray]]) -> Level:
    """The level of the mean of what all networks have `said` (train_eyes.left_out): slope 1 for both angles,
    no error of height in the mean.
    """
    found = np.mean([each[f"{MOVED}.plain.gaze"] for each in said], axis=0)
    first = said[0]
    clear = (first[f"{MOVED}.open"] > 0) & (first[f"{MOVED}.visible"].max(axis=1) >= SEEN_FROM)
    true, found = first[f"{MOVED}.gaze"][clear], found[clear]
    across, up = (1 / float(np.polyfit(true[:, axis], found[:, axis], 1)[0]) for axis in (0, 1))
    low = true[:, 1].mean() - up * found[:, 1].mean()
    return Level((across, up), float(np.degrees(np.arcsin(low))))
