"""Looks off the lens on real faces: irises moved by known angles in studio pictures of sitters on whom
nothing was trained, through the whole pipeline. The renderer is the one that training uses
(training/moved_eyes.py)."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_network import turned_back
from tests.accuracy.figures.row import Row
from tests.accuracy.portraits import CHECKOUT, SHARED
from tests.accuracy.real.measured import Measured, measured, share
from tests.accuracy.real.sets import Photograph

LOOKS_A_FACE = 8
WIDEST_DEG, LOWEST_DEG, HIGHEST_DEG = 28.0, -24.0, 18.0
"""Range of the looks, uniform."""

BORDER_SIDE_DEG, BORDER_UP_DEG = (6.0, 10.0), (10.0, 14.0)
"""Between these the word is not counted: inside the first of each pair it is `camera`, beyond the second
not."""

QUALITY = 95


@dataclass(frozen=True)
class Moved:
    """A picture with moved irises: its file and the true look in degrees."""

    path: Path
    yaw_deg: float
    pitch_deg: float


def moved_pictures(folder: Path) -> list[Moved]:
    """Pictures of every neutral studio sitter who is held out, each with LOOKS_A_FACE looks, in `folder`."""
    sys.path.insert(0, str(CHECKOUT / "training"))
    sources, renderer = import_module("eye_sources"), import_module("moved_eyes")
    random = np.random.default_rng(17)
    pictures = []
    for face in sources.studio_faces(SHARED / "real", neutral=True, held_out=True):
        rgb = cv2.imread(str(face.path))[..., ::-1]
        for number in range(LOOKS_A_FACE):
            yaw = float(random.uniform(-WIDEST_DEG, WIDEST_DEG))
            pitch = float(random.uniform(LOWEST_DEG, HIGHEST_DEG))
            across, up = np.sin(np.radians(yaw)) * np.cos(np.radians(pitch)), np.sin(np.radians(pitch))
            changed = rgb.astype(np.float32)
            for eye, side, to_picture in zip(face.eyes, (1, -1), face.to_picture, strict=True):
                look = renderer.moved(eye, renderer.Change(side * across, up))
                changed += _difference(look.rgb - eye.skin, sources.dense_to_picture(to_picture), rgb)
            path = folder / f"{face.path.stem}_{number}.jpg"
            levels = np.clip(changed, 0, 255).astype(np.uint8)[..., ::-1]
            cv2.imwrite(str(path), levels, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
            pictures.append(Moved(path, *turned_back(across, up, face.roll)))
    return pictures


def _difference(
    dense: NDArray[np.float32], to_picture: NDArray[np.float64], rgb: NDArray[np.uint8]
) -> NDArray[Any]:
    """What changed in a patch, at its place in the picture."""
    matrix = to_picture.copy()
    matrix[:, 2] -= 0.5
    return np.asarray(cv2.warpAffine(dense, matrix, rgb.shape[1::-1], flags=cv2.INTER_LINEAR), np.float32)


def moved_rows() -> list[Row]:
    """Slopes, errors and words of moved irises; nothing where the studio's pictures are not at hand."""
    if not (SHARED / "real/london.jsonl").is_file():
        return []
    with TemporaryDirectory() as folder:
        pictures = moved_pictures(Path(folder))
        taken = measured([Photograph(each.path, "moved irises", {}, False) for each in pictures])
    return rows_of(pictures, taken)


def rows_of(pictures: Sequence[Moved], taken: Sequence[Measured]) -> list[Row]:
    """The figures of `pictures` as measured."""
    name, rows = "moved irises, sitters not trained on", []
    truth = np.array([(each.yaw_deg, each.pitch_deg) for each in pictures])
    said = np.array(
        [[np.nan if (value := each.number(angle)) is None else value for angle in ANGLES] for each in taken]
    )
    known = np.isfinite(said).all(axis=1)
    for axis, (what, low, high) in enumerate((("yaw", 0.9, 1.1), ("pitch", 0.85, 1.15))):
        true, found = truth[known, axis], said[known, axis]
        slope, _ = np.polyfit(true, found, 1)
        deviation = np.std(found - np.polyval(np.polyfit(true, found, 1), true), ddof=2)
        reach = 1.96 * deviation / (np.std(true) * np.sqrt(len(true)))
        off = found - true
        rows.append(
            Row(
                f"{name}: gaze {what}",
                len(pictures),
                float(known.mean()),
                f"slope {slope:.2f} ({slope - reach:.2f} to {slope + reach:.2f}), mean error"
                f" {abs(off).mean():.1f}°, bias {off.mean():+.1f}°,"
                f" correlation {np.corrcoef(true, found)[0, 1]:.3f}",
                f"slope {low} to {high}",
                low <= slope <= high,
            )
        )
    words = np.array([str(each.values.get("gaze") or "unsure") for each in taken])
    side, height = abs(truth[:, 0]), abs(truth[:, 1])
    away = (side > BORDER_SIDE_DEG[1]) | (height > BORDER_UP_DEG[1])
    into = (side < BORDER_SIDE_DEG[0]) & (height < BORDER_UP_DEG[0])
    for what, part, word, goal in (
        ("off the lens, `camera`", away, "camera", 0.0),
        ("off the lens, `unsure`", away, "unsure", 0.15),
        ("near the lens, `unsure`", into, "unsure", 0.1),
    ):
        count = int((words[part] == word).sum())
        met = count <= goal * part.sum()
        figure = share(count, int(part.sum()))
        rows.append(Row(f"{name}: {what}", int(part.sum()), None, figure, f"≤ {goal:.0%}", bool(met)))
    return rows


ANGLES = ("gaze_yaw_deg", "gaze_pitch_deg")
