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
from eyeline.sidecar.fields import ID_PREFIX
from eyeline.sidecar.found import Lookup
from eyeline.sidecar.meaning import parse
from eyeline.sidecar.naming import Naming
from eyeline.sidecar.outcome import Outcome, Result
from tests.sidecar.examples import EXAMPLE, LATER, write

HEAD = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    '<rdf:Description rdf:about="" xmlns:v="http://example.net/v/" xmlns:dc="http://purl.org/dc/elements/1.1/"'
    ' xmlns:e="http://iptc.org/std/Iptc4xmpExt/2008-02-29/" xmlns:a="http://example.net/a#"'
)
TAIL = "</rdf:Description></rdf:RDF></x:xmpmeta>"


def within(properties: str, attributes: str = "") -> bytes:
    return f"{HEAD}{attributes}>{properties}{TAIL}".encode()


READ_ONLY = (
    b'<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?>'
    + within("<v:one>1</v:one>")
    + b"<?xpacket end='r'?>"
)
OTHER_NAMESPACE = within(
    "<MicrosoftPhoto:LensModel>50 mm</MicrosoftPhoto:LensModel>",
    ' xmlns:MicrosoftPhoto="http://ns.microsoft.com/photo/1.0/"',
)
"""ExifTool knows it without the slash and mends it with a minor warning; its author looks for this one."""

MERGED = {
    "simple": within("<v:one>1</v:one>"),
    "attribute form": within("", ' v:one="1"'),
    "nested structures": within(
        '<v:s rdf:parseType="Resource"><v:t rdf:parseType="Resource"><v:u>1</v:u></v:t></v:s>'
    ),
    "Seq": within("<v:l><rdf:Seq><rdf:li>b</rdf:li><rdf:li>a</rdf:li><rdf:li>b</rdf:li></rdf:Seq></v:l>"),
    "Bag": within("<v:l><rdf:Bag><rdf:li>b</rdf:li><rdf:li>a</rdf:li></rdf:Bag></v:l>"),
    "Alt": within("<v:l><rdf:Alt><rdf:li>b</rdf:li><rdf:li>a</rdf:li></rdf:Alt></v:l>"),
    "languages": within(
        '<dc:title><rdf:Alt><rdf:li xml:lang="x-default">b</rdf:li><rdf:li xml:lang="de-CH">a</rdf:li>'
        "</rdf:Alt></dc:title>"
    ),
    "rdf:resource": within('<v:u rdf:resource="http://example.net/thing?a=1&amp;b"/>'),
    "empty element": within("<v:empty/><v:none></v:none>"),
    "xml:lang qualifier": within('<v:l xml:lang="fr">bonjour</v:l>'),
    "structure in attributes": within('<v:s v:a="1" a:b="2"/>'),
    "structure in a Description": within(
        '<v:s><rdf:Description v:a="1"><a:b>2</a:b></rdf:Description></v:s>'
    ),
    "blanks at the ends": within("<v:one>  a  b\n c </v:one>"),
    "character references": within("<v:one>&#x263a; &#65; &quot;&apos;&lt;&amp;</v:one>"),
    "field in a foreign region": within(
        '<e:ImageRegion><rdf:Bag><rdf:li rdf:parseType="Resource"><e:rId>their</e:rId><v:x>1</v:x></rdf:li>'
        "</rdf:Bag></e:ImageRegion>"
    ),
    "comments and instructions": within("<!-- c --><v:one>1</v:one><?pi x?>"),
    "toolkit": within("<v:one>1</v:one>").replace(b'meta/"', b'meta/" x:xmptk="Another Hand"', 1),
    "packet wrapper": b'<?xpacket begin="\xef\xbb\xbf" id="W5M0MpCehiHzreSzNTczkc9d"?>'
    + within("<v:one>1</v:one>")
    + b'<?xpacket end="w"?>',
    # XMP Specification (September 2005), packet wrapper, trailer: r forbids an update in place to
    # applications that do not understand the format of the file around it.
    "read-only packet": READ_ONLY,
    "a namespace with a slash too many": OTHER_NAMESPACE,
    "byte order mark": b"\xef\xbb\xbf<?xml version='1.0' encoding='UTF-8'?>"
    + within("<v:one>\u00e9</v:one>"),
    "UTF-16": ("<?xml version='1.0' encoding='UTF-16'?>" + within("<v:one>\u00e9</v:one>").decode()).encode(
        "utf-16"
    ),
    "a subject by another name": within("<v:one>1</v:one>").replace(b'about=""', b'about="uuid:1234"'),
}
"""Constructs that must be merged: every property of theirs kept, every field of ours there."""

