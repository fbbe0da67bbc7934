"""The record of what eyeline wrote into a sidecar: kept in the ledger and in the sidecar's own history."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from eyeline.sidecar import vocabulary as names
from eyeline.sidecar.fields import is_unrated
from eyeline.sidecar.notation import can_be_restored
from eyeline.sidecar.regions import is_our_id
from eyeline.terms.rectangle import Rectangle

_MARK = " | wrote "
"""Parts the readable parameters of our history event from the record that follows."""


@dataclass(frozen=True, slots=True)
class WrittenRegion:
    """A region as we wrote it: stored fractions, and `fields.StoredRegion.content`."""

    id: str
    area: Rectangle
    content: str


@dataclass(frozen=True, slots=True)
class Written:
    """What eyeline has written into one sidecar and what it leaves to the photographer.

    `created`: the file is ours from the start. `rating`, `keywords`, `scenes`, `regions`: in the file and
    ours. `rating_before`, `metadata_date_before`: what stood there before us, restored by withdraw. The
    `left_…` fields: what a person decided; `left_rating` True, words and region ids. `digest`: BLAKE2b hex
    of the file as we left it (not part of the record inside the file).
    """

    created: bool = False
    rating: str | None = None
    rating_before: str | None = None
    keywords: tuple[str, ...] = ()
    scenes: tuple[str, ...] = ()
    regions: tuple[WrittenRegion, ...] = ()
    metadata_date: str | None = None
    metadata_date_before: str | None = None
    parameters: str = ""
    left_rating: bool = False
    left_keywords: tuple[str, ...] = ()
    left_scenes: tuple[str, ...] = ()
    left_regions: tuple[str, ...] = ()
    digest: str = ""

    def says_the_same_as(self, other: Written) -> bool:
        """Whether both are one record, but for what the record inside a file leaves out."""
        plain = replace(self, digest="", parameters="")
        return plain == replace(other, digest="", parameters="")

    def to_json(self) -> str:
        """For the ledger; empty fields are left out."""
        filled = ((name, getattr(self, name)) for name in _NAMES)
        plain = {name: value for name, value in filled if value not in (None, False, "", ())}
        if self.regions:
            plain["regions"] = {
                mark.id: [mark.area.left, mark.area.top, mark.area.width, mark.area.height, mark.content]
                for mark in self.regions
            }
        return json.dumps(plain, separators=(",", ":"), ensure_ascii=False)

    @staticmethod
    def from_json(text: str) -> Written:
        """Inverse of `to_json`. Raises ValueError for anything that eyeline cannot have written."""
        try:
            plain = json.loads(text)
        except RecursionError as error:
            raise ValueError("no record of what eyeline wrote: it nests too deep") from error
        if not isinstance(plain, dict) or not plain.keys() <= _SOUND.keys():
            raise ValueError("no record of what eyeline wrote: it has other fields")
        for key, value in plain.items():
            if not _SOUND[key](value):
                raise ValueError(f"no record of what eyeline wrote: {key} is none that it writes")
        regions = tuple(
            WrittenRegion(region_id, Rectangle(*map(float, place)), content)
            for region_id, (*place, content) in plain.pop("regions", {}).items()
        )
        fields: dict[str, Any] = {
            key: tuple(value) if isinstance(value, list) else value for key, value in plain.items()
        }
        return Written(regions=regions, **fields)


_NAMES = tuple(each.name for each in fields(Written))


def _is_flag(value: object) -> bool:
    return isinstance(value, bool)


def _is_text(value: object) -> bool:
    return isinstance(value, str) and value.isprintable()


def _are_lines(value: object) -> bool:
    """Keywords, as `fields.wanted` lets them through: printable, not empty, no blanks at the ends."""
    return isinstance(value, list) and all(_is_text(word) and word and word == word.strip() for word in value)


def _are_scenes(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(c, str) and c in names.SCENE_CODES for c in value)


def _are_ids(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(each, str) and is_our_id(each) for each in value)


def _is_date(value: object) -> bool:
    """A date that ExifTool can put back as it stands; no other is ever replaced by ours."""
    return isinstance(value, str) and can_be_restored(value)


def _are_regions(value: object) -> bool:
    return isinstance(value, dict) and all(
        is_our_id(region_id) and _is_mark(mark) for region_id, mark in value.items()
    )


def _is_mark(value: object) -> bool:
    """Left, top, width, height in fractions of the stored picture, then the digest of the rest."""
    if not isinstance(value, list) or len(value) != 5:
        return False
    *place, content = value
    numbers = all(isinstance(n, (int, float)) and not isinstance(n, bool) and 0 <= n <= 1 for n in place)
    return numbers and isinstance(content, str) and _DIGEST.fullmatch(content) is not None


_DIGEST = re.compile(r"[0-9a-f]+")

_SOUND: Mapping[str, Callable[[object], bool]] = {
    "created": _is_flag,
    "rating": lambda value: value in ("1", "2", "3", "4", "5"),
    "rating_before": lambda value: isinstance(value, str) and is_unrated(value),
    "keywords": _are_lines,
    "scenes": _are_scenes,
    "regions": _are_regions,
    "metadata_date": _is_date,
    "metadata_date_before": _is_date,
    "parameters": _is_text,
    "left_rating": _is_flag,
    "left_keywords": _are_lines,
    "left_scenes": _are_scenes,
    "left_regions": _are_ids,
    "digest": lambda value: isinstance(value, str) and _DIGEST.fullmatch(value) is not None,
}
"""What each field of a record may hold: a sidecar comes from anywhere, and so does what it says of us."""


def event_parameters(readable: str, written: Written) -> str:
    """The parameters of our history event: `readable`, then the record that survives a lost ledger."""
    return readable + _MARK + replace(written, digest="", parameters="").to_json()


def recorded(events: Iterable[str]) -> Written | None:
    """The record in the parameters of our history events; None when there is none to be read."""
    for parameters in events:
        readable, mark, text = parameters.partition(_MARK)
        if mark:
            try:
                return replace(Written.from_json(text), parameters=readable)
            except ValueError:
                continue
    return None
