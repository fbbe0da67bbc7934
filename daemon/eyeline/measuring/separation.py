"""How well the head stands out from the background next to it."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.srgb import contrast_ratio, luminance
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture, Pixels
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

CERTAIN = 0.8
"""Probability from which a place counts as the sitter, and 1 − this up to which as background."""

BAND_HEAD = 0.05
"""Width of the two bands on either side of the edge, in face-box heights: about 9 mm, enough to get past
single strands of hair."""

GAP_HEAD = 0.015
"""Width left out on each side of the edge, in face-box heights: the edge itself is soft."""

LEAST_EDGE_PLACES = 12
"""Places along the edge below which their middle half says little."""

SMALL_SIDE_PX = 256
"""Side of the square about the head that luminance is averaged to: that of the silhouette model."""


def edge_contrast(
    light: NDArray[np.float32],
    sitter: NDArray[np.bool_],
    background: NDArray[np.bool_],
    band_px: float,
    gap_px: float,
) -> float | None:
    """WCAG contrast, 1 to 21, across the edge of `sitter` (M, N) in relative luminance `light`: the mean over
    the middle half of the places along the edge.

    At each place the mean of the sitter's band is set against that of the background's band next to it. The
    median would jump where half of an edge is hair and half is skin. None with fewer than
    `LEAST_EDGE_PLACES` places.
    """
    inside = cv2.distanceTransform(sitter.astype(np.uint8), cv2.DIST_L2, 5)
    outside = cv2.distanceTransform((~sitter).astype(np.uint8), cv2.DIST_L2, 5)
    inner = sitter & (inside > gap_px) & (inside <= gap_px + band_px)
    outer = background & (outside > gap_px) & (outside <= gap_px + band_px)
    reach = (2 * int(np.ceil(gap_px + band_px)) + 1,) * 2
    inner_light, inner_share = _mean_over(light, inner, reach)
    outer_light, outer_share = _mean_over(light, outer, reach)
    edge = sitter & (inside <= 1.0) & (inner_share > 0.05) & (outer_share > 0.05)
    if int(edge.sum()) < LEAST_EDGE_PLACES:
        return None
    contrasts = np.sort(contrast_ratio(inner_light[edge], outer_light[edge]))
    quarter = len(contrasts) // 4
    return float(contrasts[quarter : len(contrasts) - quarter].mean())


def _mean_over(
    light: NDArray[np.float32], mask: NDArray[np.bool_], size: tuple[int, int]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Mean of `light` over `mask` in a box about each place, and the share of the box in `mask`."""
    share = cv2.blur(mask.astype(np.float32), size, borderType=cv2.BORDER_CONSTANT)
    total = cv2.blur(light * mask, size, borderType=cv2.BORDER_CONSTANT)
    return np.asarray(total / np.maximum(share, 1e-6)), np.asarray(share)


def measure_separation(subject: Subject) -> Sequence[Measurement]:
    """Contrast across the head's edge, from the chin's height up."""
    name = MEASURE.quantities[0].name
    sitter, head = subject.sitter, subject.sitter.head
    pixels, scale = _fine_enough(subject.picture, head.right - head.left)
    light, probability = _inside_frame(pixels, _scaled(head, scale), sitter.box[3] * scale)
    if light is None or probability is None:
        return [Measurement(name, None, "the head is outside the picture")]
    scale = SMALL_SIDE_PX / (head.right - head.left) * sitter.height_px
    contrast = edge_contrast(
        light, probability >= CERTAIN, probability <= 1 - CERTAIN, BAND_HEAD * scale, GAP_HEAD * scale
    )
    if contrast is None:
        return [Measurement(name, None, "no edge of the head against the background was found")]
    return [Measurement(name, contrast)]


def _fine_enough(picture: Picture, side: float) -> tuple[Pixels, float]:
    """The smaller picture that shows `side` full-size pixels by `SMALL_SIDE_PX`, and its scale."""
    reduction = picture.reduced.shape[0] / picture.height
    return (picture.reduced, reduction) if side * reduction >= SMALL_SIDE_PX else (picture.rgb, 1.0)


def _scaled(head: Silhouette, scale: float) -> Silhouette:
    edges = (each * scale for each in (head.left, head.top, head.right, head.bottom))
    return Silhouette(head.probability, *edges)


def _inside_frame(
    rgb: Pixels, head: Silhouette, chin: float
) -> tuple[NDArray[np.float32] | None, NDArray[np.float32] | None]:
    """Luminance and probability of the part of `head` that is in the picture and above `chin`."""
    left, top = max(0, round(head.left)), max(0, round(head.top))
    right, bottom = min(rgb.shape[1], round(head.right)), min(rgb.shape[0], round(head.bottom), round(chin))
    if right - left < 2 or bottom - top < 2:
        return None, None
    per_px = SMALL_SIDE_PX / (head.right - head.left)
    size = (max(2, round((right - left) * per_px)), max(2, round((bottom - top) * per_px)))
    # The four pixels in the middle of each place stand for it: the bands hold hundreds of places.
    light = luminance(
        np.asarray(cv2.resize(rgb[top:bottom, left:right], size, interpolation=cv2.INTER_LINEAR))
    )
    rows, columns = head.probability.shape
    x0 = (left - head.left) / (head.right - head.left) * columns
    x1 = (right - head.left) / (head.right - head.left) * columns
    y0 = (top - head.top) / (head.bottom - head.top) * rows
    y1 = (bottom - head.top) / (head.bottom - head.top) * rows
    part = head.probability[int(y0) : max(int(y0) + 1, round(y1)), int(x0) : max(int(x0) + 1, round(x1))]
    return light, np.asarray(cv2.resize(part, size, interpolation=cv2.INTER_LINEAR))


MEASURE = SitterMeasure(
    quantities=(Quantity("separation", "contrast ratio", "head's edge against the background next to it"),),
    function=measure_separation,
    source="contrast ratio of WCAG 2.2",
)
