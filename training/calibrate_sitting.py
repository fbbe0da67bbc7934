"""Print the constants of sitting/usual_gaze.py and sitting/usual_eyes.py from what the networks in use say.

python training/calibrate_sitting.py SHARED

SHARED: the folder with `portraits/crowd/`. Needs no torch: the package's own networks look at six looks, good
and bad, at each frame of every fourth rendered sitter, on whom nothing was trained, as frames of one sitting.
Of photographs no set shows one sitter often enough.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path
from statistics import median, quantiles

import numpy as np
from crowd_looks import MARGIN_PX
from material import crowd_looks_kept
from numpy.typing import NDArray
from scipy.optimize import minimize

from eyeline.measuring.eye_network import head_inputs, network_answers, networks, normalised, turned_back
from eyeline.measuring.eyes import LEAST_BETWEEN_PX, OPEN_INTERCEPT, OPEN_SLOPE, logistic
from eyeline.measuring.gaze import (
    LEAST_CONFIDENCE,
    PITCH_ERROR_OVER_STATED,
    YAW_ERROR_OVER_STATED,
    gaze_at,
)
from eyeline.sitting.usual_eyes import (
    ALONE,
    CONSTANT,
    LEAST_FRAMES,
    MOST_EVIDENCE,
    MOST_TURN_DEG,
    RELATIVE,
)
from eyeline.sitting.usual_gaze import DOUBT_FRAMES, MOST_DEG

PLAIN_VARIANTS = 2
"""The first looks at a frame are as it is and mirrored, the others spoilt."""

SEEN_FROM = 0.35
"""Share of the iris from which its look can be told."""

MIDDLE_HALF = 1.349
"""Width of the middle half of a normal distribution in standard deviations."""

WEIGHTS = np.arange(0.0, 30.5, 0.5)
"""Weights of the opening as a share of the usual one that are tried."""


@dataclass(frozen=True)
class Frame:
    """What is said of one look, and its truth; angles in degrees (yaw, pitch), `own` probability of open."""

    sitter: str
    plain: bool
    found: tuple[float, float]
    true: tuple[float, float]
    word: str
    opening: float
    own: float
    head_yaw: float
    is_open: bool
    iris_seen: bool


def frames(shared: Path, kept: Path) -> list[Frame]:
    """Every look at sitters left out whose eyes are large enough to be measured."""
    seen, looks = crowd_looks_kept(shared, kept)
    inner = slice(MARGIN_PX, -MARGIN_PX)
    answer = []
    for row in np.flatnonzero(looks.held_out & (seen["between"] >= LEAST_BETWEEN_PX)):
        grey = np.stack([normalised(patch[inner, inner].astype(np.float32)) for patch in looks.grey[row]])
        head = head_inputs(*map(float, looks.head[row]))
        said = [network_answers(weights, grey, head) for weights in networks()]
        gaze, eyes, both = (np.mean(each, axis=0) for each in zip(*said, strict=True))
        found = turned_back(float(gaze[0]), float(gaze[1]), 0.0)
        errors = np.degrees(np.exp(both[:2])) * (YAW_ERROR_OVER_STATED, PITCH_ERROR_OVER_STATED)
        look = gaze_at(*found, *map(float, errors))
        answer.append(
            Frame(
                sitter=str(seen["sitter"][row]),
                plain=bool(seen["variant"][row] < PLAIN_VARIANTS),
                found=found,
                true=turned_back(*map(float, looks.gaze[row]), 0.0),
                word=look.word if look.confidence >= LEAST_CONFIDENCE else "unsure",
                opening=float(np.maximum(eyes[:, 5], 0).mean()),
                own=logistic(OPEN_SLOPE * float(both[2]) + OPEN_INTERCEPT),
                head_yaw=float(seen["plain"][row, 0]),
                is_open=seen["eyes"][row] == "open",
                iris_seen=bool(looks.visible[row].max() >= SEEN_FROM),
            )
        )
    return answer


def by_sitter(looks: list[Frame]) -> list[list[Frame]]:
    """The looks of each sitter."""
    return [[each for each in looks if each.sitter == name] for name in sorted({e.sitter for e in looks})]


def gaze_errors(looks: list[Frame]) -> NDArray[np.float64]:
    """Errors (n, 2), in degrees, that are left once each sitter's zero is taken off."""
    left = []
    for group in by_sitter(looks):
        into = [each.found for each in group if each.word == "camera"]
        if len(into) < LEAST_FRAMES:
            continue
        share = len(into) / (len(into) + DOUBT_FRAMES)
        zero = np.clip([share * median(each[axis] for each in into) for axis in (0, 1)], -MOST_DEG, MOST_DEG)
        left += [np.subtract(e.found, e.true) - zero for e in group if e.is_open and e.iris_seen]
    return np.array(left)


