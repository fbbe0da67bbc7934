"""What eyeline wants to say about one photo, and the same in the terms of XMP and of ExifTool.

Its regions: `regions.py`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from eyeline.sidecar import vocabulary as names
from eyeline.sidecar.meaning import Structure, Text, structure
from eyeline.sidecar.notation import escaped, exiftool_date, iso_date, one_line
from eyeline.sidecar.regions import ID_PREFIX, Region, StoredRegion, is_our_id, stored

_ZERO = re.compile(r"0(\.0+)?", re.ASCII)
"""Ratings that mean unrated (XMP Part 1, 8.4) and that ExifTool can put back letter by letter."""


@dataclass(frozen=True, slots=True)
class Annotation:
    """All that eyeline wants in the sidecar of one photo.

    `stars`: 1 to 5, None for no rating. `parameters`: free text for the history event, such as
    "version 0.1; genre corporate; rules 7c1f02ab; 4 stars: best of its series".
    """

    stars: int | None
    keywords: tuple[str, ...]
    scene_codes: tuple[str, ...]
    regions: tuple[Region, ...]
    parameters: str


@dataclass(frozen=True, slots=True)
class Wanted:
    """An Annotation, checked, in the terms of the file. `rating` is the literal text."""

    rating: str | None
    keywords: tuple[str, ...]
    scenes: tuple[str, ...]
    regions: tuple[StoredRegion, ...]
    parameters: str


def wanted(annotation: Annotation, orientation: int) -> Wanted:
    """`annotation` checked and in stored coordinates. Raises ValueError for what no sidecar may say."""
    if annotation.stars is not None and annotation.stars not in range(1, 6):
        raise ValueError(f"stars are 1 to 5 or None, not {annotation.stars}: -1 and 0 are a person's to give")
    unknown = [code for code in annotation.scene_codes if code not in names.SCENE_CODES]
    if unknown:
        raise ValueError(f"not in the IPTC scene vocabulary: {', '.join(unknown)}")
    for region in annotation.regions:
        if not is_our_id(region.id):
            raise ValueError(
                f"a region's id begins with {ID_PREFIX!r}, then letters, digits, dots, dashes: {region.id!r}"
            )
    regions = tuple(stored(region, orientation) for region in annotation.regions)
    if len({region.id for region in regions}) != len(regions):
        raise ValueError("two regions with one id")
    return Wanted(
        rating=None if annotation.stars is None else str(annotation.stars),
        keywords=tuple(dict.fromkeys(keyword(each) for each in annotation.keywords)),
        scenes=tuple(dict.fromkeys(annotation.scene_codes)),
        regions=regions,
        parameters=one_line(annotation.parameters, "parameters") if annotation.parameters.strip() else "",
    )


def keyword(text: str) -> str:
    """`text` as it may stand in dc:subject. Raises ValueError for what cannot be printed on one line."""
    return one_line(text, "keyword")


def event_structure(parameters: str, now: datetime) -> Structure:
    """Our history event as an RDF reader must find it. `now` carries an offset."""
    return structure(
        (names.RESOURCE_EVENT + key, Text(text))
        for key, text in (
            ("action", names.ACTION),
            ("changed", "/metadata"),
            ("parameters", parameters),
            ("softwareAgent", names.SOFTWARE_AGENT),
            ("when", iso_date(now)),
        )
    )


def event_argument(parameters: str, now: datetime) -> str:
    """Our history event in ExifTool's structure notation."""
    return (
        f"{{Action={names.ACTION},When={exiftool_date(iso_date(now))},SoftwareAgent={names.SOFTWARE_AGENT},"
        f"Changed=/metadata,Parameters={escaped(parameters)}}}"
    )


def is_unrated(rating: str) -> bool:
    """Whether the literal `rating` means unrated, so that a rating of ours may take its place."""
    return _ZERO.fullmatch(rating) is not None
