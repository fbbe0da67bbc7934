"""Boxes of faces: how high they are, and which of them show one face."""

from __future__ import annotations

Box = tuple[float, float, float, float]
"""left, top, right, bottom in pixels of the full-size picture."""

Found = tuple[Box, float]
"""A box and the detector's score."""

SMALLEST_FACE = 0.025
"""Height of a face box, in frame heights, below which it is dropped: a head of 4 % of the frame is no
portrait, and what the detector finds there is mostly texture."""

SAME_FACE = 0.5
"""Overlap of two boxes, as a share of the smaller, from which they show one face."""


def once_each(found: list[Found]) -> list[Found]:
    """The best-scored box of every face, largest first."""
    kept: list[Found] = []
    for box, score in sorted(found, key=lambda item: -item[1]):
        if all(overlap(box, other) < SAME_FACE for other, _ in kept):
            kept.append((box, score))
    return sorted(kept, key=lambda item: -height(item[0]))


def overlap(a: Box, b: Box) -> float:
    """Shared area over the area of the smaller box."""
    wide = min(a[2], b[2]) - max(a[0], b[0])
    high = min(a[3], b[3]) - max(a[1], b[1])
    smaller = min((a[2] - a[0]) * (a[3] - a[1]), (b[2] - b[0]) * (b[3] - b[1]))
    return max(0.0, wide) * max(0.0, high) / smaller if smaller > 0 else 0.0


def height(box: Box) -> float:
    """In pixels."""
    return box[3] - box[1]
