"""Edits as ExifTool's assignments, and the same edits on the meaning: what the file must say afterwards.

ExifTool can turn a legal sidecar of another program into an unreadable one with exit status 0. So the
result is compared, property by property, with what the edits alone would make of the file as it was. Equal,
or nothing is written.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from eyeline.errors import UnsafeSidecar, printable
from eyeline.sidecar import vocabulary as names
from eyeline.sidecar.fields import event_argument, event_structure
from eyeline.sidecar.meaning import Container, Document, Structure, Text, Value, container, document
from eyeline.sidecar.notation import exiftool_date
from eyeline.sidecar.ownership import Edits
from eyeline.sidecar.present import is_ours
from eyeline.sidecar.regions import region_argument, region_structure

_NAMESPACE = re.compile(rb"""(\sxmlns(?::[^\s=]+)?\s*=\s*["'])([^"'<]*)(["'])""")
_PACKET_END = re.compile(rb"""(<\?xpacket end=["'])w(["']\?>)""")
_READ_ONLY = re.compile(rb"""<\?xpacket end=["']r["']""")
_OURS = frozenset(
    uri.encode()
    for uri in (
        *(names.RDF, names.XMP, names.XMP_MM, names.RESOURCE_EVENT),
        *(names.DC, names.IPTC_CORE, names.IPTC_EXT),
    )
)
"""Namespaces that eyeline writes itself: no slash of these is an author's."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """The traces of one edit: xmp:MetadataDate (None = leave, "" = remove), and our history event.

    `parameters`: text of the event, None to leave no event of ours.
    """

    metadata_date: str | None
    parameters: str | None
    now: datetime


def assignments(edits: Edits, mark: Stamp) -> list[str]:
    """ExifTool assignments; with what is there read first, so that nothing is added twice."""
    lines = [f"-XMP-xmp:Rating={edits.rating}"] if edits.rating is not None else []
    if mark.metadata_date is not None:
        lines.append(f"-XMP-xmp:MetadataDate={exiftool_date(mark.metadata_date)}")
    for tag, remove, add in (
        ("XMP-dc:Subject", edits.remove_keywords, edits.add_keywords),
        ("XMP-iptcCore:Scene", edits.remove_scenes, edits.add_scenes),
    ):
        lines += [f"-{tag}-={word}" for word in remove]
        lines += [f"-{tag}+={word}" for word in add]
    lines += [f"-XMP-iptcExt:ImageRegion-={{RId={region_id}}}" for region_id in edits.remove_regions]
    lines += [f"-XMP-iptcExt:ImageRegion+={region_argument(region)}" for region in edits.add_regions]
    lines.append(f"-XMP-xmpMM:History-={{SoftwareAgent={names.SOFTWARE_AGENT}}}")
    if mark.parameters is not None:
        lines.append(f"-XMP-xmpMM:History+={event_argument(mark.parameters, mark.now)}")
    return lines


def expected(before: Document, edits: Edits, mark: Stamp) -> Document:
    """What `before` means once `edits` and `mark` are applied, and nothing else."""
    properties = dict(before.properties)
    _set(properties, names.RATING, edits.rating)
    _set(properties, names.METADATA_DATE, mark.metadata_date)
    for name, remove, add in (
        (names.SUBJECT, edits.remove_keywords, edits.add_keywords),
        (names.SCENE, edits.remove_scenes, edits.add_scenes),
    ):
        gone = {Text(word) for word in remove}
        if remove or add:
            members = [member for member in _members(properties.get(name)) if member not in gone]
            _fill(properties, name, "Bag", members + [Text(word) for word in add])
    if edits.remove_regions or edits.add_regions:
        ids = {Text(region_id) for region_id in edits.remove_regions}
        regions = [r for r in _members(properties.get(names.IMAGE_REGION)) if _region_id(r) not in ids]
        _fill(
            properties, names.IMAGE_REGION, "Bag", regions + [region_structure(r) for r in edits.add_regions]
        )
    events = [event for event in _members(properties.get(names.HISTORY)) if not is_ours(event)]
    if mark.parameters is not None:
        events.append(event_structure(mark.parameters, mark.now))
    _fill(properties, names.HISTORY, "Seq", events)
    return document(before.about, properties.items())


def as_its_author_has_it(before: bytes, after: bytes) -> bytes:
    """`after`, an edit of `before`, with what ExifTool mends in passing put back: namespaces with a slash at
    their end too many or too few, by which their author finds them again, and the mark of a packet that
    programs that do not know its file's format must leave alone.
    """
    if not before:
        return after
    had, has = ({found[2] for found in _NAMESPACE.finditer(content)} - _OURS for content in (before, after))
    twins = {uri: uri[:-1] if uri.endswith(b"/") else uri + b"/" for uri in has - had}

    def put_back(found: re.Match[bytes]) -> bytes:
        twin = twins.get(found[2])
        return found[1] + twin + found[3] if twin in had and twin is not None else found[0]

    after = _NAMESPACE.sub(put_back, after)
    if _READ_ONLY.search(before):
        after = _PACKET_END.sub(rb"\g<1>r\2", after)
    return after


def check(want: Document, after: Document, file: Path) -> None:
    """Raise UnsafeSidecar, naming `file` and the properties, unless the two mean the same."""
    if want == after:
        return
    wanted, found = _grouped(want), _grouped(after)
    differing = sorted(name for name in wanted.keys() | found.keys() if wanted.get(name) != found.get(name))
    if want.about != after.about:
        differing.append("rdf:about")
    which = printable(", ".join(differing[:5]))
    raise UnsafeSidecar(
        f"ExifTool cannot edit this sidecar without changing what others wrote ({which})",
        file,
        "It was left as it is; let the program that wrote it save it more simply, or move it away",
    )


def _set(properties: dict[str, Value], name: str, text: str | None) -> None:
    if text == "":
        properties.pop(name, None)
    elif text is not None:
        properties[name] = Text(text)


def _fill(properties: dict[str, Value], name: str, kind: str, members: list[Value]) -> None:
    if members:
        properties[name] = container(_kind_kept(properties.get(name), kind), members)
    else:
        properties.pop(name, None)


def _kind_kept(there: Value | None, kind: str) -> str:
    """The kind of list that is there: another than the standard's is somebody's, and stays or is not touched.

    A value without a list around it, or an empty list, is none that could be put back.
    """
    if there is None:
        return kind
    return there.kind if isinstance(there, Container) and there.members else "none"


def _members(value: Value | None) -> list[Value]:
    if value is None:
        return []
    return list(value.members) if isinstance(value, Container) else [value]


def _region_id(region: Value) -> Value | None:
    return region.get(names.IPTC_EXT + "rId") if isinstance(region, Structure) else None


def _grouped(meaning: Document) -> dict[str, list[Value]]:
    grouped: dict[str, list[Value]] = {}
    for name, value in meaning.properties:
        grouped.setdefault(name, []).append(value)
    return grouped
