"""Where in a final each place of its frame lies, and how well the two agree there.

Features by SIFT (Lowe 2004) matched by the ratio test, a similarity by RANSAC (Fischler and Bolles 1981),
refined on the pixels by the enhanced correlation coefficient (Evangelidis and Psarakis 2008), which does not
mind brightness and contrast. All by OpenCV.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeline.finals.transform import Transform

Grey = NDArray[np.uint8]

MOST_FEATURES = 1500
"""Of each picture: a portrait of a thousand pixels has about as many that are worth keeping."""

RATIO = 0.75
"""Of the distances to the nearest and to the next feature: Lowe's own figure is 0.8, a little stricter here,
since frames of a series repeat one another."""

RANSAC_PX = 3.0
"""How far a feature may lie from where the similarity puts it, in pixels of the smaller pictures: retouching
moves some, and a turn resamples all."""

FEWEST_AGREEING = 12
"""Features that have to agree on one similarity: fewer agree by chance."""

ECC_STEPS, ECC_CHANGE = 60, 1e-6
ECC_BLUR_PX = 5
"""Iterations and change of the coefficient at which refining ends; width of the smoothing before (odd)."""

BLOCK_PX = 24
"""Side of the blocks in which two pictures are compared, in pixels of the smaller frame: an eye is one."""

FLAT_LEVELS = 4.0
"""Standard deviation, 8-bit levels, below which a block shows nothing to compare."""

WIDEST_SCALE = 8.0
"""Between the two smaller pictures: a final that shows less than an eighth of its frame's side is another
picture."""


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """A picture as it is compared: `grey` (m, n), reduced from `width` by `height` pixels; its features."""

    grey: Grey
    width: int
    height: int
    points: NDArray[np.float32]
    features: NDArray[np.float32]

    @property
    def scale(self) -> float:
        """Pixels of `grey` for each of the full picture."""
        return float(self.grey.shape[1] / self.width)


@dataclass(frozen=True, slots=True)
class Registered:
    """`transform`: from the frame's pixels to the final's. `agreement`: 0 to 1, how alike the blocks are in
    which the two pictures show something. `drift_px`: how far features lie from where the transform puts
    them, in the median, in pixels of the smaller frame: the next of a series is alike, but has moved."""

    transform: Transform
    agreement: float
    drift_px: float


def shown(grey: Grey, width: int, height: int) -> Shown:
    """`grey`, reduced from a picture of `width` by `height`, with its features."""
    points, features = cv2.SIFT.create(nfeatures=MOST_FEATURES).detectAndCompute(
        grey, np.full_like(grey, 255)
    )
    places = np.array([point.pt for point in points], np.float32).reshape(-1, 2)
    found = np.zeros((0, 128), np.float32) if features is None else np.asarray(features, np.float32)
    return Shown(grey, width, height, places, found)


def register(frame: Shown, final: Shown) -> Registered | None:
    """The similarity that leads from `frame` to `final`; None where the two do not show one scene."""
    matched = _matched(frame, final)
    coarse = _by_features(*matched)
    if coarse is None:
        return None
    similarity = _refined(frame.grey, final.grey, coarse)
    agreement = _agreement(frame.grey, final.grey, similarity)
    rough = _agreement(frame.grey, final.grey, coarse)
    if rough > agreement:  # refining went astray, as it may where much was painted over
        similarity, agreement = coarse, rough
    drift_px = _drift_px(*matched, similarity)
    return Registered(_in_full_pixels(similarity, frame, final), agreement, drift_px)


def _matched(frame: Shown, final: Shown) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Places (n, 2) of features in the smaller frame, and of those that look alike in the smaller final."""
    if min(len(frame.features), len(final.features)) < FEWEST_AGREEING:
        return frame.points[:0], final.points[:0]
    pairs = cv2.BFMatcher(cv2.NORM_L2).knnMatch(final.features, frame.features, k=2)
    kept = [best for best, *rest in pairs if rest and best.distance < RATIO * rest[0].distance]
    start = frame.points[[match.trainIdx for match in kept]]
    return start.reshape(-1, 2), final.points[[match.queryIdx for match in kept]].reshape(-1, 2)


def _by_features(start: NDArray[np.float32], to: NDArray[np.float32]) -> NDArray[np.float64] | None:
    """The similarity (2, 3) from pixels of the smaller frame to those of the smaller final."""
    if len(start) < FEWEST_AGREEING:
        return None
    found, agreeing = cv2.estimateAffinePartial2D(
        start, to, method=cv2.RANSAC, ransacReprojThreshold=RANSAC_PX, maxIters=5000, confidence=0.999
    )
    if found is None or int(agreeing.sum()) < FEWEST_AGREEING:
        return None
    scale = float(np.hypot(found[0, 0], found[1, 0]))
    return np.asarray(found, np.float64) if 1 / WIDEST_SCALE < scale < WIDEST_SCALE else None


def _drift_px(start: NDArray[np.float32], to: NDArray[np.float32], similarity: NDArray[np.float64]) -> float:
    """How far `to` lies from where `similarity` puts `start`, in the median, in pixels of the frame."""
    apart = start @ similarity[:, :2].T + similarity[:, 2] - to
    return float(np.median(np.hypot(*apart.T)) / np.hypot(similarity[0, 0], similarity[1, 0]))


