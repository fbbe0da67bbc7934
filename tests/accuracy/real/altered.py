"""Real photographs under changes whose effect is known: mirrored, cropped within and above the hair."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from PIL import Image, ImageOps

from tests.accuracy.figures.row import Row
from tests.accuracy.real.measured import Measured, measured, share

Change = Callable[[Image.Image, Measured], Image.Image]

MOST = 60
"""Photographs of a set that are changed and measured anew."""

INSIDE, ABOVE = 0.1, 0.04
"""Where a crop begins, in head heights: inside the hair, and above it."""

LEAST_HEADROOM = 0.03
"""Fraction of the frame above the hair that a photograph needs for such crops to differ from it."""

ALIKE = {"noise_sigma": 0.1, "separation": 0.1, "eye_blur_px": 0.1}
"""Relative difference up to which a measure is alike in the mirror: half of what blur may be off."""

MIRRORED = {"left": "right", "right": "left"}
"""Words of the gaze that a mirror exchanges."""

LEAD_ROOM_ALIKE = 0.03
"""Fraction of the frame: twice what either room may move in the laws on pixels."""


def altered(photographs: Sequence[Measured], change: Change) -> list[Measured]:
    """Every photograph, changed, stored without loss and measured anew."""
    with TemporaryDirectory() as folder:
        changed = []
        for number, each in enumerate(photographs):
            with Image.open(each.photograph.path) as opened:
                picture = change(ImageOps.exif_transpose(opened).convert("RGB"), each)
            path = Path(folder) / f"{number}.png"
            picture.save(path, compress_level=1)
            changed.append(replace(each.photograph, path=path))
        return measured(changed)


def some(photographs: Sequence[Measured]) -> Sequence[Measured]:
    """At most `MOST` of a set, evenly picked: a change costs a measurement each."""
    return photographs[:: -(-len(photographs) // MOST)]


def crown_rows(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """Crowns as the raters see them, and in crops of photographs with air above the hair."""
    cut = [each for each in photographs if each.photograph.is_("crown", "cut")]
    air = [each for each in photographs if each.photograph.is_("crown", "air")]
    free = [
        each
        for each in some(photographs)
        if (each.number("headroom") or 0.0) >= LEAST_HEADROOM and each.number("head_height") is not None
    ]
    inside = altered(free, lambda picture, each: _cropped(picture, each, INSIDE))
    above = altered(free, lambda picture, each: _cropped(picture, each, -ABOVE))
    return [
        _row(f"{name}: crown cut, not said", cut, False, 0.05),
        _row(f"{name}: air above the hair, called cut", air, True, 0.01),
        _row(f"{name}: cropped {INSIDE:.0%} of the head inside the hair, not said", inside, False, 0.05),
        _row(f"{name}: cropped {ABOVE:.0%} of the head above it, called cut", above, True, 0.01),
    ]


def _cropped(picture: Image.Image, each: Measured, below_crown: float) -> Image.Image:
    """The picture from `below_crown` head heights below the crown on."""
    headroom, head = each.number("headroom"), each.number("head_height")
    assert headroom is not None
    assert head is not None
    top = max(0, round((headroom + below_crown * head) * picture.height))
    return picture.crop((0, top, picture.width, picture.height))


def _row(name: str, photographs: Sequence[Measured], wrong: bool, most: float) -> Row:
    seen = [each for each in photographs if each.number("head_yaw_deg") is not None]
    found = sum((each.values.get("crown_cut") is True) == wrong for each in seen)
    reached = found / len(seen) <= most if seen else None
    return Row(name, len(seen), None, share(found, len(seen)), f"≤ {most:.0%}", reached)


def mirror_rows(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """What a mirror must leave alone."""
    chosen = some(photographs)
    mirrored = altered(chosen, lambda picture, _: ImageOps.mirror(picture))
    pairs = list(zip(chosen, mirrored, strict=True))
    alike = sum(one.values.get("people") == other.values.get("people") for one, other in pairs)
    rows = [
        Row(
            f"{name}: mirrored, people counted alike",
            len(pairs),
            None,
            share(alike, len(pairs)),
            "100 %",
            alike == len(pairs),
        )
    ]
    words = sum(
        MIRRORED.get(str(word), word) == other.values.get("gaze")
        for one, other in pairs
        if (word := one.values.get("gaze")) is not None
    )
    rows.append(
        Row(
            f"{name}: mirrored, gaze word as it must be",
            len(pairs),
            None,
            share(words, len(pairs)),
            "≥ 97 %",
            words >= 0.97 * len(pairs),
        )
    )
    for measure, most in ALIKE.items():
        off = np.array([abs(there / here - 1) for here, there in _numbers(pairs, measure) if here > 0])
        rows.append(_mirror_row(f"{name}: mirrored, {measure} within {most:.0%}", off, most))
    room = np.array([abs(there - here) for here, there in _numbers(pairs, "lead_room")])
    rows.append(_mirror_row(f"{name}: mirrored, lead_room within {LEAD_ROOM_ALIKE}", room, LEAD_ROOM_ALIKE))
    return rows


def _numbers(pairs: Sequence[tuple[Measured, Measured]], name: str) -> list[tuple[float, float]]:
    return [
        (here, there)
        for one, other in pairs
        if (here := one.number(name)) is not None and (there := other.number(name)) is not None
    ]


def _mirror_row(name: str, off: np.ndarray, most: float) -> Row:
    if not len(off):
        return Row(name, 0, None, "none", "", None)
    within = int((off <= most).sum())
    figure = f"{share(within, len(off))}; median {np.median(off):.3f}, 95th {np.percentile(off, 95):.3f}"
    return Row(name, len(off), None, figure, "≥ 97 %", within / len(off) >= 0.97)
