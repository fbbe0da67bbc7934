"""Print the constants of gaze.py and eyes.py from what the networks say of people left out; train_eyes.py
does the same at its end.

python training/calibrate_eyes.py SAID...

SAID: the files said_SEED.npz that train_eyes.py writes. Every figure is of people whom the networks had not
seen: moved real irises and lids of the studio's held-out sitters, and every fourth sitter of the rendered
crowd."""

from __future__ import annotations

import sys
from dataclasses import dataclass

import numpy as np
from levelling import SEEN_FROM, Level, level_of
from numpy.typing import NDArray
from scipy.optimize import minimize

from eyeline.measuring.gaze import (
    INTO_LENS,
    into_lens_probability,
    log_odds,
    word_of,
    word_probabilities,
)

KINDS = ("moved.plain", "moved.spoilt", "crowd.plain", "crowd.spoilt")
SIDE_BAND_DEG, UP_BAND_DEG = (6, 10), (10, 14)
"""About the borders no word is right or wrong."""
EVERY = 2
"""Words of every so many looks are counted: neighbours in the list are one face's."""


@dataclass(eq=False)
class Said:
    """Of one kind of looks: gaze found and true (n, 2) in degrees, stated errors (n, 2) in degrees, scores of
    open and closed (n, 2), truth of both (n, 2), whether eyes are open and the iris seen (n,).
    """

    found: NDArray[np.float64]
    true: NDArray[np.float64]
    stated: NDArray[np.float64]
    scores: NDArray[np.float64]
    lids: NDArray[np.float64]
    clear: NDArray[np.bool_]


def said_of(kind: str, files: list[dict[str, NDArray]], level: Level) -> Said:
    """The mean of what all networks say of the looks of one `kind`, by their `level`."""
    gaze = level.levelled(np.mean([each[f"{kind}.gaze"] for each in files], axis=0))
    both = np.mean([each[f"{kind}.both"] for each in files], axis=0)
    name, first = kind.split(".")[0], files[0]
    lids = np.stack([first[f"{name}.open"], first[f"{name}.closed"]], axis=1)
    clear = (lids[:, 0] > 0) & (first[f"{name}.visible"].max(axis=1) >= SEEN_FROM)
    stated = np.degrees(np.exp(both[:, :2].clip(-5, 0.5)))
    return Said(angles(gaze), angles(first[f"{name}.gaze"]), stated, both[:, 2:], lids, clear)


def angles(sines: NDArray[np.float64]) -> NDArray[np.float64]:
    """Yaw and pitch in degrees of directions by their sines across and up (n, 2)."""
    pitch = np.arcsin(np.clip(sines[:, 1], -1, 1))
    yaw = np.arcsin(np.clip(sines[:, 0] / np.cos(pitch), -1, 1))
    return np.degrees(np.stack([yaw, pitch], axis=1))


def logistic(
    score: NDArray[np.float64], happened: NDArray[np.bool_], weight: NDArray[np.float64] | None = None
) -> NDArray[np.float64]:
    """Slope and intercept of the logistic curve from `score` to the share that `happened`, looks counted by
    their `weight`."""
    sign = 2.0 * happened - 1
    return minimize(
        lambda curve: np.average(np.logaddexp(0, -sign * (curve[0] * score + curve[1])), weights=weight),
        np.array([1.0, 0.0]),
        method="Nelder-Mead",
    ).x


def main() -> None:
    """Print the constants from the files that are named."""
    files = []
    for name in sys.argv[1:]:
        with np.load(name) as stored:
            files.append(dict(stored))
    print_constants(files)