def evidence(looks: list[Frame]) -> tuple[NDArray[np.float64], NDArray[np.bool_], NDArray[np.float64]]:
    """Own logit, bounded, and opening over the usual one (n, 2); whether open (n,); own probability (n,)."""
    rows, is_open, own = [], [], []
    bound = logistic(MOST_EVIDENCE)
    for group in by_sitter([each for each in looks if abs(each.head_yaw) <= MOST_TURN_DEG]):
        if len(group) < LEAST_FRAMES:
            continue
        usual = quantiles([each.opening for each in group], n=4, method="inclusive")[2]
        for each in group:
            held = min(max(each.own, 1 - bound), bound)
            rows.append((np.log(held / (1 - held)), each.opening / usual))
            is_open.append(each.is_open)
            own.append(each.own)
    return np.array(rows), np.array(is_open), np.array(own)


def main() -> None:
    """Print what is left of the gaze's error, and the weights of a sitter's usual opening."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("shared", type=Path)
    parser.add_argument("--kept", type=Path, default=Path("kept"), help="folder for what takes long to make")
    arguments = parser.parse_args()
    looks = frames(arguments.shared, arguments.kept)
    plain, every = gaze_errors([each for each in looks if each.plain]), gaze_errors(looks)
    middle = np.subtract(*np.percentile(every, (75, 25), axis=0)) / MIDDLE_HALF
    print(f"ERROR_YAW_DEG, ERROR_PITCH_DEG: plain {np.sqrt((plain**2).mean(axis=0))} ({len(plain)} looks),")
    print(f"  good and bad by their middle half {middle} ({len(every)} looks)")
    values, is_open, own = evidence(looks)
    sign = np.where(is_open, 1.0, -1.0)
    alone = float(-np.log(np.clip(np.where(is_open, own, 1 - own), 1e-4, 1)).mean())
    print(f"log-loss of the frame alone {alone:.4f} ({is_open.sum()} open looks, {(~is_open).sum()} others)")
    fits = []
    for relative in WEIGHTS:
        fit = minimize(
            lambda w, relative=relative: loss(sign, values, w[0], relative, w[1]),
            np.array([1.0, -0.7 * relative]),
            method="Nelder-Mead",
        )
        fits.append((float(fit.fun), float(relative), *map(float, fit.x)))
    in_use = loss(sign, values, ALONE, RELATIVE, CONSTANT)
    print(f"with the usual opening by the constants in use {in_use:.4f}; by those fitted:")
    for what, (found, relative, own_weight, constant) in (
        ("the best", min(fits)),
        (
            "the greatest weight at which nothing is lost",
            max((f for f in fits if f[0] <= alone), key=_weight),
        ),
    ):
        print(f"  {what}: ALONE, RELATIVE, CONSTANT {own_weight:.2f} {relative} {constant:.2f}, {found:.4f}")


def loss(
    sign: NDArray[np.float64], values: NDArray[np.float64], own: float, relative: float, constant: float
) -> float:
    """Log-loss of the weighed evidence `values` (n, 2); `sign` (n,) is 1 where eyes are open, else -1."""
    return float(np.logaddexp(0, -sign * (own * values[:, 0] + relative * values[:, 1] + constant)).mean())


def _weight(fit: tuple[float, float, float, float]) -> float:
    return fit[1]


if __name__ == "__main__":
    main()
