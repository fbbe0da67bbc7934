"""What the eye networks learn from: real eyes with moved irises and lowered lids, and the rendered crowd.

Both as `Looks`, in the network's own units. Both eyes of a face move alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from moved_eyes import DENSITY, MARGIN_PX, Change, SourceEye, moved
from numpy.typing import NDArray

from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX

LOOKS_BY_HAND, LOOKS_OF_PORTRAIT, LOOKS_BY_MESH = 130, 80, 50
"""Looks at each face: with hand-placed irises and lids, of a portrait, of a smiling studio picture."""

INTO_LENS, NEAR_LENS, NEAR_DEG = 0.2, 0.15, 6.0
"""Shares of the looks exactly into the lens and near it, deviation of the latter. The rest is uniform."""
WIDEST_DEG, LOWEST_DEG, HIGHEST_DEG = 32.0, -32.0, 22.0
APART_DEG = 0.6
"""Deviation of each eye's look from that of both."""

LIDS_SHARE = 0.3
"""Share of the looks that are about the lids: open, half closed and closed alike often."""
OPEN_TO, HALF, CLOSED_FROM = 0.12, (0.35, 0.68), 0.92
"""Share of the opening by which the lids close: of open eyes, of half closed ones, of closed ones."""

GREY_SPREAD = 0.5
"""Deviation of the logs of the channels' weights: filters, films and white balances differ."""

RENDERS_REST_DEG = 8.5
"""By which the rendered sitters' rest pose lies above that of people: added to what the mesh says of their
heads."""
RENDERS_BALL_MM, RENDERS_CORNER_MM, PEOPLES_BALL_MM, PEOPLES_CORNER_MM = 12.1, 7.8, 9.7, 6.3
"""How far an iris moves per sine of the gaze, and the eye's corners per sine of the head's turn, measured on
the crowd's own meshes and in people."""

CROWD_PITCH_WEIGHT = 0.8
"""How much the height of a rendered look counts beside that of a real one: their lids are less like
people's."""

FOLDS, LEFT_OUT = 4, 3
"""Of the crowd every fourth sitter by name is never trained on."""


@dataclass(eq=False)
class Looks:
    """`grey` uint8 (n, 2, rows, columns), with margin, `density` times a patch's resolution; `gaze` (n, 2)
    sines across and up in the picture turned upright; `head` (n, 2) sines of yaw and pitch by plain
    alignment; `iris` (n, 2, 2) and the `way` it was moved (n, 2, 2) in pixels of a patch without margin;
    `opening`, `aperture`, `visible` (n, 2); `open`, `closed` (n,); `pitch_weight` (n,): how much the height
    counts; `rough` (n,): spoilt already; `held_out` (n,); `group` (n,): face or sitter.
    """

    density: int
    grey: NDArray[np.uint8]
    gaze: NDArray[np.float32]
    head: NDArray[np.float32]
    iris: NDArray[np.float32]
    way: NDArray[np.float32]
    opening: NDArray[np.float32]
    aperture: NDArray[np.float32]
    visible: NDArray[np.float32]
    open: NDArray[np.float32]
    closed: NDArray[np.float32]
    pitch_weight: NDArray[np.float32]
    rough: NDArray[np.bool_]
    held_out: NDArray[np.bool_]
    group: NDArray[np.str_]

    def part(self, rows: NDArray[np.bool_]) -> Looks:
        """Those looks for which `rows` (n,) holds."""
        return Looks(self.density, **{name: each[rows] for name, each in self.arrays().items()})

    def arrays(self) -> dict[str, NDArray[Any]]:
        """All but the density, by name."""
        return {each.name: getattr(self, each.name) for each in fields(self) if each.name != "density"}


@dataclass(frozen=True, eq=False)
class Face:
    """What moving needs of a face: both `eyes`, sines of the `head`, and what is known of it."""

    eyes: tuple[SourceEye, SourceEye]
    head: tuple[float, float]
    looks: int
    glasses: bool
    held_out: bool
    name: str


def moved_looks(faces: Sequence[Face], seed: int, workers: int) -> Looks:
    """Looks at every one of `faces`, its irises and lids moved at random."""
    jobs = [(face, seed * 100_003 + number) for number, face in enumerate(faces)]
    with ProcessPoolExecutor(workers) as pool:
        rows = [row for each in pool.map(_of_face, jobs, chunksize=2) for row in each]
    return _stacked(rows, DENSITY)


def _of_face(job: tuple[Face, int]) -> list[dict[str, Any]]:
    face, seed = job
    random = np.random.default_rng(seed)
    return [one_look(face, random) for _ in range(face.looks)]


