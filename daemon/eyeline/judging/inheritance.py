"""How genres inherit: trees of TOML laid over one another, key by key, each key with its origin."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

from eyeline.judging.grammar import WORD_SECTIONS, GenreTable
from eyeline.judging.rulebook import RuleLine
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.mistake import shown_key
from eyeline.toml_files.parse import Parsed
from eyeline.toml_files.values import shown

OWN = ("name", "inherits", "abstract", "why")
"""What a genre does not inherit."""

_WHOLE = ("when", "words")
"""Tables that are replaced as a whole: half of an old condition and half of a new one is neither."""

_FORMS: Mapping[str, tuple[str, ...]] = {
    "between": ("limits",),
    "at_least": ("worst",),
    "at_most": ("worst",),
    "words": ("otherwise",),
    "either": (),
}
"""The ways to state an ideal, each with the keys that belong to it alone."""


_STANDS_ALONE: Mapping[str, tuple[str, ...]] = {
    "criteria": ("measure", "either"),
    "faults": ("stars_at_most",),
    "requires": ("when",),
    "formats": ("pixels",),
}
"""The keys with one of which an entry is more than a change to an inherited one."""


@dataclass(slots=True, eq=False)
class Effective:
    """A merged tree and, for every key of it, file and line.

    `off`: what was switched off here; `off_above`: in what is inherited.
    """

    tree: dict[str, Any] = field(default_factory=dict)
    origins: dict[KeyPath, tuple[str, int | None]] = field(default_factory=dict)
    off: set[KeyPath] = field(default_factory=set)
    off_above: frozenset[KeyPath] = frozenset()

    def inherited(self) -> Effective:
        """A copy for an heir, without what a genre keeps to itself."""
        heir = Effective(deepcopy(self.tree), dict(self.origins), off_above=self.off_above | self.off)
        for name in OWN:
            heir.tree.pop(name, None)
            heir._forget((name,))
        return heir

    def lay(self, parsed: Parsed[GenreTable]) -> None:
        """Lay a file over this: what the file states replaces what was there, key by key."""
        self._lay(self.tree, parsed.tree, (), parsed)

    def origin(self, key: KeyPath) -> tuple[str, int | None]:
        """File and line of `key`, or of the nearest table around it that has one."""
        for length in range(len(key), 0, -1):
            if key[:length] in self.origins:
                return self.origins[key[:length]]
        return self.origins.get(("name",), ("", None))

    def lines(self) -> tuple[RuleLine, ...]:
        """Every effective line with its origin, in the order of the tree."""
        return tuple(
            RuleLine(shown_key(key), shown(value), *self.origin(key)) for key, value in _leaves(self.tree, ())
        )

    def _lay(
        self, base: dict[str, Any], patch: dict[str, Any], key: KeyPath, parsed: Parsed[GenreTable]
    ) -> None:
        if len(key) == 2 and key[0] == "criteria":
            self._drop_other_forms(base, patch, key)
        for name, value in patch.items():
            way = (*key, name)
            if isinstance(value, dict) and value.get("off") is True:
                base.pop(name, None)
                self._forget(way)
                self.off.add(way)
            elif way in self.off_above and name not in base and _only_changes(way, value):
                continue  # there is nothing left to change
            elif isinstance(value, dict) and not _is_whole(way):
                if not isinstance(base.get(name), dict):
                    base[name] = {}
                self.origins[way] = (parsed.file, parsed.lines.get(way))
                self._lay(base[name], value, way, parsed)
            else:
                if _has_parts(base.get(name)):
                    self._forget(way)
                base[name] = deepcopy(value)
                parts = parsed.lines if _has_parts(value) else (way,)
                for part in parts:
                    if part[: len(way)] == way:
                        self.origins[part] = (parsed.file, parsed.lines.get(part))

    def _drop_other_forms(self, base: dict[str, Any], patch: dict[str, Any], key: KeyPath) -> None:
        """A criterion that states its ideal anew in another form forgets the inherited form."""
        stated = [form for form in _FORMS if form in patch]
        if not stated:
            return
        kept = {name for form in stated for name in (form, *_FORMS[form])}
        for form, belonging in _FORMS.items():
            for name in (form, *belonging):
                if name in base and name not in kept:
                    del base[name]
                    self._forget((*key, name))

    def _forget(self, key: KeyPath) -> None:
        for way in [way for way in self.origins if way[: len(key)] == key]:
            del self.origins[way]


def _has_parts(value: object) -> bool:
    """Whether keys below that of `value` have lines of their own."""
    return isinstance(value, (dict, list))


def _only_changes(way: KeyPath, patch: object) -> bool:
    """Whether `patch` makes sense only together with what it inherits."""
    essential = _STANDS_ALONE.get(str(way[-2]), ()) if len(way) > 1 else ()
    return isinstance(patch, dict) and bool(essential) and not any(key in patch for key in essential)


def _is_whole(way: KeyPath) -> bool:
    return way[-1] in _WHOLE or (len(way) == 2 and way[0] in WORD_SECTIONS)


def _leaves(tree: Mapping[str, Any], key: KeyPath) -> Sequence[tuple[KeyPath, Any]]:
    found: list[tuple[KeyPath, Any]] = []
    for name, value in tree.items():
        way = (*key, name)
        if isinstance(value, dict) and not _is_whole(way):
            found += _leaves(value, way)
        else:
            found.append((way, value))
    return found
