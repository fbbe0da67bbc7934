"""What the eye networks say of sitters that they had not seen, and curves and figures over it.

Read by calibrate_eyes.py; needs scikit-learn.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import GroupKFold, cross_val_predict
from train_eyes import Material

from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX
from eyeline.measuring.eye_region import CORNERS
from eyeline.measuring.eyes import LEAST_BETWEEN_PX
from eyeline.measuring.face_shape import posture
from eyeline.measuring.pupils import CENTRES
from eyeline.measuring.rotation import decompose

USUAL_ANGLE_DEG, LEAST_IRIS = 30.0, 0.35


class Unseen:
    """What was said of looks whose sitters were left out, beside the truth, row for row; of eyes at least
    `least_px` apart.
    """

    def __init__(
        self, looks: dict[str, NDArray], parts: list[dict[str, NDArray]], least_px: float = LEAST_BETWEEN_PX
    ) -> None:
        material = Material(looks)
        told = [looks["between"][part["rows"]] >= least_px for part in parts]
        said = {
            name: np.concatenate([part[name][kept] for part, kept in zip(parts, told, strict=True)])
            for name in parts[0]
        }
        rows = said["rows"]
        self.truth, self.sitter = looks["gaze"][rows], looks["sitter"][rows]
        self.tone, self.variant = looks["tone"][rows], looks["variant"][rows]
        self.words = looks["eyes"][rows]
        self.open, self.closed = self.words == "open", self.words == "closed"
        self.seen = material.visible.max(axis=1)[rows] >= LEAST_IRIS
        self.ahead = (abs(looks["head"][rows, :2]) <= USUAL_ANGLE_DEG).all(axis=1)
        self.eyes, self.both, self.nodded_both = said["eyes"], said["both"], said["nodded_both"]
        roll = material.roll[rows]
        self.network = [angles_of(said[name], roll) for name in ("gaze", "nodded_gaze")]
        pixels = self.eyes[:, :, 3:5] * (WIDTH_PX / 2) + [(WIDTH_PX - 1) / 2, (HEIGHT_PX - 1) / 2]
        to_picture = looks["to_picture"][rows]
        self.irises = np.einsum("neij,nej->nei", to_picture[..., :2], pixels) + to_picture[..., 2]
        self.mesh_irises = looks["landmarks"][rows][:, list(CENTRES), :2]
        self.pupils = looks["pupil"][rows]
        self.yaw, self.between = looks["head"][rows, 0], looks["between"][rows]
        features = np.array([iris_offset(each) for each in looks["landmarks"][rows]])
        self.across = features[:, [0, 2]]
        self.up = np.column_stack([features[:, [1, 3]], np.ones(len(rows))])


def angles_of(gaze: NDArray, roll: NDArray) -> NDArray:
    """Yaw and pitch (n, 2), degrees, of direction sines in pictures turned upright by `roll`."""
    across, up = gaze.T
    cosine, sine = np.cos(roll), np.sin(roll)
    x, y = cosine * across + sine * up, cosine * up - sine * across
    pitch = np.arcsin(np.clip(y, -1, 1))
    return np.degrees(np.stack([np.arcsin(np.clip(x / np.cos(pitch), -1, 1)), pitch], axis=1))


def logistic(name: str, score: NDArray, happened: NDArray, groups: NDArray) -> NDArray:
    """The curve that turns `score` (n,) or (n, k) into a probability, printed; answers the probabilities
    out of fold, by sitter.
    """
    columns = score.reshape(len(score), -1)
    model = LogisticRegression(C=100.0)
    folds = {"groups": groups, "cv": GroupKFold(10), "method": "predict_proba"}
    unseen = cross_val_predict(model, columns, happened, **folds)
    model.fit(columns, happened)
    print(f"{name}: slope {model.coef_[0].round(3)}, intercept {model.intercept_[0]:.3f}")
    return np.asarray(unseen[:, 1])


def reliability(name: str, stated: NDArray, happened: NDArray) -> None:
    """Print the stated probability against what came true."""
    for low, high in ((0, 0.2), (0.2, 0.4), (0.4, 0.6), (0.6, 0.8), (0.8, 0.9), (0.9, 1.01)):
        part = (stated >= low) & (stated < high)
        if part.any():
            print(f"  {name}: {part.sum()} stated {stated[part].mean():.2f} true {happened[part].mean():.2f}")


def errors_over_stated(missed: NDArray, stated: NDArray) -> float:
    """The factor on the network's `stated` errors under which the `missed` degrees are most likely."""
    return float(np.sqrt(np.mean((missed / stated) ** 2)))


def by_tone(name: str, value: NDArray, unseen: Unseen, counted: NDArray) -> None:
    """Print a mean of every skin tone against the mean of all tones."""
    tones = np.unique(unseen.tone)
    means = np.array([value[counted & (unseen.tone == tone)].mean() for tone in tones])
    print(f"  {name} by tone", means.round(4), f"worst {means.max() / means.mean():.2f} x the mean of tones")


def iris_offset(landmarks: NDArray) -> tuple[float, float, float, float]:
    """Yaw and pitch of the plainly aligned face in degrees, and how far the irises lie off the middle of
    the eyes' corners to the right and up, in centimetres in the head's own axes, mean of both eyes.
    """
    face = posture(landmarks)
    yaw, pitch, _ = decompose(face.rotation)
    across, up = np.mean(
        [
            face.upright[centre, :2] - face.upright[list(corners), :2].mean(axis=0)
            for centre, corners in zip(CENTRES, CORNERS, strict=True)
        ],
        axis=0,
    )
    return yaw, pitch, float(across), float(up)
