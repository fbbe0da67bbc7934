"""Whether the focus lies behind the eyes."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.edges import edge_sigma_in
from eyeline.pixels.halved import halved
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Pixels
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

EARS = (234, 454)
"""Points of mediapipe's mesh beside the ears, on the frame's left and right."""

TILE_FACE = 0.25
"""Side of a tile behind the sitter, in face-box heights."""

LEAST_TILE_PX, MOST_TILE_PX = 32, 96
"""Smallest tile that holds an edge and its surroundings; largest one that is worth its time."""

TILES = 3
"""Background tiles looked at: those with the most detail in the reduced picture."""

BACKGROUND = 0.1
"""Probability of a person up to which a place is background."""


APERTURE_SIGMA_PX = 12**-0.5
"""A pixel averages over a square of side 1: nothing in a file is sharper than this sigma."""


def sharper_behind(eye_sigma: float, behind_sigma: float) -> float:
    """−1 to 1: (eye − behind) / (eye + behind); + = behind is sharper, 0 = alike, −1 = behind is gone."""
    eye, behind = max(eye_sigma, APERTURE_SIGMA_PX), max(behind_sigma, APERTURE_SIGMA_PX)
    return (eye - behind) / (eye + behind)


def measure_focus_behind(subject: Subject) -> Sequence[Measurement]:
    """The softer of the ears or the middle of the background's busiest tiles, whichever is sharper, against
    the sharper eye: one strand of hair across an ear or a tile does not pass for focus there.
    """
    name = MEASURE.quantities[0].name
    eye = subject.known["eye_blur_px"]
    if not isinstance(eye.value, float):
        return [Measurement(name, None, f"the eyes' own blur is not known: {eye.missing}")]
    rgb = subject.picture.rgb
    sitter = subject.sitter
    known_noise = subject.known["noise_sigma"].value
    noise = known_noise if isinstance(known_noise, float) else 0.0
    side = int(np.clip(TILE_FACE * sitter.height_px, LEAST_TILE_PX, MOST_TILE_PX))
    ears = [(float(x), float(y)) for x, y in sitter.landmarks[list(EARS), :2]]
    tiles = busiest(subject.picture.reduced, sitter.body, rgb.shape[1], side)
    of_ears, of_tiles = _sigmas(rgb, ears, side, noise), _sigmas(rgb, tiles[:2], side, noise)
    # The middle of three is no less than the lesser of two: with both above the ear, the third says nothing.
    if not (of_ears and len(of_tiles) == 2 and max(of_ears) <= min(of_tiles)):
        of_tiles += _sigmas(rgb, tiles[2:], side, noise)
    sigmas = ([max(of_ears)] if of_ears else []) + ([median(of_tiles)] if of_tiles else [])
    if not sigmas:
        return [Measurement(name, None, "neither ears nor background have an edge to compare with")]
    return [Measurement(name, sharper_behind(eye.value, min(sigmas)))]


def busiest(
    reduced: NDArray[np.uint8], body: Silhouette, full_width: int, side: int
) -> list[tuple[float, float]]:
    """Centres (x, y), pixels of the full-size picture, of the background tiles with the most detail.

    Tiles lie about the middle of the picture, so that a mirrored one has the same.
    """
    if min(reduced.shape[:2]) < 2:
        return []
    grey = halved(np.asarray(cv2.cvtColor(reduced, cv2.COLOR_RGB2GRAY), np.uint8))
    per_px = grey.shape[1] / full_width
    person = cv2.resize(body.probability, (grey.shape[1], grey.shape[0]), interpolation=cv2.INTER_NEAREST)
    cell = max(4, round(side * per_px))
    detail = np.abs(cv2.Laplacian(grey, cv2.CV_16S)).astype(np.float32)
    size = (grey.shape[1] // cell, grey.shape[0] // cell)
    if min(size) < 1:
        return []
    left, top = (grey.shape[1] - size[0] * cell) // 2, (grey.shape[0] - size[1] * cell) // 2
    tiled = slice(top, top + size[1] * cell), slice(left, left + size[0] * cell)
    cells = cv2.resize(detail[tiled], size, interpolation=cv2.INTER_AREA)
    mostly = cv2.resize(person[tiled], size, interpolation=cv2.INTER_AREA)
    near = cv2.dilate(mostly, np.ones((3, 3), np.uint8))  # hair reaches beyond the silhouette
    cells = np.where(near <= BACKGROUND, cells, 0.0)
    most = np.argpartition(cells, -min(TILES, cells.size), axis=None)[-TILES:]
    order = most[np.argsort(cells.ravel()[most])[::-1]]
    rows, columns = np.unravel_index(order, cells.shape)
    return [
        ((left + (column + 0.5) * cell) / per_px, (top + (row + 0.5) * cell) / per_px)
        for row, column in zip(rows.tolist(), columns.tolist(), strict=True)
        if cells[row, column] > 0
    ]


def _sigmas(rgb: Pixels, centres: Sequence[tuple[float, float]], side: int, noise: float) -> list[float]:
    """Blur of the tiles about `centres` that have an edge."""
    found = (_tile_sigma(rgb, centre, side, noise) for centre in centres)
    return [sigma for sigma in found if sigma is not None]


def _tile_sigma(rgb: Pixels, centre: tuple[float, float], side: int, noise: float) -> float | None:
    left, top = int(centre[0] - side / 2), int(centre[1] - side / 2)
    tile = rgb[max(0, top) : max(0, top + side), max(0, left) : max(0, left + side)]
    if min(tile.shape[:2]) < LEAST_TILE_PX // 2:
        return None
    grey = np.asarray(cv2.cvtColor(tile, cv2.COLOR_RGB2GRAY), np.float32)
    return edge_sigma_in(grey, noise)


MEASURE = SitterMeasure(
    quantities=(
        Quantity(
            "focus_behind",
            "signed ratio",
            "background or ear sharper than the eye (+), eye sharper (−); −1 to 1",
        ),
    ),
    function=measure_focus_behind,
    source="re-blur ratio of slopes (Zhuo & Sim, Pattern Recognition 44, 2011)",
    needs=("eye_blur_px", "noise_sigma"),
)
