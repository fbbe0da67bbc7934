"""What a sidecar says now in the fields that eyeline writes, whoever wrote it."""

from __future__ import annotations

from dataclasses import dataclass

from eyeline.sidecar import vocabulary as names
from eyeline.sidecar.meaning import Container, Document, Structure, Text, Value
from eyeline.sidecar.regions import content_digest
from eyeline.terms.rectangle import Rectangle


@dataclass(frozen=True, slots=True)
class FoundRegion:
    """A region with an id. `area`: stored fractions; None unless it is a relative rectangle of numbers.

    `content`: as `StoredRegion.content`.
    """

    id: str
    area: Rectangle | None
    content: str


@dataclass(frozen=True, slots=True)
class Present:
    """`rating`, `metadata_date`: literal text, None when absent. `events`: parameters of our events."""

    rating: str | None = None
    metadata_date: str | None = None
    keywords: tuple[str, ...] = ()
    scenes: tuple[str, ...] = ()
    regions: tuple[FoundRegion, ...] = ()
    events: tuple[str, ...] = ()


def present(document: Document) -> Present:
    """The fields of `document` that concern eyeline."""
    structures = _structures(document.get(names.IMAGE_REGION))
    regions = tuple(
        _region(item) for item in structures if isinstance(item.get(names.IPTC_EXT + "rId"), Text)
    )
    return Present(
        rating=_literal(document.get(names.RATING)),
        metadata_date=_literal(document.get(names.METADATA_DATE)),
        keywords=_texts(document.get(names.SUBJECT)),
        scenes=_texts(document.get(names.SCENE)),
        regions=regions,
        events=tuple(
            _literal(event.get(names.RESOURCE_EVENT + "parameters")) or ""
            for event in _structures(document.get(names.HISTORY))
            if is_ours(event)
        ),
    )


def is_ours(event: Value) -> bool:
    """Whether a member of xmpMM:History is eyeline's."""
    agent = event.get(names.RESOURCE_EVENT + "softwareAgent") if isinstance(event, Structure) else None
    return agent == Text(names.SOFTWARE_AGENT)


def _literal(value: Value | None) -> str | None:
    """The text of a literal; of anything stranger a text that equals nothing that eyeline writes."""
    if value is None:
        return None
    return value.value if isinstance(value, Text) else repr(value)


def _members(value: Value | None) -> tuple[Value, ...]:
    if value is None:
        return ()
    return value.members if isinstance(value, Container) else (value,)


def _texts(value: Value | None) -> tuple[str, ...]:
    return tuple(member.value for member in _members(value) if isinstance(member, Text))


def _structures(value: Value | None) -> tuple[Structure, ...]:
    return tuple(member for member in _members(value) if isinstance(member, Structure))


def area_of(region: Structure) -> Rectangle | None:
    """Where a region lies, in stored fractions; None unless it is a relative rectangle of numbers."""
    boundary = region.get(names.IPTC_EXT + "RegionBoundary")
    if not isinstance(boundary, Structure):
        return None
    fields = {key.removeprefix(names.IPTC_EXT): _literal(value) for key, value in boundary.fields}
    if fields.get("rbShape") != "rectangle" or fields.get("rbUnit") != "relative":
        return None
    try:
        return Rectangle(*(float(fields.get(key) or "") for key in ("rbX", "rbY", "rbW", "rbH")))
    except ValueError:
        return None


def _region(region: Structure) -> FoundRegion:
    region_id = _literal(region.get(names.IPTC_EXT + "rId")) or ""
    return FoundRegion(region_id, area_of(region), content_digest(region))
