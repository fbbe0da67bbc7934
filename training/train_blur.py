"""Train the estimator of blur at an eye: writes daemon/eyeline/measuring/eye_blur.npz.

    python training/train_blur.py WHERE_THE_CROWD_IS [--work FOLDER]

Material: the rendered crowd (60 sitters; every third is kept aside to report on) and drawn eyes
(drawn_eyes.py). Each is scaled, textured, blurred, streaked, exposed, made noisy and stored as JPEG in known
ways; what is learnt is the variance of the blur that results. No frame of `truth`, `tones`, `demo` or of
any photograph is looked at. With --work, the material is kept in FOLDER between runs.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
from crowd_looks import crowd_faces
from drawn_eyes import drawn_eye, texture
from numpy.typing import NDArray
from replays import keep, shoot_faces

from eyeline.measuring.blur_network import described, mirror_features
from eyeline.measuring.edges import slope_energy
from eyeline.measuring.eye_region import (
    HEIGHT_RADII,
    MARGIN_PX,
    WIDTH_RADII,
    ellipse,
    eye_regions,
    without_highlights,
)
from eyeline.measuring.pupils import pupils
from eyeline.measuring.srgb import LINEAR_OF_BYTE, encode

TARGET = Path(__file__).parents[1] / "daemon/eyeline/measuring/eye_blur.npz"
DRAWN, DRAWN_RADIUS_PX, DRAWN_HALF_RADII = 90, 72.0, 3.0
PER_DRAWN, PER_CROWD, PER_DARK, DARK_TONE = 24, 6, 18, 8
"""Degradations of each eye; of the skin tones from the last on, of which the crowd has few, more."""
APERTURE_SIGMA_PX = 12**-0.5
"""A pixel averages over a square of side 1: sigma of the picture that is only scaled down."""
ENCODED = encode(np.arange(65536) / 65535).astype(np.float32)
SMALLEST_RADIUS_PX, LARGEST_RADIUS_PX = 3.0, 70.0
HIDDEN = (40, 16)
EPOCHS, BATCH, RATE, DECAY = 120, 192, 2e-3, 1e-4


@dataclass(frozen=True, slots=True, eq=False)
class Eye:
    """`light` (m, n, 3) linear; iris `centre` (x, y) and `radius`; `sigma` of its blur, in its pixels;
    `tone` of the skin, 1 light to 10 dark, 0 of a drawn eye.
    """

    light: NDArray[np.float32]
    centre: tuple[float, float]
    radius: float
    sigma: float
    sitter: int
    tone: int = 0


def crowd_eyes(crowd: Path) -> Iterator[Eye]:
    """Both eyes of every frame of the crowd, where the iris is seen or the eyes are closed."""
    for person, picture, landmarks in crowd_faces(crowd):
        irises = pupils(landmarks)
        seen = dict(zip("rl", person["iris_visible"], strict=True))  # listed by the sitter's own side
        for side, centre, radius in (
            ("l", irises.left, irises.left_radius_px),
            ("r", irises.right, irises.right_radius_px),
        ):
            if seen[side] < 0.2 and person["eyes"] != "closed":
                continue
            half = int(4.5 * radius) + 4
            x, y = int(centre[0]), int(centre[1])
            left, top = max(0, x - half), max(0, y - half)
            patch = picture.rgb[top : y + half, left : x + half]
            yield Eye(
                LINEAR_OF_BYTE.astype(np.float32)[patch],
                (centre[0] - left, centre[1] - top),
                radius,
                person["true_eye_blur_sigma_px"],
                int(person["sitter"][1:]),
                person["tone_index"],
            )


def drawn_eyes(random: np.random.Generator) -> Iterator[Eye]:
    """`DRAWN` large drawn eyes."""
    half = DRAWN_RADIUS_PX * DRAWN_HALF_RADII
    for number in range(DRAWN):
        light = drawn_eye(random, DRAWN_RADIUS_PX, half)
        middle = light.shape[0] / 2
        yield Eye(light, (middle, middle), DRAWN_RADIUS_PX, APERTURE_SIGMA_PX, 1000 + number)


def degraded(random: np.random.Generator, eye: Eye, drawn: bool) -> tuple[NDArray[np.float64], list[float]]:
    """Features of one known degradation of `eye`, and (variance, anisotropy along rows, along the
    falling diagonal, sitter, iris radius, tone of the skin): anisotropies are differences of variance over
    twice its mean.
    """
    light = eye.light
    if random.random() < 0.5:
        grain = texture(random, *light.shape[:2])[..., None]
        light = light * (1 + np.float32(random.uniform(0, 0.12)) * grain)
    if drawn:
        radius = float(np.exp(random.uniform(np.log(SMALLEST_RADIUS_PX), np.log(LARGEST_RADIUS_PX))))
    else:
        radius = eye.radius * float(np.exp(random.uniform(np.log(0.25), np.log(3.3))))
        radius = eye.radius if random.random() < 0.25 else max(SMALLEST_RADIUS_PX, radius)
    scale = radius / eye.radius
    own = 0.0 if drawn else eye.sigma * scale
    if scale != 1:
        size = (round(light.shape[1] * scale), round(light.shape[0] * scale))
        way = cv2.INTER_CUBIC if scale > 1 else cv2.INTER_AREA
        light = cv2.resize(light, size, interpolation=way)
        own = float(np.hypot(own, APERTURE_SIGMA_PX))
    sigma = 0.0 if random.random() < 0.15 else float(np.exp(random.uniform(np.log(0.4), np.log(8))))
    sigma = min(sigma, 0.55 * radius)
    along, diagonal, streak = 0.0, 0.0, 0.0
    if sigma:
        light = cv2.GaussianBlur(light, (0, 0), sigma, borderType=cv2.BORDER_REFLECT)
    if random.random() < 0.3:
        length = float(np.exp(random.uniform(np.log(3), np.log(24))))
        length, angle = min(length, 2.2 * radius), random.uniform(0, np.pi)
        light = cv2.filter2D(light, -1, streak_kernel(length, angle), borderType=cv2.BORDER_REFLECT)
        streak = length**2 / 12
        along, diagonal = np.cos(2 * angle) * streak / 2, np.sin(2 * angle) * streak / 2
    variance = own**2 + sigma**2 + streak / 2
    x, y = (value * scale for value in eye.centre)
    reach = int(WIDTH_RADII * radius) + MARGIN_PX + 8
    left, top = max(0, int(x) - reach), max(0, int(y) - reach)
    light = light[top : int(y) + reach, left : int(x) + reach]
    x, y = x - left, y - top
    light = light * np.float32(2.0 ** random.choice([0, 0, 0, -2.5, -1.5, -0.7, 0.7]))
    noise = random.choice([0, 0.001, 0.003, 0.003, 0.01, 0.02])
    if noise:
        grain = random.standard_normal(light.shape, np.float32) * np.float32(noise)
        light = light + grain * np.sqrt(np.maximum(light, 0) + np.float32(0.002))
    levels = ENCODED[(np.clip(light, 0, 1) * 65535).astype(np.uint16)]
    if random.random() < 0.4:  # cameras and editors bend the tone curve
        levels = 255 * (levels / 255) ** random.uniform(0.75, 1.3)
    pixels = np.rint(levels).astype(np.uint8)
    if random.random() < 0.15:
        pixels = np.repeat(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)[..., None], 3, axis=2)
    quality = int(random.choice([80, 88, 92, 92, 95, 98]))
    stored = cv2.imencode(".jpg", pixels[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    grey = cv2.cvtColor(cv2.imdecode(stored, cv2.IMREAD_COLOR), cv2.COLOR_BGR2GRAY)

    wander = random.normal(0, 0.03 * radius + 0.1 * np.sqrt(variance), 2)
    x, y = x + wander[0], y + wander[1]
    radius *= float(np.exp(random.normal(0, 0.05)))
    half_width, half_height = WIDTH_RADII * radius + MARGIN_PX, HEIGHT_RADII * radius + MARGIN_PX
    left, top = max(0, int(x - half_width)), max(0, int(y - half_height))
    grey = grey[top : int(y + half_height) + 1, left : int(x + half_width) + 1]
    mask = ellipse(grey.shape, (x - left, y - top), radius)
    features = described(slope_energy(*without_highlights(grey, mask, radius)), radius)
    return features, [
        variance,
        along / variance,
        diagonal / variance,
        float(eye.sitter),
        radius,
        float(eye.tone),
    ]


def streak_kernel(length: float, angle: float) -> NDArray[np.float32]:
    """Uniform streak of `length` pixels at `angle` (radians, clockwise from the rows), sum 1."""
    side = 2 * int(length / 2 + 2) + 1
    kernel = np.zeros((side, side), np.float64)
    for step in np.linspace(-length / 2, length / 2, 8 * side):
        x, y = side // 2 + step * np.cos(angle), side // 2 + step * np.sin(angle)
        column, row = int(x), int(y)
        fx, fy = x - column, y - row
        kernel[row : row + 2, column : column + 2] += np.outer([1 - fy, fy], [1 - fx, fx])
    return (kernel / kernel.sum()).astype(np.float32)


def material(crowd: Path, work: Path | None) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Features and truths of all degradations; kept in `work` where that is given."""
    random = np.random.default_rng(20260914)
    features, known = [], []
    for eyes, drawn in ((crowd_eyes(crowd), False), (drawn_eyes(random), True)):
        for eye in eyes:
            times = PER_DRAWN if drawn else PER_DARK if eye.tone >= DARK_TONE else PER_CROWD
            for _ in range(times):
                one, truth = degraded(random, eye, drawn)
                if np.isfinite(one).all():
                    features.append(one)
                    known.append(truth)
    if work is not None:
        np.savez(work / "blur_material.npz", features=np.array(features), known=np.array(known))
    return np.array(features), np.array(known)


