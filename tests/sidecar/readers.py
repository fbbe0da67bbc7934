"""What three programs outside this project read in a sidecar: ExifTool (a cold process), exiv2, exempi.

Each answer is brought into one form, `Seen`, and compared with what was decided.
"""

import json
import os
import re
import subprocess
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from eyeline.sidecar.fields import Annotation

RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
XMP = "{http://ns.adobe.com/xap/1.0/}"
DC = "{http://purl.org/dc/elements/1.1/}"
CORE = "{http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/}"
EXT = "{http://iptc.org/std/Iptc4xmpExt/2008-02-29/}"
ROLE = "http://cv.iptc.org/newscodes/imageregionrole/"
TYPE = "http://cv.iptc.org/newscodes/imageregiontype/"

TOLERANCE = 2e-6
"""Fraction of the frame: six decimals were written."""


@dataclass(frozen=True)
class SeenRegion:
    name: str
    area: tuple[float, float, float, float]
    roles: frozenset[str]
    types: frozenset[str] = frozenset()
    shape: str = "rectangle"
    unit: str = "relative"


@dataclass(frozen=True)
class Seen:
    rating: str | None
    keywords: frozenset[str]
    scenes: frozenset[str]
    regions: dict[str, SeenRegion]


def decided(annotation: Annotation, stored: dict[str, tuple[float, float, float, float]]) -> Seen:
    """What was decided, with the stored rectangles stated by the test."""
    return Seen(
        None if annotation.stars is None else str(annotation.stars),
        frozenset(annotation.keywords),
        frozenset(annotation.scene_codes),
        {
            region.id: SeenRegion(
                region.name,
                stored[region.id],
                frozenset(ROLE + role for role in region.roles),
                frozenset(TYPE + key for key in region.types),
            )
            for region in annotation.regions
        },
    )


def differences(want: Seen, found: Seen) -> list[str]:
    """Every field in which the two differ, in words; empty when they agree."""
    told = [
        f"{field}: {getattr(want, field)} != {getattr(found, field)}"
        for field in ("rating", "keywords", "scenes")
        if getattr(want, field) != getattr(found, field)
    ]
    if want.regions.keys() != found.regions.keys():
        told.append(f"regions: {sorted(want.regions)} != {sorted(found.regions)}")
    for key in want.regions.keys() & found.regions.keys():
        one, other = want.regions[key], found.regions[key]
        told += [
            f"{key} {field}: {getattr(one, field)} != {getattr(other, field)}"
            for field in ("name", "roles", "types", "shape", "unit")
            if getattr(one, field) != getattr(other, field)
        ]
        if any(abs(a - b) > TOLERANCE for a, b in zip(one.area, other.area, strict=True)):
            told.append(f"{key} area: {one.area} != {other.area}")
    return told


def by_exiftool(path: Path) -> Seen:
    done = _run("exiftool", "-config", "", "-j", "-struct", "-n", "-G1", "-XMP:all", path)
    (tags,) = json.loads(done, parse_int=str, parse_float=str)
    regions = {
        region["RId"]: SeenRegion(
            region["Name"],
            tuple(float(region["RegionBoundary"][key]) for key in ("RbX", "RbY", "RbW", "RbH")),  # type: ignore[arg-type]
            frozenset(uri for entity in region.get("RRole", []) for uri in entity["Identifier"]),
            frozenset(uri for entity in region.get("RCtype", []) for uri in entity["Identifier"]),
            region["RegionBoundary"]["RbShape"],
            region["RegionBoundary"]["RbUnit"],
        )
        for region in tags.get("XMP-iptcExt:ImageRegion", [])
    }
    return Seen(
        tags.get("XMP-xmp:Rating"),
        frozenset(_list(tags.get("XMP-dc:Subject"))),
        frozenset(_list(tags.get("XMP-iptcCore:Scene"))),
        regions,
    )