def _refined(frame: Grey, final: Grey, similarity: NDArray[np.float64]) -> NDArray[np.float64]:
    """The same, refined on the pixels; as it was where that does not converge.

    The final is brought to the scale of the frame first, so that both have the same detail; an affine map is
    sought, and the similarity nearest to it taken.
    """
    height, width = frame.shape
    seen = cv2.warpAffine(final, similarity, (width, height), flags=cv2.INTER_AREA | cv2.WARP_INVERSE_MAP)
    inside = cv2.warpAffine(
        np.full(final.shape, 255, np.uint8), similarity, (width, height), flags=cv2.WARP_INVERSE_MAP
    )
    inside = np.asarray(cv2.erode(inside, np.ones((9, 9), np.uint8)), np.uint8)
    start = np.eye(2, 3, dtype=np.float32)
    criteria = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, ECC_STEPS, ECC_CHANGE)
    try:
        # The warp leads from places of the first picture to those of the second.
        _, warp = cv2.findTransformECC(frame, seen, start, cv2.MOTION_AFFINE, criteria, inside, ECC_BLUR_PX)
    except cv2.error:
        return similarity
    linear, shift = similarity[:, :2], similarity[:, 2]
    affine = np.hstack([linear @ warp[:, :2], (linear @ warp[:, 2] + shift)[:, None]])
    return _nearest_similarity(affine, inside)


def _nearest_similarity(affine: NDArray[np.float64], inside: NDArray[Any]) -> NDArray[np.float64]:
    """The similarity that moves the places that both pictures show as `affine` does, in the least squares."""
    rows, columns = np.nonzero(inside[::8, ::8])
    if len(rows) < 4:
        return affine
    x, y = columns * 8.0, rows * 8.0
    to = affine @ np.vstack([x, y, np.ones_like(x)])
    ones, zeros = np.ones_like(x), np.zeros_like(x)
    left = np.vstack([np.c_[x, -y, ones, zeros], np.c_[y, x, zeros, ones]])
    a, b, across, down = np.linalg.lstsq(left, np.concatenate(to), rcond=None)[0]
    return np.array([[a, -b, across], [b, a, down]])


def _agreement(frame: Grey, final: Grey, similarity: NDArray[np.float64]) -> float:
    """The mean over all blocks that show something of how alike they are: correlation, nothing below 0."""
    height, width = frame.shape
    seen = cv2.warpAffine(final, similarity, (width, height), flags=cv2.INTER_AREA | cv2.WARP_INVERSE_MAP)
    inside = cv2.warpAffine(
        np.full(final.shape, 255, np.uint8), similarity, (width, height), flags=cv2.WARP_INVERSE_MAP
    )
    rows, columns = height // BLOCK_PX, width // BLOCK_PX
    if not rows or not columns:
        return 0.0
    one, other, mask = (
        _blocks(np.asarray(each[: rows * BLOCK_PX, : columns * BLOCK_PX], np.uint8))
        for each in (frame, seen, inside)
    )
    one = one - one.mean(axis=1, keepdims=True)
    other = other - other.mean(axis=1, keepdims=True)
    spread = one.std(axis=1) * other.std(axis=1)
    whole = (mask.min(axis=1) == 255) & (one.std(axis=1) >= FLAT_LEVELS)
    if whole.sum() < FEWEST_AGREEING:
        return 0.0
    alike = (one * other).mean(axis=1)[whole] / np.maximum(spread[whole], 1e-6)
    return float(np.clip(alike, 0, 1).mean())


def _blocks(grey: Grey) -> NDArray[np.float64]:
    rows, columns = grey.shape[0] // BLOCK_PX, grey.shape[1] // BLOCK_PX
    parted = grey.reshape(rows, BLOCK_PX, columns, BLOCK_PX).transpose(0, 2, 1, 3)
    return parted.reshape(rows * columns, -1).astype(np.float64)


def _in_full_pixels(similarity: NDArray[np.float64], frame: Shown, final: Shown) -> Transform:
    """`similarity` counts from the middles of the smaller pictures' pixels, a Transform from the edges of the
    full ones'."""
    (a, _, across), (b, _, down) = similarity
    across = across + 0.5 - 0.5 * a + 0.5 * b
    down = down + 0.5 - 0.5 * b - 0.5 * a
    ratio = frame.scale / final.scale
    return Transform(
        float(a * ratio), float(b * ratio), float(across / final.scale), float(down / final.scale)
    )


def fingerprint(grey: Grey) -> int:
    """64 bits of the lowest frequencies of `grey`: alike for what looks alike (Zauner 2010, 3.2.1)."""
    small = cv2.resize(grey, (32, 32), interpolation=cv2.INTER_AREA).astype(np.float32)
    lowest = cv2.dct(small)[:8, :8].ravel()
    bits = lowest > np.median(lowest[1:])
    return int.from_bytes(np.packbits(bits).tobytes(), "big")


def by_look(final: Grey, frames: Sequence[int]) -> list[int]:
    """The places in `frames`, fingerprints, of those that look most like `final` first."""
    own = fingerprint(final)
    return sorted(range(len(frames)), key=lambda place: ((frames[place] ^ own).bit_count(), place))
