"""What a sidecar means: its XMP properties as a tree, read by an RDF parser independent of ExifTool.

Two files mean the same when their trees are equal. Serialisation does not matter (attribute or element,
prefixes, order of properties), nor does the order of an rdf:Bag; the order of an rdf:Seq or rdf:Alt does,
and so do languages, qualifiers (`rdf:value` and its neighbours are fields of a structure here), types,
white space and every field inside a region. Comments, processing instructions and attributes of
x:xmpmeta are no properties (XMP Part 1, 7.2 and 7.3.3).
"""

from __future__ import annotations

import json
import xml.etree.ElementTree as ElementTree
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter
from pathlib import Path
from xml.parsers import expat

from pyoxigraph import BlankNode, Literal, NamedNode, RdfFormat
from pyoxigraph import parse as rdf_statements

from eyeline.errors import UnsafeSidecar, printable
from eyeline.sidecar.vocabulary import RDF

LARGEST_BYTES = 8 * 1024 * 1024
"""A larger sidecar is refused: real ones have kilobytes, a few megabytes with painted masks in them."""

DEEPEST = 100
"""Elements inside one another; real sidecars have about 15."""

_XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"
_NOT_IN_XMP = {f"{{{RDF}}}{name}" for name in ("nodeID", "bagID", "aboutEach", "aboutEachPrefix")}
_UNQUALIFIED = {"about", "ID", "resource", "parseType", "type"}
"""Attributes that are RDF's without its prefix too, as in its first years (RDF 1.1 XML Syntax, 6.1.4)."""

_NO_DATATYPE = {
    "http://www.w3.org/2001/XMLSchema#string",
    RDF + "langString",
}
"""What a literal without rdf:datatype has (RDF 1.1 Concepts, 3.3)."""

_Node = NamedNode | BlankNode | Literal
_BySubject = dict[_Node, dict[tuple[str, _Node], None]]
"""Names and values that are stated of each subject, in order and once each."""

_CONTAINERS = {RDF + "Bag": "Bag", RDF + "Seq": "Seq", RDF + "Alt": "Alt"}


@dataclass(frozen=True, slots=True)
class Text:
    """A literal; `language` from xml:lang, `datatype` from rdf:datatype (not used by XMP)."""

    value: str
    language: str | None = None
    datatype: str | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """A URI given with rdf:resource."""

    uri: str


@dataclass(frozen=True, slots=True)
class Structure:
    """Fields by full name, sorted; a name that comes twice appears twice."""

    fields: tuple[tuple[str, Value], ...]

    def get(self, name: str) -> Value | None:
        """The first value of the field `name`, None when absent."""
        return next((value for key, value in self.fields if key == name), None)


@dataclass(frozen=True, slots=True)
class Container:
    """An rdf:Bag, rdf:Seq or rdf:Alt; the members of a Bag are sorted."""

    kind: str
    members: tuple[Value, ...]


Value = Text | Link | Structure | Container


@dataclass(frozen=True, slots=True)
class Document:
    """All properties of a sidecar. `about`: the subject's URI, empty where it is the file itself."""

    about: str
    properties: tuple[tuple[str, Value], ...]

    def get(self, name: str) -> Value | None:
        """The value of the property `name`, None when absent."""
        return next((value for key, value in self.properties if key == name), None)


EMPTY = Document("", ())


def structure(fields: Iterable[tuple[str, Value]]) -> Structure:
    """A Structure of `fields` in any order."""
    return Structure(_sorted(fields))


def container(kind: str, members: Iterable[Value]) -> Container:
    """A Container of `kind` ("Bag", "Seq", "Alt")."""
    return Container(kind, tuple(sorted(members, key=canonical)) if kind == "Bag" else tuple(members))


def document(about: str, properties: Iterable[tuple[str, Value]]) -> Document:
    """A Document of `properties` in any order."""
    return Document(about, _sorted(properties))


def canonical(value: Value) -> str:
    """`value` as a text that is the same for equal values and in every version of eyeline."""
    return json.dumps(_plain(value), ensure_ascii=True, separators=(",", ":"))


def parse(content: bytes, file: Path) -> Document:
    """The meaning of a sidecar's bytes. Raises UnsafeSidecar, naming `file`, for whatever is no sound XMP."""
    _inspect(content, file)
    try:
        root = ElementTree.fromstring(content)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        raise _refusal(f"It is no well-formed XML ({error})", file) from error
    wrappers = [root, *root] if root.tag == "{adobe:ns:meta/}xmpmeta" else [root]
    found = [element for element in wrappers if element.tag == f"{{{RDF}}}RDF"]
    if len(found) != 1:
        raise _refusal(f"It holds {len(found) or 'no'} XMP packet{'s' if len(found) > 1 else ''}", file)
    for element in found[0].iter():
        for name in _UNQUALIFIED & element.attrib.keys():
            element.attrib.setdefault(f"{{{RDF}}}{name}", element.attrib.pop(name))
        if foreign := _NOT_IN_XMP & element.attrib.keys():
            name = min(foreign).rpartition("}")[2]
            raise _refusal(f"It uses rdf:{name}, which XMP has not and readers take differently", file)
    if root is not found[0] and _XML_LANG in root.attrib:
        found[0].attrib.setdefault(_XML_LANG, root.attrib[_XML_LANG])  # xml:lang is inherited
    found[0].tail = None
    try:
        stated = _by_subject(ElementTree.tostring(found[0]))
    except SyntaxError as error:
        raise _refusal(f"It is no sound RDF ({printable(str(error))[:200]})", file) from error
    return _document(stated, file)


