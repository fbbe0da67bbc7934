"""Damage to bytes and to text, drawn from a seeded generator, so that every case can be made again."""

from __future__ import annotations

import random
import re
from collections.abc import Sequence

from tests.sidecar.test_mutations import mutated as markup

__all__ = ["binary", "markup", "toml", "well_formed"]

EDGES = (
    b"\0",
    b"\xff",
    b"\xff\xd8",
    b"\xff\xd9",
    b"\xff\xe1",
    b"\x7f\xff\xff\xff",
    b"\x80\0\0\0",
    b"\xff" * 4,
)
"""Bytes at which readers of binary files go astray: markers, the largest and smallest lengths."""

HEAD_BYTES = 2048
"""Where most of a photo's structure lies; half of all damage is done there."""

VALUES = (
    *(
        f"0x{'f' * 5000}",
        "1" + "0" * 400,
        '"a\\nb"',
        "true",
        "nan",
        "inf",
        "-inf",
        "-1",
        "0",
        "1e999",
        "9" * 5000,
        "0.1e-400",
        '""',
        "[]",
        "{}",
        "[[[]]]",
    ),
    *(
        '"x"',
        "['']",
        "1979-05-27",
        "[0, nan]",
        "[1, 0]",
        '"\\u0000"',
        '"\\u202e"',
        f'"{"ä" * 300}"',
        '"../x"',
    ),
    *("{ between = [0, 1] }", '"-execute"', "[" * 400 + "]" * 400, '"{value}"', '"%s"', "'''", "0x", "1_0"),
)
"""Values of every type, at their limits, and some that are none."""

ITEM = re.compile(r"<rdf:li(?: [^>]*)?>(?:(?!</?rdf:li).)*</rdf:li>", re.DOTALL)
TEXT = re.compile(r">([^<>]+)</")
TEXTS = (
    "",
    " ",
    "-1",
    "4",
    "headshot",
    "a &amp;amp; b",
    "&#128512;",
    "é" * 500,
    "eyeline-sitter",
    "]]&gt;",
    "\t",
)
"""Text of elements: empty, a number, a keyword of ours, markup as text, an id of ours, space."""

LINES = (
    *("[criteria]", "[[criteria]]", "[faults.x]", 'inherits = "portrait"', "[a.b.c.d.e]", "=", "\x00", "#"),
    *(
        "a" + ".a" * 20_000 + " = 1",
        "[" + "a." * 20_000 + "a]",
        "a = " + "[" * 20_000,
        "a = " + "{a = " * 9_000,
    ),
    "\n".join(f"k{number} = 1" for number in range(5_000)),
    "genres = [" + ", ".join(f'"{number}"' for number in range(6_000)) + "]",
)
"""Lines that mean something elsewhere, or nothing, that are nested deep, or that are wrong many times."""


def binary(content: bytes, chance: random.Random) -> bytes:
    """One to four changes: a byte, a bit, a cut, a doubling, an edge value, a length, zeros, an end."""
    data = bytearray(content)
    for _ in range(chance.choice((1, 1, 2, 4))):
        if not data:  # an earlier change took all of it
            break
        place = chance.randrange(min(len(data), HEAD_BYTES) if chance.random() < 0.5 else len(data))
        match chance.randrange(8):
            case 0:
                data[place] = chance.randrange(256)
            case 1:
                data[place] ^= 1 << chance.randrange(8)
            case 2:
                del data[place : place + chance.randrange(1, 400)]
            case 3:
                data[place:place] = data[place : place + chance.randrange(1, 400)]
            case 4:
                edge = chance.choice(EDGES)
                data[place : place + len(edge)] = edge
            case 5:
                data[place : place + 4] = chance.randrange(2**32).to_bytes(
                    4, chance.choice(("big", "little"))
                )
            case 6:
                length = chance.randrange(1, 4000)
                data[place : place + length] = bytes(len(data[place : place + length]))
            case _:
                del data[max(place, 16) :]
    return bytes(data)


def well_formed(content: bytes, chance: random.Random) -> bytes:
    """One to four changes that leave XML well-formed and mean something else: an element twice, gone or new,
    other text, an attribute, a comment, space."""
    text = content.decode("utf-8")
    for _ in range(chance.choice((1, 1, 2, 4))):
        items = [found.span() for found in ITEM.finditer(text)]
        inside = [found.span(1) for found in TEXT.finditer(text)]
        gaps = [found.end() for found in re.finditer(r"</rdf:li>|<rdf:(?:Bag|Seq|Alt)>", text)]
        number = chance.randrange(10_000)
        match chance.randrange(7):
            case 0 if items:
                start, end = chance.choice(items)
                text = text[:end] + text[start:end] + text[end:]
            case 1 if items:
                start, end = chance.choice(items)
                text = text[:start] + text[end:]
            case 2 if inside:
                start, end = chance.choice(inside)
                text = text[:start] + chance.choice(TEXTS) + text[end:]
            case 3:
                text = text.replace(
                    "rdf:about=", f"xmlns:n{number}='urn:n' n{number}:a='&#x9;' rdf:about=", 1
                )
            case 4:
                new = f"<m{number}:b xmlns:m{number}='urn:m' xml:lang='fr'>&lt;</m{number}:b>"
                text = text.replace("</rdf:Description>", f"{new}</rdf:Description>", 1)
            case 5 if gaps:
                place = chance.choice(gaps)
                text = text[:place] + chance.choice(("<!-- - -->", "\n\t ", "\r\n")) + text[place:]
            case _:
                text = text.replace("<rdf:Bag>", f"<rdf:Bag><rdf:li>{chance.choice(TEXTS)}</rdf:li>", 1)
    return text.encode()


def toml(content: bytes, chance: random.Random) -> bytes:
    """One to four changes to a TOML file: a value, a key, a line more or less or elsewhere, or bytes."""
    lines = content.decode("utf-8", "replace").split("\n")
    for _ in range(chance.choice((1, 1, 2, 4))):
        place = chance.randrange(len(lines))
        match chance.randrange(7):
            case 0 | 1 | 2:
                key, equals, _ = lines[place].partition("=")
                lines[place] = f"{key}= {chance.choice(VALUES)}" if equals else lines[place]
            case 3:
                lines[place] = _misspelt(lines[place], chance)
            case 4:
                del lines[place : place + chance.randrange(1, 3)]
                lines = lines or [""]
            case 5:
                lines.insert(place, chance.choice((*LINES, *lines)))
            case _:
                return binary("\n".join(lines).encode() or b"\n", chance)
    return "\n".join(lines).encode()


def _misspelt(line: str, chance: random.Random) -> str:
    if not line:
        return line
    place = chance.randrange(len(line))
    letter: Sequence[str] = "abc_.\"'[]=#,{}0é\t"
    return line[:place] + chance.choice(letter) + line[place + chance.randrange(2) :]
