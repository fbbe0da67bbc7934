"""A verdict in the terms of a sidecar: what eyeline wants to write about one photo."""

from __future__ import annotations

from importlib.metadata import version

from eyeline.sidecar.fields import Annotation, Region
from eyeline.terms.measurement import Measurement
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop, Verdict

SHAPE_ROLES = {1: "landscapeCropping", 0: "squareCropping", -1: "portraitCropping"}
"""IPTC region role of a crop by its displayed shape."""

MOST_REASONS = 3
"""Reasons that go into the sidecar's history: the ledger holds them all."""


def annotation_of(
    verdict: Verdict, measurements: dict[str, Measurement], points: Points | None
) -> Annotation:
    """Stars, keywords, scene code, regions and provenance for one photo."""
    return Annotation(
        stars=verdict.stars,
        keywords=verdict.keywords,
        scene_codes=_scene_codes(measurements),
        regions=(*_crop_regions(verdict.crops), *_sitter_regions(points), *_copy_regions(verdict, points)),
        parameters=_parameters(verdict),
    )


def _scene_codes(measurements: dict[str, Measurement]) -> tuple[str, ...]:
    scene = measurements.get("scene_code")
    return (str(scene.value),) if scene is not None and scene.value is not None else ()


def _crop_regions(crops: tuple[Crop, ...]) -> list[Region]:
    best = max(crops, key=lambda crop: crop.score, default=None)
    regions = []
    for crop in crops:
        shape = (crop.width > crop.height) - (crop.width < crop.height)
        roles = ("recomCropping", SHAPE_ROLES[shape]) if crop is best else (SHAPE_ROLES[shape],)
        name = crop.format_name
        regions.append(Region(f"eyeline-crop-{name.replace(':', 'x')}", name, crop.area, roles))
    return regions


def _sitter_regions(points: Points | None) -> list[Region]:
    if points is None:
        return []
    top = points.crown_y if points.crown_y is not None else min(points.pupil_left[1], points.pupil_right[1])
    area = _inside(points.head_left, top, points.head_right, points.chin[1])
    return (
        [] if area is None else [Region("eyeline-sitter", "sitter", area, ("mainSubjectArea",), ("human",))]
    )


def _copy_regions(verdict: Verdict, points: Points | None) -> list[Region]:
    if points is None:
        return []
    regions = []
    for side, of_side in (
        ("left", [calm for calm in points.calm if calm.right <= points.eye_x]),
        ("right", [calm for calm in points.calm if calm.left >= points.eye_x]),
    ):
        largest = max(of_side, key=lambda calm: calm.width * calm.height, default=None)
        if largest is not None and f"copy space {side}" in verdict.genre:
            area = _inside(largest.left, largest.top, largest.right, largest.bottom)
            if area is not None:
                regions.append(Region(f"eyeline-copy-space-{side}", "copy space", area, ("areaOfInterest",)))
    return regions


def _inside(left: float, top: float, right: float, bottom: float) -> Rectangle | None:
    """The part of a rectangle that lies in the frame; None where nothing of it does."""
    left, top, right, bottom = (min(1.0, max(0.0, edge)) for edge in (left, top, right, bottom))
    return Rectangle(left, top, right - left, bottom - top) if right > left and bottom > top else None


def _parameters(verdict: Verdict) -> str:
    stars = "no portrait" if verdict.stars is None else f"{verdict.stars} stars"
    costly = [reason.sentence for reason in verdict.reasons if reason.cost > 0 or reason.stars_at_most]
    because = "; ".join(costly[:MOST_REASONS])
    by = f"version {version('eyeline')}; genre {verdict.genre or 'none'}; rules {verdict.rules_digest[:8]}"
    said = f"{by}; {stars}"
    return f"{said}: {because}" if because else said
