"""What a sidecar means: its XMP properties as a tree, read by an RDF parser independent of ExifTool.

Two files mean the same when their trees are equal. Serialisation does not matter (attribute or element,
prefixes, order of properties), nor does the order of an rdf:Bag; the order of an rdf:Seq or rdf:Alt does,
and so do languages, qualifiers (`rdf:value` and its neighbours are fields of a structure here), types,
white space and every field inside a region. Comments, processing instructions and attributes of
x:xmpmeta are no properties (XMP Part 1, 7.2 and 7.3.3).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from json.encoder import encode_basestring_ascii as _quoted
from operator import itemgetter
from pathlib import Path

from pyoxigraph import BlankNode, Literal, NamedNode, RdfFormat
from pyoxigraph import parse as rdf_statements

from eyeline.errors import printable
from eyeline.sidecar.rdf_text import plain_rdf, rdf_written_anew, refusal
from eyeline.sidecar.vocabulary import RDF

_NO_DATATYPE = {
    "http://www.w3.org/2001/XMLSchema#string",
    RDF + "langString",
}
"""What a literal without rdf:datatype has (RDF 1.1 Concepts, 3.3)."""

NAMES_KEPT = 1_000
"""Names of properties that are taken apart once: a folder's sidecars have some hundred."""

_Node = NamedNode | BlankNode | Literal
_BySubject = dict[_Node, dict[tuple[str, _Node], None]]
"""Names and values that are stated of each subject, in order and once each."""

_TYPE = RDF + "type"
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
    members = tuple(members)
    if kind == "Bag" and len(members) > 1:
        members = tuple(sorted(members, key=canonical))
    return Container(kind, members)


def document(about: str, properties: Iterable[tuple[str, Value]]) -> Document:
    """A Document of `properties` in any order."""
    return Document(about, _sorted(properties))


def canonical(value: Value) -> str:
    """`value` as a text that is the same for equal values and in every version of eyeline: ASCII JSON."""
    match value:
        case Text():
            return f'["text",{_quoted(value.value)},{_or_null(value.language)},{_or_null(value.datatype)}]'
        case Link():
            return f'["link",{_quoted(value.uri)}]'
        case Structure():
            fields = [f"[{_quoted(name)},{canonical(field)}]" for name, field in value.fields]
            return f"[{','.join([_quoted('structure'), *fields])}]"
        case Container():
            return f"[{','.join([_quoted(value.kind), *map(canonical, value.members)])}]"


def _or_null(text: str | None) -> str:
    return "null" if text is None else _quoted(text)


def parse(content: bytes, file: Path) -> Document:
    """The meaning of a sidecar's bytes. Raises UnsafeSidecar, naming `file`, for whatever is no sound XMP."""
    plain = plain_rdf(content, file)
    try:
        stated = _by_subject(plain) if plain is not None else _by_subject(rdf_written_anew(content, file))
    except SyntaxError as error:
        raise refusal(f"It is no sound RDF ({printable(str(error))[:200]})", file) from error
    return _document(stated, file)


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
    referenced = {value for stated in of.values() for _, value in stated if isinstance(value, BlankNode)}
    subjects = [node for node in of if not (isinstance(node, BlankNode) and node in referenced)]
    abouts = {"" if isinstance(node, BlankNode) else node.value for node in subjects}
    if len(abouts) > 1:
        raise refusal("It describes more than one thing (rdf:about differs)", file)
    properties = [(name, _value(of, value)) for subject in subjects for name, value in of[subject]]
    twice = [name for name, count in Counter(name for name, _ in properties).items() if count > 1]
    if twice:
        raise refusal(f"It states {printable(twice[0])} twice", file)
    return document(abouts.pop() if abouts else "", properties)


def _value(of: _BySubject, node: _Node) -> Value:
    if isinstance(node, Literal):
        datatype = node.datatype.value
        return Text(node.value, node.language or None, None if datatype in _NO_DATATYPE else datatype)
    if isinstance(node, NamedNode):
        return Link(node.value)
    fields = [(name, _value(of, value)) for name, value in of.get(node, ())]
    kinds = [value.uri for name, value in fields if name == _TYPE and isinstance(value, Link)]
    if len(kinds) == 1 and kinds[0] in _CONTAINERS:
        members = {number: value for name, value in fields if (number := _number_of_member(name)) is not None}
        if len(members) == len(fields) - 1:
            return container(_CONTAINERS[kinds[0]], (members[number] for number in sorted(members)))
    return structure(fields)


@lru_cache(NAMES_KEPT)
def _number_of_member(name: str) -> int | None:
    """7 of rdf:_7 (RDF 1.1 Schema, 5.1.5), None for any other name."""
    digits = name.removeprefix(RDF + "_")
    return int(digits) if digits != name and digits.isascii() and digits.isdigit() else None


def _sorted(pairs: Iterable[tuple[str, Value]]) -> tuple[tuple[str, Value], ...]:
    """By name, and where one comes twice by value."""
    pairs = sorted(pairs, key=itemgetter(0))
    if any(one[0] == next_one[0] for one, next_one in pairwise(pairs)):
        pairs.sort(key=lambda pair: (pair[0], canonical(pair[1])))
    return tuple(pairs)
