"""Train the estimator of blur at an eye: writes daemon/eyeline/measuring/eye_blur.npz.

    python training/train_blur.py CROWD REAL [--work FOLDER]

Material (blur_material.py): the rendered crowd, drawn eyes, and real eyes of portraits with odd numbers and
of three in four of the studio's sitters (real_eyes.py); every third sitter is kept aside for the report. No
frame of `truth`, `tones`, `demo` and no other photograph is looked at. With --work, material is kept there.
"""

from __future__ import annotations

import argparse
from itertools import pairwise
from multiprocessing import Pool, cpu_count
from pathlib import Path

import numpy as np
from blur_material import PARTS, material
from numpy.typing import NDArray
from replays import keep, shoot_faces

from eyeline.measuring.blur_network import described, mirror_features
from eyeline.measuring.edges import slope_energy
from eyeline.measuring.eye_region import eye_regions, without_highlights

TARGET = Path(__file__).parents[1] / "daemon/eyeline/measuring/eye_blur.npz"
HIDDEN = (96, 32)
SEEDS = (7, 8, 9, 10)
"""Beginnings of the networks, whose mean is the answer: of eyes left out it is off by less than each."""
EPOCHS, BATCH, RATE, DECAY = 120, 384, 3e-3, 3e-5
FEATURE_NOISE = 0.02
"""Deviation of what is added to each feature, in its own deviations, while the network learns."""
KEPT_ASIDE = 3
"""One sitter in so many, by number, is left out of the first fit and reported on."""


def targets(known: NDArray[np.float64]) -> NDArray[np.float64]:
    """Log of sigma and the two anisotropies."""
    return np.stack([0.5 * np.log(known[:, 0]), known[:, 1], known[:, 2]], 1)


Layers = list[tuple[NDArray[np.float64], NDArray[np.float64]]]


def fits(x: NDArray[np.float64], y: NDArray[np.float64]) -> list[Layers]:
    """Weights of a network for each of SEEDS, fitted side by side."""
    with Pool(min(len(SEEDS), cpu_count())) as pool:
        return pool.starmap(fit, [(np.float32(x), np.float32(y), seed) for seed in SEEDS])


def fit(x: NDArray[np.float32], y: NDArray[np.float32], seed: int) -> Layers:
    """Weights of a network with tanh layers, by Adam on the Huber loss."""
    random = np.random.default_rng(seed)
    sizes = [x.shape[1], *HIDDEN, y.shape[1]]
    layers = [(random.normal(0, 1 / np.sqrt(a), (a, b)), np.zeros(b)) for a, b in pairwise(sizes)]
    flat = [np.float32(array) for layer in layers for array in layer]
    first, second = [np.zeros_like(a) for a in flat], [np.zeros_like(a) for a in flat]
    step = 0
    for epoch in range(EPOCHS):
        rate = RATE * 0.5 * (1 + np.cos(np.pi * epoch / EPOCHS))
        order = random.permutation(len(x))
        for start in range(0, len(x), BATCH):
            batch = order[start : start + BATCH]
            noise = random.standard_normal((len(batch), x.shape[1]), np.float32)
            active = [x[batch] + np.float32(FEATURE_NOISE) * noise]
            for number in range(len(layers)):
                sums = active[-1] @ flat[2 * number] + flat[2 * number + 1]
                active.append(np.tanh(sums) if number < len(layers) - 1 else sums)
            error = active[-1] - y[batch]
            slope = np.clip(error, -0.3, 0.3) / len(batch)
            step += 1
            for number in reversed(range(len(layers))):
                gradients = (
                    active[number].T @ slope + DECAY * flat[2 * number],
                    slope.sum(axis=0),
                )
                slope = (slope @ flat[2 * number].T) * (1 - active[number] ** 2)
                for offset, gradient in enumerate(gradients):
                    at = 2 * number + offset
                    first[at] = 0.9 * first[at] + 0.1 * gradient
                    second[at] = 0.999 * second[at] + 0.001 * gradient**2
                    better = first[at] / (1 - 0.9**step) / (np.sqrt(second[at] / (1 - 0.999**step)) + 1e-8)
                    flat[at] -= rate * better
    return [(flat[2 * number], flat[2 * number + 1]) for number in range(len(layers))]


def forward(
    features: NDArray[np.float64],
    mean: NDArray[np.float64],
    spread: NDArray[np.float64],
    networks: list[Layers],
) -> NDArray[np.float64]:
    """Answers (n, 3) to `features` (n, 161), in the mean of the `networks`."""
    answers = []
    for layers in networks:
        out = (features - mean) / spread
        for number, (weight, bias) in enumerate(layers):
            out = out @ weight + bias
            out = np.tanh(out) if number < len(layers) - 1 else out
        answers.append(out)
    return np.asarray(np.mean(answers, axis=0))


def record() -> None:
    """Keep what the stored weights answer here, for the test that the package answers the same."""
    with np.load(TARGET) as stored:
        arrays = {name: stored[name].astype(np.float64) for name in stored.files}
    networks = [
        [(arrays[f"weight{k}"][n], arrays[f"bias{k}"][n]) for k in range(len(HIDDEN) + 1)]
        for n in range(len(arrays["bias0"]))
    ]
    energies, radii = [], []
    for picture, landmarks in shoot_faces():
        for eye in eye_regions(picture.rgb, landmarks):
            assert eye is not None
            energies.append(slope_energy(*without_highlights(eye.grey, eye.mask, eye.radius)))
            radii.append(eye.radius)
    here = np.stack([described(*each) for each in zip(energies, radii, strict=True)])
    there = mirror_features(here)
    both = [forward(each, arrays["mean"], arrays["spread"], networks) for each in (here, there)]
    answers = (both[0] + both[1] * (1, 1, -1)) / 2
    keep("blur", energy=np.stack(energies), radius=np.array(radii), answers=answers)