def one_look(face: Face, random: np.random.Generator) -> dict[str, Any]:
    """One look of `face` with its truth."""
    about_lids = random.random() < LIDS_SHARE and not face.glasses
    yaw_deg, pitch_deg = _look(random, about_lids)
    closing, open_, closed = _closing(random, about_lids)
    shared = {
        "upper_gain": random.normal(0.8, 0.15),
        "upper_mm": 0.0 if about_lids else random.normal(0, 0.6),
        "lower_gain": random.uniform(0.15, 0.6),
        "lower_mm": random.normal(0, 0.25),
        "shade": random.uniform(0.1, 0.4),
        "glint": _glint(random),
    }
    weights = np.exp(random.normal(0, GREY_SPREAD, 3)) * [0.299, 0.587, 0.114]
    weights /= weights.sum()
    eyes, ways = [], []
    for eye, side in zip(face.eyes, (1, -1), strict=True):
        yaw, pitch = np.radians([yaw_deg, pitch_deg] + random.normal(0, APART_DEG, 2) * (yaw_deg != 0))
        across, up = float(np.sin(yaw) * np.cos(pitch)), float(np.sin(pitch))
        each = moved(eye, Change(side * across, up, closing=closing + random.normal(0, 0.02), **shared))
        eyes.append(each)
        ways.append(np.subtract(each.iris, eye.centre) / DENSITY)
    yaw, pitch = np.radians([yaw_deg, pitch_deg])
    return {
        "grey": np.stack([np.clip(each.rgb @ weights, 0, 255).astype(np.uint8) for each in eyes]),
        "gaze": [np.sin(yaw) * np.cos(pitch), np.sin(pitch)],
        "head": face.head,
        "iris": [(np.array(each.iris) - (DENSITY - 1) / 2) / DENSITY - MARGIN_PX for each in eyes],
        "way": ways,
        "opening": [each.opening for each in eyes],
        "aperture": [each.aperture for each in eyes],
        "visible": [each.visible for each in eyes],
        "open": open_,
        "closed": closed,
        "pitch_weight": 1.0,
        "rough": False,
        "held_out": face.held_out,
        "group": face.name,
    }


def _look(random: np.random.Generator, about_lids: bool) -> tuple[float, float]:
    """Yaw and pitch in degrees; what is about the lids looks mostly near the lens."""
    chance = random.random()
    into, near = (INTO_LENS, NEAR_LENS + 0.4) if about_lids else (INTO_LENS, NEAR_LENS)
    if chance < into:
        return 0.0, 0.0
    if chance < into + near:
        yaw, pitch = random.normal(0, NEAR_DEG, 2)
        return float(yaw), float(pitch)
    return float(random.uniform(-WIDEST_DEG, WIDEST_DEG)), float(random.uniform(LOWEST_DEG, HIGHEST_DEG))


def _closing(random: np.random.Generator, about_lids: bool) -> tuple[float, float, float]:
    """By how much the lids close, whether that is open, whether it is closed."""
    kind = random.integers(3) if about_lids else 0
    if kind == 0:
        return float(random.uniform(0, OPEN_TO)), 1.0, 0.0
    if kind == 1:
        return float(random.uniform(*HALF)), 0.0, 0.0
    return float(random.uniform(CLOSED_FROM, 1.0)), 0.0, 1.0


def _glint(random: np.random.Generator) -> tuple[float, float, float, float] | None:
    """In a third a new catchlight."""
    if random.random() > 1 / 3:
        return None
    across, down = random.normal(0, 2.0), random.normal(-1.5, 1.5)
    return float(across), float(down), float(random.uniform(0.3, 1.0)), float(random.uniform(0.4, 1.0))


def crowd_looks(seen: dict[str, NDArray[Any]]) -> Looks:
    """The rendered crowd's looks (crowd_looks.py; `plain`: angles of the head by plain alignment, degrees),
    with the gaze that people would have whose irises lay so.
    """
    into = np.linalg.inv(seen["to_picture"][..., :2])
    iris = np.einsum("neij,nej->nei", into, seen["pupil"] - seen["to_picture"][..., 2])
    yaw, pitch, roll = np.radians(seen["plain"] + [0, RENDERS_REST_DEG, 0]).T
    across, up = np.radians(seen["gaze"]).T
    x, y = np.sin(across) * np.cos(up), np.sin(up)
    truly = np.sin(np.radians(seen["head"][:, :2]))
    gaze = as_peoples(np.stack([x, y], axis=1), truly)
    cosine, sine = np.cos(roll), np.sin(roll)
    upright = np.stack(
        [cosine * gaze[:, 0] - sine * gaze[:, 1], sine * gaze[:, 0] + cosine * gaze[:, 1]], axis=1
    )
    names = np.unique(seen["sitter"])
    count = len(iris)
    return Looks(
        density=1,
        grey=seen["patch"],
        gaze=upright.astype(np.float32),
        head=np.stack([np.sin(yaw), np.sin(pitch)], axis=1).astype(np.float32),
        iris=iris.astype(np.float32),
        way=np.zeros((count, 2, 2), np.float32),
        opening=seen["opening"].astype(np.float32),
        aperture=seen["aperture"].astype(np.float32),
        visible=seen["iris_visible"].astype(np.float32),
        open=(seen["eyes"] == "open").astype(np.float32),
        closed=(seen["eyes"] == "closed").astype(np.float32),
        pitch_weight=np.full(count, CROWD_PITCH_WEIGHT, np.float32),
        rough=seen["variant"] >= 2,
        held_out=np.searchsorted(names, seen["sitter"]) % FOLDS == LEFT_OUT,
        group=seen["sitter"],
    )


def as_peoples(gaze: NDArray[np.float64], head: NDArray[np.float64]) -> NDArray[np.float64]:
    """Sines (n, 2) of the gaze of people whose irises lie as those of renders with the sines `gaze` and
    `head` (n, 2): renders have larger balls (an iris on the ball's surface).
    """
    iris_mm = RENDERS_BALL_MM * gaze - RENDERS_CORNER_MM * head
    return np.clip((iris_mm + PEOPLES_CORNER_MM * head) / PEOPLES_BALL_MM, -0.98, 0.98)


def _stacked(rows: list[dict[str, Any]], density: int) -> Looks:
    whole = {name: np.array([row[name] for row in rows]) for name in rows[0]}
    return Looks(
        density,
        **{name: each.astype(np.float32) if each.dtype.kind == "f" else each for name, each in whole.items()},
    )


__all__ = ["HEIGHT_PX", "WIDTH_PX", "Face", "Looks", "crowd_looks", "moved_looks"]
