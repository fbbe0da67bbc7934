"""A verdict in the terms of a sidecar: what eyeline wants to write about one photo."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.metadata import version

from eyeline.ledger.records import Photo
from eyeline.measuring.framing import LEAST_LINE
from eyeline.sidecar.fields import Annotation
from eyeline.sidecar.regions import Region, copy_space_region, crop_region, sitter_region
from eyeline.terms.frame import Frame
from eyeline.terms.measurement import Measurement
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop, Verdict

MOST_REASONS = 3
"""Reasons that go into the sidecar's history: the ledger holds them all."""


def annotation_of(verdict: Verdict, measurements: Mapping[str, Measurement], photo: Photo) -> Annotation:
    """Stars, keywords, scene code, regions and provenance for one photo."""
    points = photo.points
    regions = _crop_regions(verdict.crops, photo.frame)
    if points is not None:
        regions += [*_sitter_regions(points), *_copy_regions(measurements, points)]
    return Annotation(
        stars=verdict.stars,
        keywords=verdict.keywords,
        scene_codes=_scene_codes(measurements),
        regions=tuple(regions),
        parameters=_parameters(verdict),
    )


def _scene_codes(measurements: Mapping[str, Measurement]) -> tuple[str, ...]:
    scene = measurements.get("scene_code")
    return (str(scene.value),) if scene is not None and scene.value is not None else ()


def _crop_regions(crops: tuple[Crop, ...], frame: Frame) -> list[Region]:
    best = max(crops, key=lambda crop: crop.score, default=None)
    return [
        crop_region(crop.format_name, crop.area, frame.width, frame.height, best=crop is best)
        for crop in crops
    ]


def _sitter_regions(points: Points) -> list[Region]:
    """The head box; none where its top or the chin is not known, since a guess would be no measure."""
    if points.crown_y is None or points.chin_covered:
        return []
    area = _inside(points.head_left, points.crown_y, points.head_right, points.chin[1])
    return [sitter_region(area)] if area is not None else []


def _copy_regions(measurements: Mapping[str, Measurement], points: Points) -> list[Region]:
    """The largest calm rectangle with room for a line on each side that the measure `copy_space` names."""
    measured = measurements.get("copy_space")
    regions = []
    for side in ("left", "right"):
        if measured is None or measured.value not in (side, "both"):
            continue
        of_side = [
            calm
            for calm in points.calm
            if calm.width >= LEAST_LINE and (calm.right <= points.eye_x) == (side == "left")
        ]
        largest = max(of_side, key=lambda calm: calm.width * calm.height, default=None)
        if largest is not None:
            regions.append(copy_space_region(largest, side))
    return regions


def _inside(left: float, top: float, right: float, bottom: float) -> Rectangle | None:
    """The part of a rectangle that lies in the frame; None where nothing of it does."""
    left, top, right, bottom = (min(1.0, max(0.0, edge)) for edge in (left, top, right, bottom))
    return Rectangle(left, top, right - left, bottom - top) if right > left and bottom > top else None


@cache
def _own_version() -> str:
    return version("eyeline")  # reads the metadata of the package: 1 ms


def _parameters(verdict: Verdict) -> str:
    costly = [each.sentence for each in verdict.reasons if each.cost > 0 or each.stars_at_most is not None]
    without = "no stars" if costly else "no portrait"
    stars = without if verdict.stars is None else f"{verdict.stars} stars"
    because = "; ".join(costly[:MOST_REASONS])
    by = f"version {_own_version()}; genre {verdict.genre or 'none'}; rules {verdict.rules_digest[:8]}"
    verdict_in_words = f"{by}; {stars}"
    return f"{verdict_in_words}: {because}" if because else verdict_in_words