def by_exiv2(path: Path) -> Seen:
    rows = []
    for line in _run("exiv2", "-PXkv", path).splitlines():
        key, _, value = line.partition(" ")
        rows.append((key, value.strip()))
    values = dict(rows)
    found: dict[str, SeenRegion] = {}
    numbers = sorted(
        {int(m[1]) for key, _ in rows if (m := re.match(r"Xmp\.iptcExt\.ImageRegion\[(\d+)\]", key))}
    )
    for number in numbers:
        base = f"Xmp.iptcExt.ImageRegion[{number}]/Iptc4xmpExt:"
        boundary = base + "RegionBoundary/Iptc4xmpExt:"
        found[values[base + "rId"]] = SeenRegion(
            values[base + "Name"].removeprefix('lang="x-default" '),
            tuple(float(values[boundary + key]) for key in ("rbX", "rbY", "rbW", "rbH")),  # type: ignore[arg-type]
            frozenset(v for k, v in rows if k.startswith(base + "rRole[") and k.endswith("/xmp:Identifier")),
            frozenset(v for k, v in rows if k.startswith(base + "rCtype[") and k.endswith("/xmp:Identifier")),
            values[boundary + "rbShape"],
            values[boundary + "rbUnit"],
        )
    split = {key: frozenset(v.split(", ")) for key, v in values.items()}
    return Seen(
        values.get("Xmp.xmp.Rating"),
        split.get("Xmp.dc.subject", frozenset()),
        split.get("Xmp.iptc.Scene", frozenset()),
        found,
    )


def by_exempi(path: Path) -> Seen:
    """exempi parses the file and serialises it anew; its text is walked without any code of ours."""
    packet_only = ("-X",) if path.suffix.lower() == ".xmp" else ()
    return seen_in_packet(_run("exempi", *packet_only, "-x", path))


def by_pillow(path: Path) -> Seen:
    """Pillow hands out the packet as it stands."""
    with Image.open(path) as picture:
        return seen_in_packet(picture.info["xmp"].decode("utf-8"))


def by_imagemagick(path: Path) -> Seen:
    """ImageMagick hands out the packet as it stands (and names the rating itself in `identify -verbose`)."""
    return seen_in_packet(_run("convert", path, "XMP:-"))


def seen_in_packet(told: str) -> Seen:
    root = ElementTree.fromstring(
        told[told.index("<x:xmpmeta") : told.index("</x:xmpmeta>") + len("</x:xmpmeta>")]
    )
    descriptions = root.findall(f"{RDF}RDF/{RDF}Description")
    rating = [d.get(f"{XMP}Rating") or d.findtext(f"{XMP}Rating") for d in descriptions]
    regions = {}
    for d in descriptions:
        for item in d.findall(f"{EXT}ImageRegion/{RDF}Bag/{RDF}li"):
            boundary = item.find(f"{EXT}RegionBoundary")
            assert boundary is not None

            def field(name: str, boundary: ElementTree.Element = boundary) -> str:
                value = boundary.get(EXT + name) or boundary.findtext(EXT + name)
                assert value is not None, name
                return value

            identifiers = {
                kind: frozenset(
                    li.text or ""
                    for li in item.findall(f"{EXT}{kind}/{RDF}Bag/{RDF}li/{XMP}Identifier/{RDF}Bag/{RDF}li")
                )
                for kind in ("rRole", "rCtype")
            }
            region_id = item.get(f"{EXT}rId") or item.findtext(f"{EXT}rId")
            assert region_id is not None
            regions[region_id] = SeenRegion(
                item.findtext(f"{EXT}Name/{RDF}Alt/{RDF}li") or "",
                tuple(float(field(key)) for key in ("rbX", "rbY", "rbW", "rbH")),  # type: ignore[arg-type]
                identifiers["rRole"],
                identifiers["rCtype"],
                field("rbShape"),
                field("rbUnit"),
            )

    def bag(name: str) -> frozenset[str]:
        return frozenset(li.text or "" for d in descriptions for li in d.findall(f"{name}/{RDF}Bag/{RDF}li"))

    return Seen(
        next((r for r in rating if r is not None), None), bag(f"{DC}subject"), bag(f"{CORE}Scene"), regions
    )


READERS = {"exiftool": by_exiftool, "exiv2": by_exiv2, "exempi": by_exempi}


def _run(*command: str | Path) -> str:
    # Exit codes of these programs say little (metadata contract, section 0); stderr must be silent.
    done = subprocess.run(command, capture_output=True, check=False, env={**os.environ, "LC_ALL": "C.UTF-8"})
    assert not done.stderr.strip(), done.stderr
    return done.stdout.decode("utf-8")


def _list(value: object) -> list[str]:
    if value is None:
        return []
    return [str(item) for item in value] if isinstance(value, list) else [str(value)]
