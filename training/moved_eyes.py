"""Move the iris of a real eye by a known angle, with the lids that follow, and lower lids by a known share.

A photographed eye that looks into the lens is taken apart: skin, the white of the eye without its iris, the
iris without its lids, the lines of the lids (eye_sources.py). Put together again with the iris elsewhere it
keeps a real eye's texture and has a known look. Every look is put together so, the one into the lens too:
otherwise an untouched eye would give itself away. Numpy alone, one eye at a time.

Coordinates are those of an eye patch (measuring/eye_patches.py) with MARGIN_PX more on every side, in DENSITY
times its resolution: x toward the inner corner, y down, the middle of the first pixel at 0, 0.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.eye_patches import HEIGHT_PX, WIDTH_PX

Layer = NDArray[np.float32]

DENSITY, MARGIN_PX = 2, 12
ROWS, COLUMNS = DENSITY * (HEIGHT_PX + 2 * MARGIN_PX), DENSITY * (WIDTH_PX + 2 * MARGIN_PX)

IRIS_RADIUS_MM = 5.85
"""Half the 11.7 mm that a human iris measures across in nearly every adult."""

BALL_MM = 9.7
"""From the centre of rotation to the plane of the iris' rim: textbook eyes rotate 13 to 13.5 mm behind the
front of the cornea, the iris lies 3.6 mm behind it."""

EDGE_MM = 0.35
"""Width over which lids and eyeball blend: about what a portrait lens and the patch resolve."""

LASHES_MM, LID_SKIN_MM = 1.0, 8.0
"""A lid takes its lashes along as they are; the skin between them and where the face stays at rest, so far
from the lid, is stretched: a lid unfolds, the brow stays."""

RIM_BEGINS, RIM_ENDS = 1.06, 1.22
"""In iris radii, where the moved iris starts to give way to the white and where it has."""

LEAST_GAP = 0.12
"""Share of the source's own opening that lids following a look never fall below: that would be a blink."""

SHADE_MM = 1.3
"""How fast the shade under the upper lid falls off."""

UPPER_SHARE = 0.85
"""Share of a blink's way that the upper lid takes."""


@dataclass(frozen=True, eq=False)
class SourceEye:
    """One photographed eye that looks into the lens, taken apart. `skin`, `white`, `iris`: uint8 (ROWS,
    COLUMNS, 3); `upper`, `lower` (COLUMNS,): heights of the lids; `centre` (x, y) and `radius` of the iris;
    `corners`: x of the outer, the inner one.
    """

    skin: NDArray[np.uint8]
    white: NDArray[np.uint8]
    iris: NDArray[np.uint8]
    upper: Layer
    lower: Layer
    centre: tuple[float, float]
    radius: float
    corners: tuple[float, float]

    @property
    def px_per_mm(self) -> float:
        """Scale by the iris."""
        return self.radius / IRIS_RADIUS_MM


@dataclass(frozen=True)
class Change:
    """What becomes of an eye. `across`, `up`: direction sines of the look, across toward the inner corner;
    lids follow the iris' way up or down by a `..._gain` and are off by so many mm (+ = lower); `closing`:
    share of the gap by which the lids then close; `shade` under the upper lid; `glint`: None or mm from
    the iris' centre across and down, radius in mm, strength.
    """

    across: float
    up: float
    upper_gain: float = 0.8
    upper_mm: float = 0.0
    lower_gain: float = 0.35
    lower_mm: float = 0.0
    closing: float = 0.0
    shade: float = 0.25
    glint: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, eq=False)
class MovedEye:
    """`rgb` float32 (ROWS, COLUMNS, 3) in levels, the `iris` centre (x, y), the share of it that is
    `visible`, the `opening` (lid gap over eye width, mean at one and two thirds of the width) and the
    `aperture` (gap over the source's own, in the middle).
    """

    rgb: Layer
    iris: tuple[float, float]
    visible: float
    opening: float
    aperture: float


def moved(eye: SourceEye, change: Change) -> MovedEye:
    """`eye` after `change`."""
    scale = eye.px_per_mm
    way = BALL_MM * scale * np.array([change.across, -change.up])
    upper, lower = _lids(eye, change, float(way[0]), float(way[1]))
    y, x = np.mgrid[:ROWS, :COLUMNS].astype(np.float32)
    above = eye.upper - _unfolded(upper - y, upper - eye.upper, scale)
    below = eye.lower + _unfolded(y - lower, eye.lower - lower, scale)
    skin = _sampled(eye.skin, x, np.where(y < (upper + lower) / 2, above, below))
    centre = np.array(eye.centre) + way
    ball = _eyeball(eye, x - centre[0], y - centre[1], change)
    ball *= (1 - change.shade * np.exp(-np.maximum(y - upper, 0) / (SHADE_MM * scale)))[..., None]
    if change.glint is not None:
        across, down, size, strength = change.glint
        place = np.array(eye.centre) + way / 2 + np.array([across, down]) * scale
        cover = np.hypot(x - place[0], y - place[1]) / (size * scale)
        cover = strength * np.clip((1.3 - cover) / 0.6, 0, 1)[..., None]
        ball = ball * (1 - cover) + 255 * cover
    seen = _between_lids(upper, lower, y, EDGE_MM * scale)
    disc = np.hypot(x - centre[0], y - centre[1]) < eye.radius
    return MovedEye(
        rgb=np.asarray(skin * (1 - seen[..., None]) + ball * seen[..., None], np.float32),
        iris=(float(centre[0]), float(centre[1])),
        visible=float(seen[disc].mean()) if disc.any() else 0.0,
        opening=opening_of(eye.corners, upper, lower),
        aperture=float((lower - upper).max() / max((eye.lower - eye.upper).max(), 1e-3)),
    )


