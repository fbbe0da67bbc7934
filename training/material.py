"""Both kinds of looks that the eye networks learn from, kept in files between runs."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
from eye_looks import LOOKS_BY_HAND, LOOKS_BY_MESH, LOOKS_OF_PORTRAIT, Face, Looks, crowd_looks, moved_looks
from moved_eyes import DENSITY, SourceEye
from numpy.typing import NDArray

from eyeline.measuring.face_shape import posture
from eyeline.measuring.rotation import decompose

SEED = 5
LAYERS = ("skin", "white", "iris", "upper", "lower", "centre", "radius", "corners")
"""What a SourceEye consists of."""


def material(shared: Path, kept: Path) -> tuple[Looks, Looks]:
    """Moved real eyes and the rendered crowd, from the folder `shared`; what takes long to make is kept in
    the folder `kept`.
    """
    kept.mkdir(parents=True, exist_ok=True)
    sources, pool = kept / "sources.npz", kept / "moved.npz"
    if not sources.exists():
        from eye_sources import source_faces

        np.savez(sources, **packed(source_faces(shared / "real")))
    if not pool.exists():
        with np.load(sources) as stored:
            faces = unpacked(dict(stored))
        np.savez(pool, **moved_looks(faces, SEED, os.cpu_count() or 1).arrays())
    _, rendered = crowd_looks_kept(shared, kept)
    with np.load(pool) as looks:
        return Looks(DENSITY, **looks), rendered


def crowd_looks_kept(shared: Path, kept: Path) -> tuple[dict[str, NDArray[Any]], Looks]:
    """What crowd_looks.py saw of the rendered crowd, and the same as looks."""
    crowd = kept / "crowd.npz"
    if not crowd.exists():
        from crowd_looks import FOR_EYES, looks

        seen = looks(shared / "portraits/crowd", FOR_EYES, SEED)
        landmarks = seen.pop("landmarks")
        kept.mkdir(parents=True, exist_ok=True)
        np.savez(crowd, plain=[decompose(posture(each).rotation) for each in landmarks], **seen)
    with np.load(crowd) as stored:
        seen = dict(stored)
    return seen, crowd_looks(seen)


def packed(faces: Iterable[Any]) -> dict[str, NDArray[Any]]:
    """Source faces (eye_sources.py) as arrays."""
    rows = list(faces)
    arrays = {name: np.array([[getattr(eye, name) for eye in face.eyes] for face in rows]) for name in LAYERS}
    for name in ("head", "to_picture", "by_hand", "glasses", "held_out"):
        arrays[name] = np.array([getattr(face, name) for face in rows])
    return arrays | {"name": np.array([face.path.name for face in rows])}


def unpacked(arrays: dict[str, NDArray[Any]]) -> list[Face]:
    """What `packed` made, as faces whose eyes can be moved."""
    faces = []
    for row, name in enumerate(arrays["name"]):
        eyes = [
            SourceEye(
                **{layer: arrays[layer][row, side] for layer in ("skin", "white", "iris", "upper", "lower")},
                centre=(float(arrays["centre"][row, side, 0]), float(arrays["centre"][row, side, 1])),
                radius=float(arrays["radius"][row, side]),
                corners=(float(arrays["corners"][row, side, 0]), float(arrays["corners"][row, side, 1])),
            )
            for side in (0, 1)
        ]
        studio = "front" in str(name)
        looks = LOOKS_BY_HAND if arrays["by_hand"][row] else LOOKS_BY_MESH if studio else LOOKS_OF_PORTRAIT
        head = float(arrays["head"][row, 0]), float(arrays["head"][row, 1])
        held = bool(arrays["held_out"][row])
        faces.append(Face((eyes[0], eyes[1]), head, looks, bool(arrays["glasses"][row]), held, str(name)))
    return faces
