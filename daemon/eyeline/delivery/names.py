"""Names of delivered files from a template: none leaves the target folder, none is another's."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath

from eyeline.delivery.specification import ENDINGS, Kind

FIELDS = ("sitter", "line", "format", "size", "frame", "number", "folder")
"""What a template can name. `format`: 4x5; `size`: 1600x2000; `frame`: the photo's name without ending;
`number`: its number; `folder`: the folder that it lies in."""

LONGEST_BYTES = 200
"""Of one part of a path: file systems end at 255 bytes (NAME_MAX), and a temporary name needs some more."""

MOST_PARTS = 8
"""Folders in a template: deeper is a mistake."""

_FIELD = re.compile(r"\{([^{}]*)\}")
_FORBIDDEN = re.compile(r'[\x00-\x1f\x7f/\\:*?"<>|]')
_NOT_EVERYWHERE = re.compile(r'[:*?"<>|]')
_RESERVED = re.compile(r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\..*)?", re.IGNORECASE)
"""Device names of other systems, on which clients open what they get (Microsoft, "Naming Files")."""


def mistakes(template: str, kind: Kind) -> list[str]:
    """What is wrong with a template for names, a sentence each."""
    found = [
        f"{{{each}}} is none of {', '.join(FIELDS)}"
        for each in _FIELD.findall(template)
        if each not in FIELDS
    ]
    plain = _FIELD.sub("", template)
    if "{" in plain or "}" in plain:
        found.append("a brace is left open")
    if signs := dict.fromkeys(_NOT_EVERYWHERE.findall(plain)):
        found.append(f"{' '.join(signs)} can stand in no name on many clients' systems")
    parts = template.split("/")
    if template.startswith("/") or "\\" in template or any(part.strip() in ("", ".", "..") for part in parts):
        found.append("a name stays below the target folder: no /, .. or empty part at its start or within")
    if len(parts) > MOST_PARTS:
        found.append(f"at most {MOST_PARTS - 1} folders")
    if any(not character.isprintable() for character in template):
        found.append("it holds characters that cannot be printed")
    ending = PurePosixPath(_FIELD.sub("x", template)).suffix.lower()
    if ENDINGS.get(ending, kind) is not kind:
        found.append(f"it ends in {ending}, and the files are {kind.value}")
    return found


def filled(template: str, values: Mapping[str, str]) -> str:
    """`template` with each field's value as it is, for a text; unknown fields stay as they stand."""
    return _FIELD.sub(lambda field: values.get(field[1], field[0]), template)


def file_name(template: str, values: Mapping[str, str], kind: Kind) -> PurePosixPath:
    """The name below the target folder; values lose whatever could lead elsewhere."""
    safe = {name: _safe(value) for name, value in values.items()}
    parts = [_part(filled(part, safe)) for part in template.split("/")]
    if ENDINGS.get(PurePosixPath(parts[-1]).suffix.lower()) is kind:
        stem, _, ending = parts[-1].rpartition(".")
        parts[-1] = f"{_shortened(stem)}.{ending}"
    else:
        parts[-1] = f"{_shortened(parts[-1])}{kind.ending}"
    return PurePosixPath(*map(_shortened, parts[:-1]), parts[-1])


def told_apart(names: Sequence[PurePosixPath], frames: Sequence[str]) -> list[PurePosixPath]:
    """`names` with those that collide told apart by their frame, then by a number.

    Two names collide where some file system takes them for one: in another case of letters, or composed
    otherwise (Unicode NFC and NFD).
    """
    found = [
        _with(name, f"_{_safe(frame)}") if _count(names, name) > 1 else name
        for name, frame in zip(names, frames, strict=True)
    ]
    taken: set[str] = set()
    unique = []
    for name in found:
        candidate, number = name, 1
        while _folded(candidate) in taken:
            number += 1
            candidate = _with(name, f"-{number}")
        taken.add(_folded(candidate))
        unique.append(candidate)
    return unique


def _with(name: PurePosixPath, more: str) -> PurePosixPath:
    return name.with_name(f"{_shortened(name.stem, len(more.encode()))}{more}{name.suffix}")


def _count(names: Sequence[PurePosixPath], name: PurePosixPath) -> int:
    return sum(_folded(each) == _folded(name) for each in names)


def _folded(name: PurePosixPath) -> str:
    return unicodedata.normalize("NFC", str(name)).casefold()


def _safe(value: str) -> str:
    """`value` as a part of a file's name: no separators, nothing unprintable, one kind of accent."""
    value = unicodedata.normalize("NFC", value.encode("utf-8", "replace").decode("utf-8"))
    value = _FORBIDDEN.sub("-", value)
    value = "".join(character for character in value if character.isprintable())
    return re.sub(r"\s+", " ", value).strip().strip(".") or "-"


def _part(text: str) -> str:
    """One part of a path as every system takes it."""
    text = text.strip().lstrip(".").rstrip(". ") or "-"
    return f"_{text}" if _RESERVED.fullmatch(text) else text


def _shortened(text: str, more: int = 0) -> str:
    return text.encode("utf-8")[: LONGEST_BYTES - more].decode("utf-8", "ignore").rstrip(". ") or "-"