def opening_of(corners: tuple[float, float], upper: Layer, lower: Layer) -> float:
    """Lid gap over eye width, mean at one and two thirds of the width."""
    outer, inner = corners
    columns = np.rint([outer + (inner - outer) * share for share in (1 / 3, 2 / 3)]).astype(int)
    return float((lower - upper)[columns].mean() / (inner - outer))


def _lids(eye: SourceEye, change: Change, across_px: float, down_px: float) -> tuple[Layer, Layer]:
    """Heights of both lids after the change: each is displaced most over the iris, not at all at the
    corners.
    """
    outer, inner = eye.corners
    t = np.clip((np.arange(COLUMNS) - outer) / (inner - outer), 1e-4, 1 - 1e-4)
    peak = np.clip((eye.centre[0] + across_px - outer) / (inner - outer), 0.28, 0.72)
    profile = np.sin(np.pi * t ** (np.log(0.5) / np.log(peak))) ** 0.8
    profile[(t <= 1e-4) | (t >= 1 - 1e-4)] = 0
    scale = eye.px_per_mm
    upper = eye.upper + profile * (change.upper_gain * down_px + change.upper_mm * scale)
    lower = eye.lower + profile * (change.lower_gain * down_px + change.lower_mm * scale)
    missing = np.maximum(LEAST_GAP * (eye.lower - eye.upper) - (lower - upper), 0)
    upper = upper - missing / 2
    gap = lower + missing / 2 - upper
    upper, lower = (
        upper + change.closing * UPPER_SHARE * gap,
        upper + gap - change.closing * (1 - UPPER_SHARE) * gap,
    )
    return upper.astype(np.float32), lower.astype(np.float32)


def _eyeball(eye: SourceEye, off_x: Layer, off_y: Layer, change: Change) -> Layer:
    """White and iris of the eye whose pixels lie `off_x`, `off_y` from the moved centre."""
    sine = min(0.95, float(np.hypot(change.across, change.up)))
    way_x, way_y = (change.across / sine, -change.up / sine) if sine > 1e-6 else (1.0, 0.0)
    along = off_x * way_x + off_y * way_y
    stretched = along / np.sqrt(1 - sine**2) - along
    from_x, from_y = off_x + stretched * way_x, off_y + stretched * way_y
    away = np.hypot(from_x, from_y) / eye.radius
    cover = np.clip((RIM_ENDS - away) / (RIM_ENDS - RIM_BEGINS), 0, 1)[..., None]
    iris = _sampled(eye.iris, from_x + eye.centre[0], from_y + eye.centre[1])
    return np.asarray(eye.white * (1 - cover) + iris * cover, np.float32)


def _between_lids(upper: Layer, lower: Layer, y: Layer, edge: float) -> Layer:
    """1 inside the opening, 0 on the skin, with an edge."""
    inside = np.clip(np.minimum(y - upper, lower - y) / edge + 0.5, 0, 1)
    return np.asarray(inside * np.clip((lower - upper) / edge, 0, 1), np.float32)


def _unfolded(away: Layer, way: Layer, scale: float) -> Layer:
    """How far from the old lid the skin lay that is `away` from the new one, the lid having moved by `way`
    from the rest of the face, all in pixels.
    """
    lashes, skin = LASHES_MM * scale, LID_SKIN_MM * scale
    stretched = lashes + (away - lashes) * (skin / np.maximum(skin + way, 0.1 * skin))
    return np.where(away < lashes, away, np.where(stretched < lashes + skin, stretched, away - way))


def _sampled(layer: NDArray[np.uint8], x: Layer, y: Layer) -> Layer:
    """`layer` (rows, columns, 3) at the places `x`, `y` by bilinear interpolation, edges repeated."""
    x, y = np.clip(x, 0, COLUMNS - 1.001), np.clip(y, 0, ROWS - 1.001)
    left, top = x.astype(np.int32), y.astype(np.int32)
    across, down = (x - left)[..., None], (y - top)[..., None]
    flat, start = layer.reshape(-1, 3), top * COLUMNS + left
    first = flat[start] * (1 - across) + flat[start + 1] * across
    second = flat[start + COLUMNS] * (1 - across) + flat[start + COLUMNS + 1] * across
    return np.asarray(first * (1 - down) + second * down, np.float32)
