"""Print the constants of gaze.py, eyes.py and pupils.py from sitters the network has not seen.

    python training/calibrate_eyes.py LOOKS FOLD_PREDICTIONS...

LOOKS and FOLD_PREDICTIONS are what train_eyes.py keeps with --looks and writes with --fold. Fitted here:
the geometry of gaze (all sitters), how much it counts beside the network (least variance), the size of
the errors, and three logistic curves: eyes open, eyes closed, word right. Needs scikit-learn.
"""

from __future__ import annotations

import sys

import numpy as np
from numpy.typing import NDArray
from sklearn.linear_model import LogisticRegression
from train_eyes import Material

from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX
from eyeline.measuring.gaze import iris_offset, word_of, word_probabilities
from eyeline.measuring.pupils import NETWORK_SHARE, with_irises

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


def logistic(name: str, score: NDArray, happened: NDArray) -> None:
    """Print the curve that turns `score` into a probability."""
    model = LogisticRegression(C=1.0).fit(score[:, None], happened)
    print(f"{name}: slope {model.coef_[0, 0]:.3f}, intercept {model.intercept_[0]:.3f}")


def main() -> None:
    """Print everything."""
    with np.load(sys.argv[1]) as stored:
        looks = dict(stored)
    material = Material(looks)
    parts = [dict(np.load(path)) for path in sys.argv[2:]]
    prediction = {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}
    rows = prediction["rows"]
    truth, head = looks["gaze"][rows], looks["head"][rows]
    counted = material.open[rows].astype(bool) & (material.visible[rows].max(axis=1) >= LEAST_IRIS)
    counted &= (abs(head[:, :2]) <= USUAL_ANGLE_DEG).all(axis=1)
    landmarks = refined(looks, prediction["eyes"], rows)
    features = np.array([iris_offset(each) for each in landmarks])
    yaw_terms = features[:, [0, 2]]
    pitch_terms = np.column_stack([features[:, [1, 3]], np.ones(len(features))])
    yaw_weight = np.linalg.lstsq(yaw_terms[counted], truth[counted, 0], rcond=None)[0]
    pitch_weight = np.linalg.lstsq(pitch_terms[counted], truth[counted, 1], rcond=None)[0]
    print(
        "geometry: yaw of face, iris", yaw_weight.round(3), "pitch of face, iris, rest", pitch_weight.round(3)
    )
    geometry = np.stack([yaw_terms @ yaw_weight, pitch_terms @ pitch_weight], axis=1)
    network = gaze_of(material, prediction, rows)
    joined, errors = np.empty_like(network), np.degrees(np.exp(prediction["both"][:, :2].clip(-5, 0.5)))
    for axis, name in enumerate(("yaw", "pitch")):
        missed = [each[counted, axis] - truth[counted, axis] for each in (network, geometry)]
        spread = np.cov(missed)
        share = (spread[0, 0] - spread[0, 1]) / (spread[0, 0] + spread[1, 1] - 2 * spread[0, 1])
        joined[:, axis] = (1 - share) * network[:, axis] + share * geometry[:, axis]
        off = (joined[:, axis] - truth[:, axis])[counted]
        print(f"{name}: share of geometry {share:.2f}, error {abs(off).mean():.2f}, bias {off.mean():.2f}")
        print(f"{name}: errors over the network's own {np.std(off / errors[counted, axis]):.3f}")
        errors[:, axis] *= np.std(off / errors[counted, axis])
    print("median angle", np.median(np.hypot(*(joined - truth)[counted].T)).round(2))
    logistic("open", prediction["both"][:, 2], material.open[rows])
    logistic("closed", prediction["both"][:, 3], material.closed[rows])
    said, right = [], []
    for estimate, error, real in zip(joined[counted], errors[counted], truth[counted], strict=True):
        probable = word_probabilities(*estimate, *error)
        word = max(probable, key=lambda each: probable[each])
        said.append(np.log(probable[word] / max(1 - probable[word], 1e-6)))
        right.append(word == word_of(*real))
    logistic("word right", np.array(said), np.array(right))
    print("irises of the network count", NETWORK_SHARE)
    distance = np.linalg.norm(landmarks[:, [468, 473], :2] - looks["pupil"][rows], axis=2)
    between = np.linalg.norm(looks["pupil"][rows][:, 0] - looks["pupil"][rows][:, 1], axis=1)
    print("pupils, median of the interpupillary distance", np.median((distance / between[:, None])[counted]))


if __name__ == "__main__":
    main()