def targets(known: NDArray[np.float64]) -> NDArray[np.float64]:
    """Log of sigma and the two anisotropies."""
    return np.stack([0.5 * np.log(known[:, 0]), known[:, 1], known[:, 2]], 1)


def fit(
    x: NDArray[np.float64], y: NDArray[np.float64]
) -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Weights of a network with tanh layers, by Adam on the Huber loss."""
    random = np.random.default_rng(7)
    sizes = [x.shape[1], *HIDDEN, y.shape[1]]
    layers = [(random.normal(0, 1 / np.sqrt(a), (a, b)), np.zeros(b)) for a, b in pairwise(sizes)]
    flat = [array for layer in layers for array in layer]
    first, second = [np.zeros_like(a) for a in flat], [np.zeros_like(a) for a in flat]
    step = 0
    for epoch in range(EPOCHS):
        rate = RATE * 0.5 * (1 + np.cos(np.pi * epoch / EPOCHS))
        order = random.permutation(len(x))
        for start in range(0, len(x), BATCH):
            batch = order[start : start + BATCH]
            active = [x[batch] + random.normal(0, 0.03, (len(batch), x.shape[1]))]
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
    layers: list[tuple[NDArray[np.float64], NDArray[np.float64]]],
) -> NDArray[np.float64]:
    """Answers (n, 3) of the network to `features` (n, 161)."""
    out = (features - mean) / spread
    for number, (weight, bias) in enumerate(layers):
        out = out @ weight + bias
        out = np.tanh(out) if number < len(layers) - 1 else out
    return out


def record() -> None:
    """Keep what the stored weights answer here, for the test that the package answers the same."""
    with np.load(TARGET) as stored:
        arrays = {name: stored[name].astype(np.float64) for name in stored.files}
    layers = [(arrays[f"weight{k}"], arrays[f"bias{k}"]) for k in range(len(HIDDEN) + 1)]
    energies, radii = [], []
    for picture, landmarks in shoot_faces():
        for eye in eye_regions(picture.rgb, landmarks):
            assert eye is not None
            energies.append(slope_energy(*without_highlights(eye.grey, eye.mask, eye.radius)))
            radii.append(eye.radius)
    here = np.stack([described(*each) for each in zip(energies, radii, strict=True)])
    there = mirror_features(here)
    both = [forward(each, arrays["mean"], arrays["spread"], layers) for each in (here, there)]
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


def main() -> None:
    """Make or take the material, fit twice, report, and write the second."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("crowd", type=Path, nargs="?")
    arguments.add_argument("--work", type=Path)
    arguments.add_argument("--record", action="store_true", help="only keep anew what the weights answer")
    given = arguments.parse_args()
    if given.record:
        record()
        return
    kept = given.work / "blur_material.npz" if given.work else None
    if kept and kept.exists():
        with np.load(kept) as stored:
            features, known = stored["features"], stored["known"]
    else:
        features, known = material(given.crowd, given.work)
    sitters = known[:, 3]
    aside = sitters % 3 == 0
    y = targets(known)
    mean, spread = features.mean(axis=0), features.std(axis=0) + 1e-6
    for use, name in ((~aside, "kept aside"), (np.ones(len(y), bool), "seen")):
        there, back = mirrored(features[use], y[use])
        x = (np.concatenate([features[use], there]) - mean) / spread
        layers = fit(x, np.concatenate([y[use], back]))
        out = forward(features, mean, spread, layers)
        for drawn in (False, True):
            part = (aside if name == "kept aside" else use) & ((sitters >= 1000) == drawn)
            report(f"{'drawn' if drawn else 'crowd'}, {name}", out[part], known[part])
            if not drawn:
                report_tones(out[part], known[part])
                report_streaks(out[part], known[part])
    arrays = {"mean": mean, "spread": spread}
    for number, (weight, bias) in enumerate(layers):
        arrays[f"weight{number}"], arrays[f"bias{number}"] = weight, bias
    np.savez_compressed(TARGET, **{key: value.astype(np.float32) for key, value in arrays.items()})
    record()


if __name__ == "__main__":
    main()
