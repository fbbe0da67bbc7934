"""Sidecars by other hands: each construct is merged without loss, or refused with the file untouched.

The constructs are those of the metadata contract, section 8, which measured what ExifTool 12.57 does to
each. Whether nothing was lost is judged by exempi (the other XMP implementation), not by the RDF parser
that the guard itself uses.
"""

import os
import re
import shutil
import subprocess
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.sidecar.annotate import withdraw
from eyeline.sidecar.found import Lookup
from eyeline.sidecar.meaning import parse
from eyeline.sidecar.naming import Naming
from eyeline.sidecar.outcome import Outcome, Result
from eyeline.sidecar.regions import ID_PREFIX
from tests.sidecar.constructs import EITHER, MERGED, OTHER_NAMESPACE, READ_ONLY, REFUSED
from tests.sidecar.examples import EXAMPLE, LATER, write


def exempi_properties(content: bytes, folder: Path) -> dict[str, object] | None:
    """Top-level properties as exempi serialises them; None when exempi cannot read the file."""
    path = folder / "for-exempi.xmp"
    path.write_bytes(content)
    told = subprocess.run(
        ["exempi", "-X", "-x", path],
        capture_output=True,
        check=False,
        env={**os.environ, "LC_ALL": "C.UTF-8"},
    ).stdout.decode()
    path.unlink()
    if "<x:xmpmeta" not in told:
        return None
    root = ElementTree.fromstring(told[told.index("<x:xmpmeta") : told.index("</x:xmpmeta>") + 12])
    found: dict[str, object] = {}
    for description in root.iterfind(f"{RDF}RDF/{RDF}Description"):
        found |= fields(description)
    return found


def fields(element: ElementTree.Element) -> dict[str, object]:
    plain = {name: value for name, value in element.attrib.items() if not name.startswith((RDF, XML))}
    return plain | {child.tag: walked(child) for child in element}


def walked(element: ElementTree.Element) -> object:
    """A property of exempi's text as plain values: its structures in any order, its lists in theirs."""
    children = list(element)
    language = element.get(f"{XML}lang")
    if len(children) == 1 and children[0].tag in (f"{RDF}Bag", f"{RDF}Seq", f"{RDF}Alt"):
        members = [walked(item) for item in children[0]]
        return children[0].tag, sorted(members, key=repr) if children[0].tag == f"{RDF}Bag" else members
    if len(children) == 1 and children[0].tag == f"{RDF}Description":
        return fields(children[0]), language
    if element.get(f"{RDF}resource") is not None:
        return element.get(f"{RDF}resource"), "URI"
    structure = fields(element)
    return (structure, language) if structure else (element.text or "", language)


RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
XML = "{http://www.w3.org/XML/1998/namespace}"
RATING = "{http://ns.adobe.com/xap/1.0/}Rating"
REGION = "{http://iptc.org/std/Iptc4xmpExt/2008-02-29/}ImageRegion"
HISTORY = "{http://ns.adobe.com/xap/1.0/mm/}History"
OURS = {
    RATING,
    "{http://ns.adobe.com/xap/1.0/}MetadataDate",
    "{http://purl.org/dc/elements/1.1/}subject",
    "{http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/}Scene",
    REGION,
    HISTORY,
}


def put(photo: Path, content: bytes) -> Path:
    sidecar = photo.with_suffix(".xmp")
    sidecar.write_bytes(content)
    return sidecar


def assert_untouched(outcome: Outcome, sidecar: Path, content: bytes) -> None:
    assert outcome.result is Result.REFUSED
    assert str(sidecar) in outcome.sentence
    assert sidecar.read_bytes() == content
    assert sorted(p.name for p in sidecar.parent.iterdir()) == ["IMG_1.jpg", "IMG_1.xmp"]


def assert_merged(outcome: Outcome, sidecar: Path, content: bytes) -> None:
    """Nothing of theirs is lost to exempi's eyes, all that is ours is there to ExifTool's and exiv2's."""
    assert outcome.result is Result.WRITTEN, outcome.sentence
    after = sidecar.read_bytes()
    theirs = exempi_properties(content, sidecar.parent)
    if not theirs:  # exempi wants x:xmpmeta around the RDF, which XMP Part 1, 7.3.3, leaves open
        before, now = parse(content, sidecar), parse(after, sidecar)
        assert [item for item in before.properties if item in now.properties] == list(before.properties)
        return
    ours = exempi_properties(after, sidecar.parent)
    assert ours is not None, "exempi cannot read what we wrote"
    assert ours[RATING] == "4" or ours[RATING] == ("4", None)
    (_, words) = ours["{http://purl.org/dc/elements/1.1/}subject"]  # type: ignore[misc]
    assert {(word, None) for word in EXAMPLE.keywords} <= {word for word in words if isinstance(word[0], str)}
    assert all(f"'{region.id}'" in repr(ours[REGION]) for region in EXAMPLE.regions)
    assert theirs.keys() <= ours.keys()
    for name in theirs.keys() - OURS:
        assert ours[name] == theirs[name], name
    for name in theirs.keys() & {REGION, HISTORY}:
        assert all(item in ours[name][1] for item in theirs[name][1])  # type: ignore[index]
    assert sorted(p.name for p in sidecar.parent.iterdir()) == ["IMG_1.jpg", "IMG_1.xmp"]