EITHER = {
    "an empty list of keywords": within("<dc:subject><rdf:Bag></rdf:Bag></dc:subject>"),
    "UTF-16 without declaration": within("<v:one>\u00e9</v:one>").decode().encode("utf-16"),
    "same prefix twice": within("<v:one>1</v:one>").replace(
        b"</rdf:RDF>",
        b'<rdf:Description rdf:about="" xmlns:v="http://example.net/second/" v:two="2"/></rdf:RDF>',
    ),
    "unknown attribute on xmpmeta": within("<v:one>1</v:one>").replace(b'meta/"', b'meta/" x:own="1"', 1),
    "qualifiers, parseType": within(
        '<v:q rdf:parseType="Resource"><rdf:value>1</rdf:value><v:unit>mm</v:unit></v:q>'
    ),
    "qualifiers, Description": within(
        "<v:q><rdf:Description><rdf:value>1</rdf:value><v:unit>mm</v:unit></rdf:Description></v:q>"
    ),
    "qualifiers in a bag": within(
        '<dc:subject><rdf:Bag><rdf:li rdf:parseType="Resource"><rdf:value>word</rdf:value><v:by>me</v:by>'
        "</rdf:li></rdf:Bag></dc:subject>"
    ),
    "value as attribute": within('<v:q rdf:value="1" v:unit="mm"/>'),
    "CDATA with markup": within("<v:c><![CDATA[<b>raw & cdata</b>]]></v:c>"),
    "CDATA plain": within("<v:c><![CDATA[plain]]></v:c>"),
    "parseType Literal": within('<v:x rdf:parseType="Literal"><b>bold</b></v:x>'),
    "typed node": within("<v:t><v:Thing><v:a>1</v:a></v:Thing></v:t>"),
    "nodeID": within('<v:t rdf:nodeID="n1"/>').replace(
        b"</rdf:RDF>",
        b'<rdf:Description rdf:nodeID="n1" xmlns:v="http://example.net/v/"><v:a>1</v:a></rdf:Description></rdf:RDF>',
    ),
    "one node twice": within('<v:t rdf:nodeID="n1"/><v:u rdf:nodeID="n1"/>').replace(
        b"</rdf:RDF>",
        b'<rdf:Description rdf:nodeID="n1" xmlns:v="http://example.net/v/"><v:a>1</v:a></rdf:Description></rdf:RDF>',
    ),
    "a circle": within('<v:t rdf:nodeID="n1"/>').replace(
        b"</rdf:RDF>",
        b'<rdf:Description rdf:nodeID="n2" xmlns:v="http://example.net/v/"><v:a rdf:nodeID="n2"/>'
        b"</rdf:Description></rdf:RDF>",
    ),
    "empty lists": within("<v:b><rdf:Bag/></v:b><v:s><rdf:Seq/></v:s>"),
    "subject as Seq": within("<dc:subject><rdf:Seq><rdf:li>word</rdf:li></rdf:Seq></dc:subject>"),
    "subject as text": within("<dc:subject>word</dc:subject>"),
    "a property twice": within("<v:one>1</v:one><v:one>2</v:one>"),
    "two subjects": within("<v:one>1</v:one>").replace(
        b"</rdf:RDF>",
        b'<rdf:Description rdf:about="uuid:2" xmlns:v="http://example.net/v/" v:two="2"/></rdf:RDF>',
    ),
    "datatype": within('<v:d rdf:datatype="http://www.w3.org/2001/XMLSchema#integer">01</v:d>'),
    "inherited language": within("<v:l>bonjour</v:l>", ' xml:lang="fr"'),
    "rdf:ID": within('<v:one rdf:ID="x">1</v:one>'),
    "bare RDF": re.sub(rb"</?x:xmpmeta[^>]*>", b"", within("<v:one>1</v:one>")),
    "no about": within("<v:one>1</v:one>").replace(b' rdf:about=""', b""),
    "history as Bag": within(
        '<m:History xmlns:m="http://ns.adobe.com/xap/1.0/mm/"><rdf:Bag><rdf:li rdf:parseType="Resource">'
        "<v:a>1</v:a></rdf:li></rdf:Bag></m:History>"
    ),
}
"""Constructs that may be merged or refused; lost or broken never."""

REFUSED = {
    "truncated": within("<v:one>1</v:one>")[:-30],
    "no XMP": b"<html><body>hello</body></html>",
    "no XML": b"Exif\0\0II*\0",
    "empty": b"",
    "blank": b"\n",
    "two packets": b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>"
    + 2 * b"<r:RDF xmlns:r='http://www.w3.org/1999/02/22-rdf-syntax-ns#'/>"
    + b"</x:xmpmeta>",
    "doctype": b'<!DOCTYPE x [<!ENTITY a "aaaa">]>' + within("<v:one>&a;</v:one>"),
    "entities in entities": b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'
    + within("<v:one>&b;</v:one>"),
    "outside entity": b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]>'
    + within("<v:one>&a;</v:one>"),
    "too deep": within("<v:s><rdf:Description>" * 200 + "</rdf:Description></v:s>" * 200),
    "too large": within("<v:one>" + "x" * (8 * 1024 * 1024) + "</v:one>"),
    "unknown encoding": b"<?xml version='1.0' encoding='x-no-such'?>" + within("<v:one>1</v:one>"),
    "nul bytes": b"\0" * 4096,
}


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