def mirrored(features: NDArray[np.float64], y: NDArray[np.float64]) -> tuple[NDArray[np.float64], ...]:
    """The same eyes seen in a mirror: the diagonals change places."""
    return mirror_features(features), y * (1, 1, -1)


def report(name: str, found: NDArray[np.float64], known: NDArray[np.float64]) -> None:
    """Print the share within the goal, the median error and the bias by range of sigma."""
    true, sigma = np.sqrt(known[:, 0]), np.exp(found[:, 0])
    error = np.abs(sigma - true)
    for low, high in ((0.7, 6.0), (0.7, 1.2), (1.2, 2.0), (2.0, 3.0), (3.0, 4.5), (4.5, 6.0)):
        part = (true >= low) & (true < high)
        within = np.mean(error[part] <= np.maximum(0.2 * true[part], 0.4))
        print(
            f"{name}: sigma {low} to {high}: {part.sum()} eyes, within {within:.3f},"
            f" median error {np.median(error[part] / true[part]):.3f},"
            f" bias {np.median(sigma[part] / true[part]):.3f}"
        )


def report_tones(found: NDArray[np.float64], known: NDArray[np.float64]) -> None:
    """Print the mean relative error of each skin tone of the crowd against the mean of all tones."""
    true, sigma = np.sqrt(known[:, 0]), np.exp(found[:, 0])
    counted = (true >= 0.7) & (true < 6.0)
    error = np.abs(sigma - true) / true
    tones = [tone for tone in range(1, 11) if (counted & (known[:, 5] == tone)).any()]
    means = np.array([error[counted & (known[:, 5] == tone)].mean() for tone in tones])
    print("tones", tones, means.round(3), f"worst {means.max() / means.mean():.2f} x their mean")


def report_streaks(found: NDArray[np.float64], known: NDArray[np.float64]) -> None:
    """Print how often an anisotropy is exceeded without a streak, and by streaks that make most of the blur
    (for motion_blur.LEAST_ANISOTROPY).
    """
    told, true = np.hypot(found[:, 1], found[:, 2]), np.hypot(known[:, 1], known[:, 2])
    length = np.sqrt(24 * np.exp(2 * found[:, 0]) * np.minimum(1, told))
    true_length = np.sqrt(24 * known[:, 0] * true)
    for least in np.arange(0.15, 0.51, 0.05):
        shares = [float(np.mean(told[part] >= least)) for part in (true == 0, true > 0.3, true > 0.6)]
        right = (told >= least) & (true > 0)
        ratio = np.median(length[right] / true_length[right])
        print(f"anisotropy from {least:.2f}: of none, over 0.3, over 0.6:", np.round(shares, 3), end="; ")
        print(f"length told over true, median {ratio:.2f}")


def kept_material(part: str, folder: Path, work: Path | None) -> tuple[NDArray[np.float64], ...]:
    """The material of one part, from `work` where it lies there, else made and kept there."""
    kept = work / f"blur_{part}.npz" if work else None
    if kept and kept.exists():
        with np.load(kept) as stored:
            return stored["features"], stored["known"]
    features, known = material(part, folder)
    if kept:
        np.savez(kept, features=features, known=known)
    return features, known


def main() -> None:
    """Make or take the material, fit twice, report, and write the second."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("crowd", type=Path, nargs="?")
    arguments.add_argument("real", type=Path, nargs="?")
    arguments.add_argument("--work", type=Path)
    arguments.add_argument("--record", action="store_true", help="only keep anew what the weights answer")
    given = arguments.parse_args()
    if given.record:
        record()
        return
    folders = {"crowd": given.crowd, "drawn": given.crowd, "real": given.real}
    parts = [kept_material(part, folders[part], given.work) for part in PARTS]
    features, known = (np.concatenate([part[which] for part in parts]) for which in (0, 1))
    of_part = np.repeat(np.arange(len(PARTS)), [len(part[0]) for part in parts])
    aside = known[:, 3] % KEPT_ASIDE == 0
    y = targets(known)
    mean, spread = features.mean(axis=0), features.std(axis=0) + 1e-6
    for use, name in ((~aside, "kept aside"), (np.ones(len(y), bool), "seen")):
        there, back = mirrored(features[use], y[use])
        x = (np.concatenate([features[use], there]) - mean) / spread
        networks = fits(x, np.concatenate([y[use], back]))
        out = forward(features, mean, spread, networks)
        for number, part in enumerate(PARTS):
            rows = (aside if name == "kept aside" else use) & (of_part == number)
            report(f"{part}, {name}", out[rows], known[rows])
            if part == "crowd":
                report_tones(out[rows], known[rows])
                report_streaks(out[rows], known[rows])
    arrays = {"mean": mean, "spread": spread}
    for number, layer in enumerate(zip(*networks, strict=True)):
        weights, biases = zip(*layer, strict=True)
        arrays[f"weight{number}"], arrays[f"bias{number}"] = np.stack(weights), np.stack(biases)
    np.savez_compressed(TARGET, **{key: value.astype(np.float32) for key, value in arrays.items()})
    record()


if __name__ == "__main__":
    main()