needs_exempi = pytest.mark.skipif(shutil.which("exempi") is None, reason="exempi is not installed")


@needs_exempi
@pytest.mark.parametrize("construct", MERGED)
def test_merged_without_loss(exiftool: ExifTool, photo: Path, construct: str) -> None:
    sidecar = put(photo, MERGED[construct])
    assert_merged(write(exiftool, photo), sidecar, MERGED[construct])


@needs_exempi
@pytest.mark.parametrize("construct", EITHER)
def test_merged_without_loss_or_refused_untouched(exiftool: ExifTool, photo: Path, construct: str) -> None:
    sidecar = put(photo, EITHER[construct])
    outcome = write(exiftool, photo)
    if outcome.result is Result.REFUSED:
        assert_untouched(outcome, sidecar, EITHER[construct])
    else:
        assert_merged(outcome, sidecar, EITHER[construct])


@pytest.mark.parametrize("construct", REFUSED)
def test_refused_untouched(exiftool: ExifTool, photo: Path, construct: str) -> None:
    sidecar = put(photo, REFUSED[construct])
    assert_untouched(write(exiftool, photo), sidecar, REFUSED[construct])


@pytest.mark.parametrize("construct", [*MERGED, *EITHER])
def test_written_and_taken_back_means_what_it_meant(exiftool: ExifTool, photo: Path, construct: str) -> None:
    content = (MERGED | EITHER)[construct]
    sidecar = put(photo, content)
    outcome = write(exiftool, photo)
    if outcome.result is Result.REFUSED:
        return  # tested above
    back = withdraw(exiftool, Lookup(photo, Naming.REPLACE), outcome.written, LATER)
    assert back.result is Result.WRITTEN, back.sentence
    assert parse(sidecar.read_bytes(), sidecar) == parse(content, sidecar)


@needs_exempi
def test_a_sidecar_full_of_another_program_s_data(exiftool: ExifTool, photo: Path) -> None:
    content = (Path(__file__).parent / "foreign.xmp").read_bytes()
    sidecar = put(photo, content)
    outcome = write(exiftool, photo)
    assert_merged(outcome, sidecar, content)
    after = sidecar.read_bytes()
    # `headshot` stood there before us: it is theirs, and taking back must not take it.
    assert "headshot" not in (outcome.written.keywords if outcome.written else ())
    assert b"Modell" in after
    assert b"their-1" in after
    withdraw(exiftool, Lookup(photo, Naming.REPLACE), outcome.written, LATER)
    assert parse(sidecar.read_bytes(), sidecar) == parse(content, sidecar)


def test_the_shared_foreign_sidecar(exiftool: ExifTool, photo: Path, shared: Path) -> None:
    """It holds qualifiers, CDATA and an unknown attribute at once: ExifTool cannot edit it unharmed."""
    content = (shared / "standards" / "foreign-sidecar.xmp").read_bytes()
    sidecar = put(photo, content)
    assert_untouched(write(exiftool, photo), sidecar, content)


@needs_exempi
def test_the_shared_foreign_sidecar_without_what_exiftool_breaks(
    exiftool: ExifTool, photo: Path, shared: Path
) -> None:
    """The same, less the three constructs: merged; the person's 2 stars stay, a region that only looks like
    ours by its name stays.
    """
    text = (shared / "standards" / "foreign-sidecar.xmp").read_text(encoding="utf-8")
    text = text.replace(' x:custom="keep?"', "")
    text = re.sub(r"<vend:qualified>.*?</vend:qualified>", "", text, flags=re.DOTALL)
    text = re.sub(r"<vend:cdata>.*?</vend:cdata>", "", text)
    text = re.sub(r"<!--.*?-->\n", "", text, count=1)  # exempi and exiv2 want no comment before the packet
    sidecar = put(photo, text.encode())
    outcome = write(exiftool, photo)
    assert outcome.result is Result.WRITTEN, outcome.sentence
    assert "the rating (2 in the sidecar)" in outcome.left
    theirs = exempi_properties(text.encode(), photo.parent)
    now = exempi_properties(sidecar.read_bytes(), photo.parent)
    assert theirs is not None
    assert now is not None
    for name in theirs.keys() - (OURS - {RATING}):
        assert now[name] == theirs[name], name
    assert sidecar.read_bytes().count(f"{ID_PREFIX}old".encode()) == 1


def test_the_mark_of_a_read_only_packet_stays(exiftool: ExifTool, photo: Path) -> None:
    sidecar = put(photo, READ_ONLY)
    assert write(exiftool, photo).result is Result.WRITTEN
    assert re.search(rb"<\?xpacket end=.r.\?>", sidecar.read_bytes())


def test_a_namespace_stays_as_its_author_has_it(exiftool: ExifTool, photo: Path) -> None:
    sidecar = put(photo, OTHER_NAMESPACE)
    assert write(exiftool, photo).result is Result.WRITTEN
    found = ElementTree.parse(sidecar).iter("{http://ns.microsoft.com/photo/1.0/}LensModel")
    assert [element.text for element in found] == ["50 mm"]
