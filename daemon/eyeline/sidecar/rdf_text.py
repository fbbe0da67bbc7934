"""The RDF in the bytes of a sidecar, as the RDF parser is given it; what no sidecar holds is refused before.

Most sidecars are plain: UTF-8, without comments, references to characters or other things that readers of XML
hand on differently. Of those, rdf:RDF goes to the RDF parser as it stands. An XML library writes all others
anew first, which settles such things and costs more than all else.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

from eyeline.errors import UnsafeSidecar
from eyeline.sidecar.vocabulary import RDF

LARGEST_BYTES = 8 * 1024 * 1024
"""A larger sidecar is refused: real ones have kilobytes, a few megabytes with painted masks in them."""

DEEPEST = 100
"""Elements inside one another; real sidecars have about 15."""

_WRAPPER = "adobe:ns:meta/"
_XML = "http://www.w3.org/XML/1998/namespace"
_UNQUALIFIED = frozenset(("about", "ID", "resource", "parseType", "type"))
"""Attributes that are RDF's without its prefix too, as in its first years (RDF 1.1 XML Syntax, 6.1.4)."""

_NOT_IN_XMP = frozenset(("nodeID", "bagID", "aboutEach", "aboutEachPrefix"))
_PACKET = f"{RDF}}}RDF"
_NEVER_INSIDE = (_WRAPPER, _PACKET)
_PARSE_TYPE = f"{RDF}}}parseType"
_STRUCTURES = ("Resource", "Collection")

_UNEVEN = re.compile(rb"""[\r\0]|&\#(?!39;)|<[!?]|=\s*(?:"[^"<\n\t]*|'[^'<\n\t]*)[\n\t]""")
"""Line ends that are no line feeds, bytes of UTF-16, references to characters (but for the apostrophe, which
ExifTool writes so), comments, CDATA sections, instructions, white space inside an attribute (XML 1.0, 2.11,
3.3.3)."""


def refusal(what: str, file: Path) -> UnsafeSidecar:
    """The refusal of a sidecar that somebody else has to mend."""
    return UnsafeSidecar(what, file, "It was left as it is; mend it, or move it away to get a new one")


@dataclass(slots=True)
class _Look:
    """One look at each element. `start`, `end`: where the two tags of rdf:RDF begin, in bytes."""

    file: Path
    parser: expat.XMLParserType = field(default_factory=lambda: expat.ParserCreate(namespace_separator="}"))
    depth: int = 0
    start: int = -1
    end: int = -1
    is_plain: bool = True
    declared: list[tuple[str | None, str]] = field(default_factory=list)

    def enter(self, name: str, attributes: dict[str, str]) -> None:
        self.depth += 1
        if self.depth > DEEPEST:
            raise refusal(f"Its elements nest deeper than {DEEPEST}", self.file)
        if not self.is_plain:
            return
        if self.start >= 0:
            self.is_plain = self.end < 0 and not name.startswith(_NEVER_INSIDE)
        elif name == _PACKET:
            self.start = self.parser.CurrentByteIndex
        else:
            known = all(prefix and uri == _WRAPPER for prefix, uri in self.declared)
            inherited = any(key.startswith(_XML) for key in attributes)
            self.is_plain = self.depth == 1 and name == f"{_WRAPPER}}}xmpmeta" and known and not inherited
            return
        if not attributes:
            return
        for key in attributes:
            space, _, local = key.rpartition("}")
            if not space or space == _WRAPPER or (space == RDF and local in _NOT_IN_XMP):
                self.is_plain = False
        if attributes.get(_PARSE_TYPE, "Resource") not in _STRUCTURES:
            self.is_plain = False

    def leave(self, name: str) -> None:
        self.depth -= 1
        if name == _PACKET:
            self.end = self.parser.CurrentByteIndex

    def declare(self, prefix: str | None, uri: str) -> None:
        if self.start < 0:
            self.declared.append((prefix, uri))

    def note_encoding(self, _version: str, encoding: str | None, _standalone: int) -> None:
        self.is_plain = encoding is None or encoding.lower() == "utf-8"

    def refuse_doctype(self, *_: object) -> None:
        raise refusal("It has a document type declaration, which XMP does not use", self.file)


def plain_rdf(content: bytes, file: Path) -> bytes | None:
    """The element rdf:RDF in a plain sidecar as it stands, None where it is not plain.

    Refuses by UnsafeSidecar, naming `file`, what is not well-formed, and what could exhaust memory or the
    stack before any tree is built.
    """
    if len(content) > LARGEST_BYTES:
        raise refusal(f"It has {len(content)} bytes, more than {LARGEST_BYTES}", file)
    look = _Look(file)
    parser = look.parser
    parser.StartElementHandler, parser.EndElementHandler = look.enter, look.leave
    parser.StartNamespaceDeclHandler = look.declare
    parser.StartDoctypeDeclHandler, parser.XmlDeclHandler = look.refuse_doctype, look.note_encoding
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        what = "It is empty" if not content.strip() else f"It is no well-formed XML ({error})"
        raise refusal(what, file) from error
    if not look.is_plain or not 0 <= look.start < look.end:
        return None
    rdf = content[look.start : content.index(b">", look.end) + 1]
    return None if _UNEVEN.search(rdf) else rdf


def rdf_written_anew(content: bytes, file: Path) -> bytes:
    """The element rdf:RDF in a sidecar that `plain_rdf` has let pass, in one form for all ways of writing it.

    Raises UnsafeSidecar, naming `file`, where there is not one, or where it uses what XMP has not.
    """
    try:
        root = ElementTree.fromstring(content)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        raise refusal(f"It is no well-formed XML ({error})", file) from error
    wrappers = [root, *root] if root.tag == f"{{{_WRAPPER}}}xmpmeta" else [root]
    found = [element for element in wrappers if element.tag == f"{{{RDF}}}RDF"]
    if len(found) != 1:
        raise refusal(f"It holds {len(found) or 'no'} XMP packet{'s' if len(found) > 1 else ''}", file)
    foreign = {f"{{{RDF}}}{name}" for name in _NOT_IN_XMP}
    for element in found[0].iter():
        for name in _UNQUALIFIED & element.attrib.keys():
            element.attrib.setdefault(f"{{{RDF}}}{name}", element.attrib.pop(name))
        if used := foreign & element.attrib.keys():
            name = min(used).rpartition("}")[2]
            raise refusal(f"It uses rdf:{name}, which XMP has not and readers take differently", file)
    language = f"{{{_XML}}}lang"
    if root is not found[0] and language in root.attrib:
        found[0].attrib.setdefault(language, root.attrib[language])  # xml:lang is inherited
    found[0].tail = None
    return ElementTree.tostring(found[0])
