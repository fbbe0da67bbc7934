"""Crops in a sidecar that a person drew or moved, in any program."""

from __future__ import annotations

from eyeline.sidecar import vocabulary as names
from eyeline.sidecar.found import Found
from eyeline.sidecar.meaning import Container, Link, Structure, Text, Value
from eyeline.sidecar.orientation import upright_from_stored
from eyeline.sidecar.present import area_of
from eyeline.sidecar.restoring import as_it_stands
from eyeline.sidecar.written import Written
from eyeline.terms.rectangle import Rectangle

_CROPPING = "cropping"
"""Every region role for a crop ends so, in any case of letters: cropping, recomCropping, ..."""


def own_crops(found: Found, record: Written | None, orientation: int) -> tuple[Rectangle, ...]:
    """Crops that are not as eyeline wrote them, in fractions of the upright frame: those that the
    photographer drew through eyeline first, then any other, in the order of the file.

    `record`: what eyeline wrote, see `ownership.known`.
    """
    ours = {mark.id for mark in record.regions} - taken_out(found, record) if record is not None else set()
    value = found.document.get(names.IMAGE_REGION)
    members = value.members if isinstance(value, Container) else (value,) if value is not None else ()
    crops: list[tuple[bool, Rectangle]] = []
    for region in members:
        if not isinstance(region, Structure) or not _is_crop(region):
            continue
        area, region_id = area_of(region), region.get(names.IPTC_EXT + "rId")
        text = region_id.value if isinstance(region_id, Text) else ""
        if area is not None and text not in ours and _inside(area):
            crops.append((not text.startswith("own-crop-"), upright_from_stored(area, orientation)))
    return tuple(area for _, area in sorted(crops, key=lambda crop: crop[0]))


def taken_out(found: Found, record: Written | None) -> frozenset[str]:
    """Ids of regions of eyeline's that a person took out or moved: they are not suggested again."""
    return frozenset(as_it_stands(record, found.present).left_regions)


def _is_crop(region: Structure) -> bool:
    roles = region.get(names.IPTC_EXT + "rRole")
    found: list[str] = []

    def walk(value: Value | None) -> None:
        if isinstance(value, Text):
            found.append(value.value)
        elif isinstance(value, Link):
            found.append(value.uri)
        elif isinstance(value, Container):
            for member in value.members:
                walk(member)
        elif isinstance(value, Structure):
            walk(value.get(names.XMP + "Identifier"))

    walk(roles)
    return any(text.rpartition("/")[2].casefold().endswith(_CROPPING) for text in found)


def _inside(area: Rectangle) -> bool:
    return 0 <= area.left < area.right <= 1 + 1e-6 and 0 <= area.top < area.bottom <= 1 + 1e-6
