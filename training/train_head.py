"""Fit the usual face and the correction of head pose: writes face.npz and head.npz beside measuring/head.py.

python training/train_head.py WHERE_THE_CROWD_IS [--looks FILE]

Material: crowd_looks.py. The usual face is the mean of the mesh after the true pose has been undone, made
symmetric; its pitch is turned so that mediapipe's canonical face, aligned with it, faces the lens. The
correction is a ridge regression whose penalty was chosen by ten-fold cross-validation over the 60 sitters:
mean absolute error out of fold 1.1° and 0.4° (yaw, roll; plain alignment 1.7°, 0.7°). Fitted on all 60 in
the end. Pitch has none: learned on renders it moved real heads (measuring/head.py). --looks keeps the
material in a file between runs."""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
from crowd_looks import FOR_HEAD, kept_looks
from numpy.typing import NDArray

from eyeline.measuring.face_shape import posture, usual_face
from eyeline.measuring.head import asymmetry
from eyeline.measuring.rotation import compose, decompose

HERE = Path(__file__).parents[1] / "daemon/eyeline/measuring"

PITCH_OF_REST_DEG = 10.5
"""How far the rendered sitters' zero of pitch lies above that of mediapipe's canonical face, by
aligning the two shapes on the 33 points of its face geometry module."""

LARGEST_ANGLE_DEG, USUAL_ANGLE_DEG = 45.0, 30.0
"""Frames beyond the first are left out of the regression, beyond the second out of the usual face."""

PENALTY = 150.0
"""Ridge penalty, in squared centimetres over about nine thousand looks."""

FOLDS = 10


def usual_shape(landmarks: NDArray[np.float32], head: NDArray[np.float64]) -> dict[str, NDArray[np.floating]]:
    """The mean face (478, 3) in centimetres and the weights of its rigid points.

    `landmarks` (n, 478, 3) and true `head` angles (n, 3). Scale and index tables stay as they are.
    """
    old = usual_face()
    within = (abs(head) <= USUAL_ANGLE_DEG).all(axis=1)
    here = landmarks[within].astype(np.float64) * (1, -1, -1)
    zero = compose(0, -PITCH_OF_REST_DEG, 0)
    turned = np.array([compose(*angles) @ zero for angles in head[within]])
    faces = (here - here[:, old.rigid].mean(axis=1)[:, None]) @ turned
    faces /= np.sqrt((faces[:, old.rigid] ** 2).sum(axis=(1, 2)))[:, None, None]
    mean = faces.mean(axis=0)
    mean = (mean + mean[old.mirror] * (-1, 1, 1)) / 2
    size = np.linalg.norm(old.points[468] - old.points[473]) / np.linalg.norm(mean[468] - mean[473])
    variance = ((faces * size - mean * size) ** 2).sum(axis=2).mean(axis=0)
    weight = 1 / variance[old.rigid] + 1 / variance[old.mirror[old.rigid]]
    return {
        "shape": (mean * size).astype(np.float32),
        "mirror": old.mirror.astype(np.int16),
        "rigid": old.rigid.astype(np.int16),
        "rigid_weight": (weight / weight.sum()).astype(np.float32),
    }


def corrections(
    landmarks: NDArray[np.float32], head: NDArray[np.float64], sitters: NDArray[np.str_]
) -> dict[str, NDArray[np.float32]]:
    """The weights of head.npz, fitted on all; prints the error out of fold, by sitter."""
    faces = [posture(each) for each in landmarks]
    plain = np.array([decompose(face.rotation) for face in faces])
    features = np.array([asymmetry(face, tuple(angles)) for face, angles in zip(faces, plain, strict=True)])
    fit_on = (abs(head) <= LARGEST_ANGLE_DEG).all(axis=1)
    report_on = (abs(head) <= USUAL_ANGLE_DEG).all(axis=1)
    names = np.unique(sitters)
    fold = np.searchsorted(names, sitters) % FOLDS
    answer = {}
    for k, name in ((0, "yaw"), (2, "roll")):
        missed = head[:, k] - plain[:, k]
        unseen = np.zeros(len(missed))
        for each in range(FOLDS):
            train = fit_on & (fold != each)
            unseen[fold == each] = features[fold == each] @ ridge(features[train], missed[train])
        error = abs(unseen - missed)[report_on].mean()
        print(f"{name}: mean absolute error out of fold {error:.2f} degrees")
        answer[name] = ridge(features[fit_on], missed[fit_on]).astype(np.float32)
    return answer


def ridge(features: NDArray[np.float64], target: NDArray[np.float64]) -> NDArray[np.float64]:
    """Weights that give `target` (n,) from `features` (n, m) with the least squares plus penalty."""
    square = features.T @ features + PENALTY * np.eye(features.shape[1])
    return np.asarray(np.linalg.solve(square, features.T @ target))


def main() -> None:
    """Write both files."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("crowd", type=Path)
    parser.add_argument("--looks", type=Path)
    parser.add_argument("--shape", action="store_true", help="also fit the usual face anew")
    arguments = parser.parse_args()
    seen = kept_looks(arguments.crowd, arguments.looks, FOR_HEAD)
    plain = seen["variant"] == 0
    if arguments.shape:
        np.savez(HERE / "face.npz", **usual_shape(seen["landmarks"][plain], seen["head"][plain]))
        usual_face.cache_clear()
    np.savez(HERE / "head.npz", **corrections(seen["landmarks"], seen["head"], seen["sitter"]))


if __name__ == "__main__":
    main()
