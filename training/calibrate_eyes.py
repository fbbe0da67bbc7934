"""Print the constants of gaze.py, eyes.py and pupils.py from sitters the network has not seen.

    python training/calibrate_eyes.py LOOKS FOLD_PREDICTIONS...

LOOKS and FOLD_PREDICTIONS are what train_eyes.py keeps with --looks and writes with --fold. Fitted here:
the geometry of gaze (all sitters), the size of the errors, and logistic curves: eyes open, eyes
closed, word right, eyes open by the share of the sitter's usual opening. Needs scikit-learn.
"""

from __future__ import annotations

import sys

import numpy as np
from numpy.typing import NDArray
from sklearn.linear_model import LogisticRegression
from train_eyes import Material

from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX
from eyeline.measuring.gaze import (
    GEOMETRY_PITCH_SHARE,
    GEOMETRY_YAW_SHARE,
    iris_offset,
    word_of,
    word_probabilities,
)
from eyeline.measuring.pupils import with_irises

USUAL_ANGLE_DEG, LEAST_IRIS = 30.0, 0.35


def refined(looks: dict[str, NDArray], eyes: NDArray, rows: NDArray) -> NDArray:
    """Landmarks with the irises as the pipeline refines them, from the network's answers `eyes`."""
    pixels = eyes[:, :, 3:5] * (WIDTH_PX / 2) + [(WIDTH_PX - 1) / 2, (HEIGHT_PX - 1) / 2]
    to_picture = looks["to_picture"][rows]
    centres = np.einsum("neij,nej->nei", to_picture[..., :2], pixels) + to_picture[..., 2]
    pairs = zip(looks["landmarks"][rows], centres, strict=True)
    return np.array([with_irises(landmarks, tuple(map(tuple, pair))) for landmarks, pair in pairs])


def gaze_of(material: Material, prediction: dict[str, NDArray], rows: NDArray) -> NDArray:
    """The network's yaw and pitch (n, 2), degrees."""
    across, up = prediction["gaze"].T
    cosine, sine = np.cos(material.roll[rows]), np.sin(material.roll[rows])
    x, y = cosine * across + sine * up, cosine * up - sine * across
    pitch = np.arcsin(np.clip(y, -1, 1))
    return np.degrees(np.stack([np.arcsin(np.clip(x / np.cos(pitch), -1, 1)), pitch], axis=1))


def logistic(name: str, score: NDArray, happened: NDArray) -> tuple[float, float]:
    """Slope and intercept of the curve that turns `score` into a probability; prints them."""
    model = LogisticRegression(C=1.0).fit(score[:, None], happened)
    print(f"{name}: slope {model.coef_[0, 0]:.3f}, intercept {model.intercept_[0]:.3f}")
    return float(model.coef_[0, 0]), float(model.intercept_[0])


def errors_over_stated(missed: NDArray, stated: NDArray, spread: NDArray) -> float:
    """The factor on the network's `stated` errors under which the `missed` degrees are most likely, when
    the disagreement `spread` (variance) is added.
    """

    def unlikely(factor: float) -> float:
        variance = (factor * stated) ** 2 + spread
        return float((missed**2 / variance + np.log(variance)).mean())

    return float(min(np.arange(0.2, 1.6, 0.02), key=unlikely))


def main() -> None:
    """Print everything."""
    with np.load(sys.argv[1]) as stored:
        looks = dict(stored)
    material = Material(looks)
    parts = [dict(np.load(path)) for path in sys.argv[2:]]
    prediction = {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}
    rows = prediction["rows"]
    told = material.open.astype(bool) & (material.visible.max(axis=1) >= LEAST_IRIS)
    ahead = told & (abs(looks["head"][:, :2]) <= USUAL_ANGLE_DEG).all(axis=1)
    features = np.array([iris_offset(each) for each in looks["landmarks"]])
    terms = (features[:, [0, 2]], np.column_stack([features[:, [1, 3]], np.ones(len(features))]))
    network = gaze_of(material, prediction, rows)
    angles, errors = np.empty_like(network), np.degrees(np.exp(prediction["both"][:, :2].clip(-5, 0.5)))
    truth, counted = looks["gaze"][rows], ahead[rows]
    for axis, (name, share) in enumerate((("yaw", GEOMETRY_YAW_SHARE), ("pitch", GEOMETRY_PITCH_SHARE))):
        weight = np.linalg.lstsq(terms[axis][ahead], looks["gaze"][ahead, axis], rcond=None)[0]
        print(f"{name}: of face, of iris, at rest", weight.round(3))
        geometry = (terms[axis] @ weight)[rows]
        angles[:, axis] = (1 - share) * network[:, axis] + share * geometry
        spread = share * (1 - share) * (network[:, axis] - geometry) ** 2
        missed = angles[:, axis] - truth[:, axis]
        factor = errors_over_stated(missed[counted], errors[counted, axis], spread[counted])
        errors[:, axis] = np.hypot(factor * errors[:, axis], spread**0.5)
        alone = [abs(each - truth[:, axis])[counted].mean() for each in (network[:, axis], geometry)]
        print(
            f"{name}: mean error of network, geometry {np.round(alone, 2)},"
            f" joined {abs(missed[counted]).mean():.2f}"
        )
        print(f"{name}: errors over stated {factor:.2f}")
    print("gaze, median angle", np.median(np.hypot(*(angles - truth)[counted].T)).round(2))
    logistic("open", prediction["both"][:, 2], material.open[rows])
    logistic("closed", prediction["both"][:, 3], material.closed[rows])
    words = [word_probabilities(*each, *error) for each, error in zip(angles, errors, strict=True)]
    said = np.array([max(word, key=lambda each: word[each]) for word in words])
    likely = np.array([max(word.values()) for word in words])
    right = said == [word_of(*each) for each in truth]
    odds = np.log(likely / np.maximum(1 - likely, 1e-6))
    slope, intercept = logistic("word right", odds[told[rows]], right[told[rows]])
    confidence = 1 / (1 + np.exp(-(slope * odds + intercept)))
    clear = told[rows] & (abs(abs(truth) - [8, 12]) > 2).all(axis=1)
    for least in (0.5, 0.6, 0.7):
        decided = clear & (confidence >= least)
        print(
            f"words from {least}: {right[decided].mean():.3f} right,"
            f" {1 - decided.sum() / clear.sum():.3f} unsure"
        )
    landmarks = refined(looks, prediction["eyes"], rows)
    distance = np.linalg.norm(landmarks[:, [468, 473], :2] - looks["pupil"][rows], axis=2)
    between = np.linalg.norm(looks["pupil"][rows][:, 0] - looks["pupil"][rows][:, 1], axis=1)
    print("pupils, median of the interpupillary distance", np.median((distance / between[:, None])[counted]))
    opening = prediction["eyes"][:, :, 5].mean(axis=1)
    share = np.array(
        [opening[k] / usual_opening(opening, looks["sitter"][rows], k) for k in range(len(rows))]
    )
    logistic("open by share of the usual opening", share, material.open[rows])


def usual_opening(opening: NDArray, sitter: NDArray, k: int) -> float:
    """The upper quartile of the openings of the sitter of look `k`."""
    return float(np.quantile(opening[sitter == sitter[k]], 0.75))


if __name__ == "__main__":
    main()