def print_constants(files: list[dict[str, NDArray]]) -> None:
    """Print the level of the gaze, errors over stated ones, curves of lids and words, and what is unsure and
    right from where on."""
    level = level_of(files)
    print(f"gain across, up: {level.gain}, raised by {level.raised_deg:.2f} degrees")
    kinds = {kind: said_of(kind, files, level) for kind in KINDS}
    ratios = []
    for kind, each in kinds.items():
        off = (each.found - each.true)[each.clear]
        ratios.append(np.sqrt(((off / each.stated[each.clear]) ** 2).mean(axis=0)))
        print(f"{kind}: {len(off)} looks, mean error {abs(off).mean(0)}, over stated {ratios[-1]}")
    over_stated = np.sqrt(np.square(ratios).mean(axis=0))
    print(f"YAW_ERROR_OVER_STATED, PITCH_ERROR_OVER_STATED: {over_stated}")
    known = {kind: each.clear | (each.lids[:, 0] == 0) for kind, each in kinds.items()}
    for k, lid in enumerate(("open", "closed")):
        score = np.concatenate([each.scores[known[kind], k] for kind, each in kinds.items()])
        truth = np.concatenate([each.lids[known[kind], k] for kind, each in kinds.items()])
        print(f"{lid}: slope, intercept {logistic(score, truth > 0)}")
    words(kinds, over_stated.round(2))


def words(kinds: dict[str, Said], over_stated: NDArray[np.float64]) -> None:
    """Print the curves of the words, and for each kind what is decided and right from a confidence on.

    `over_stated` (2,): size of the errors across and up over the stated ones.
    """
    rows: list[tuple[str, str, str, float, float, bool]] = []
    for kind, each in kinds.items():
        errors = each.stated * over_stated
        counted = np.flatnonzero(each.clear)[::EVERY]
        for found, true, error in zip(*(x[counted] for x in (each.found, each.true, errors)), strict=True):
            likely = word_probabilities(*found, *error)
            word = max(likely, key=lambda name: likely[name])
            side, up = abs(true)
            band = SIDE_BAND_DEG[0] < side < SIDE_BAND_DEG[1] or UP_BAND_DEG[0] < up < UP_BAND_DEG[1]
            camera = log_odds(into_lens_probability(*found, *error))
            rows.append((kind, word, word_of(*true), log_odds(likely[word]), camera, band))
    kind_of, word, true_word, odds, camera_odds, band = (np.array(each) for each in zip(*rows, strict=True))
    into_lens = true_word == "camera"
    often = into_lens.mean()
    weight = np.where(into_lens, INTO_LENS / often, (1 - INTO_LENS) / (1 - often))
    part = camera_odds >= 0
    slope, intercept = logistic(camera_odds[part], into_lens[part], weight[part])
    print(f"camera: slope {slope:.3f}, intercept {intercept:.3f}")
    camera = curved(camera_odds, slope, intercept)
    confidence = np.zeros(len(rows))
    for names in ("left, right", "up, down"):
        part = np.isin(word, names.split(", "))
        slope, intercept = logistic(odds[part], (word == true_word)[part])
        confidence[part] = curved(odds[part], slope, intercept)
        print(f"{names}: slope {slope:.3f}, intercept {intercept:.3f}")
    word = np.where(camera > confidence, "camera", word)
    confidence, right = np.maximum(camera, confidence), word == true_word
    for kind in KINDS:
        clear = (kind_of == kind) & ~band
        for least in (0.6, 0.67, 0.72, 0.76, 0.8):
            told = clear & (confidence >= least)
            unsure = 1 - told.sum() / clear.sum()
            lens = (clear & into_lens & ~told).sum() / (clear & into_lens).sum()
            away = (told & ~into_lens & (word == "camera")).sum()
            print(
                f"{kind} from {least}: unsure {unsure:.3f} (into the lens {lens:.3f}), right"
                f" {right[told].mean():.3f}, `camera` {away} of {(clear & ~into_lens).sum()} off the lens"
            )


def curved(odds: NDArray[np.float64], slope: float, intercept: float) -> NDArray[np.float64]:
    """Values of the logistic curve at `odds`."""
    return np.asarray(1 / (1 + np.exp(-(slope * odds + intercept))))


if __name__ == "__main__":
    main()