def _refusal(what: str, file: Path) -> UnsafeSidecar:
    return UnsafeSidecar(what, file, "It was left as it is; mend it, or move it away to get a new one")


def _inspect(content: bytes, file: Path) -> None:
    """Refuse what could exhaust memory or the stack before any tree is built."""
    if len(content) > LARGEST_BYTES:
        raise _refusal(f"It has {len(content)} bytes, more than {LARGEST_BYTES}", file)
    depth = 0

    def enter(_name: str, _attributes: object) -> None:
        nonlocal depth
        depth += 1
        if depth > DEEPEST:
            raise _refusal(f"Its elements nest deeper than {DEEPEST}", file)

    def leave(_name: str) -> None:
        nonlocal depth
        depth -= 1

    def refuse_doctype(*_: object) -> None:
        raise _refusal("It has a document type declaration, which XMP does not use", file)

    parser = expat.ParserCreate()
    parser.StartElementHandler = enter
    parser.EndElementHandler = leave
    parser.StartDoctypeDeclHandler = refuse_doctype
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        what = "It is empty" if not content.strip() else f"It is no well-formed XML ({error})"
        raise _refusal(what, file) from error


def _by_subject(rdf: bytes) -> _BySubject:
    """What is stated of each subject, in order; what is stated twice is one. Raises SyntaxError.

    No base, so that `rdf:about=""` stays empty. Lenient: an odd URI or language is for whoever wrote it to
    mind, and is compared as it stands.
    """
    found: _BySubject = {}
    for each in rdf_statements(rdf, RdfFormat.RDF_XML, lenient=True):
        found.setdefault(each.subject, {})[each.predicate.value, each.object] = None
    return found


def _document(of: _BySubject, file: Path) -> Document:
    """Without rdf:nodeID every blank node is referred to at most once: the graph is a forest."""
    referenced = {value for stated in of.values() for _, value in stated}
    subjects = [node for node in of if not (isinstance(node, BlankNode) and node in referenced)]
    abouts = {"" if isinstance(node, BlankNode) else node.value for node in subjects}
    if len(abouts) > 1:
        raise _refusal("It describes more than one thing (rdf:about differs)", file)
    properties = [(name, _value(of, value)) for subject in subjects for name, value in of[subject]]
    twice = [name for name, count in Counter(name for name, _ in properties).items() if count > 1]
    if twice:
        raise _refusal(f"It states {printable(twice[0])} twice", file)
    return document(abouts.pop() if abouts else "", properties)


def _value(of: _BySubject, node: _Node) -> Value:
    if isinstance(node, Literal):
        datatype = node.datatype.value
        return Text(node.value, node.language or None, None if datatype in _NO_DATATYPE else datatype)
    if isinstance(node, NamedNode):
        return Link(node.value)
    fields = [(name, _value(of, value)) for name, value in of.get(node, ())]
    kinds = [value.uri for name, value in fields if name == RDF + "type" and isinstance(value, Link)]
    if len(kinds) == 1 and kinds[0] in _CONTAINERS:
        members = {
            int(name.removeprefix(RDF + "_")): value
            for name, value in fields
            if name.startswith(RDF + "_")
            and name.removeprefix(RDF + "_").isascii()
            and name.removeprefix(RDF + "_").isdigit()
        }
        if len(members) == len(fields) - 1:
            return container(_CONTAINERS[kinds[0]], (members[number] for number in sorted(members)))
    return structure(fields)


def _plain(value: Value) -> list[object]:
    match value:
        case Text():
            return ["text", value.value, value.language, value.datatype]
        case Link():
            return ["link", value.uri]
        case Structure():
            return ["structure", *([name, _plain(field)] for name, field in value.fields)]
        case Container():
            return [value.kind, *(_plain(member) for member in value.members)]


def _sorted(pairs: Iterable[tuple[str, Value]]) -> tuple[tuple[str, Value], ...]:
    """By name, and where one comes twice by value."""
    pairs = sorted(pairs, key=itemgetter(0))
    if any(one[0] == next_one[0] for one, next_one in pairwise(pairs)):
        pairs.sort(key=lambda pair: (pair[0], canonical(pair[1])))
    return tuple(pairs)
