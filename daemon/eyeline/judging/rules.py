"""All genres from the texts of rule files: shipped ones first, then the photographer's own."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from hashlib import blake2b

from eyeline.errors import BadConfiguration
from eyeline.judging.building import build
from eyeline.judging.grammar import GenreTable
from eyeline.judging.inheritance import Effective
from eyeline.judging.name_check import Known
from eyeline.judging.numbers_law import CANNOT_MEET
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.vocabulary import Vocabulary
from eyeline.terms.measurement import Quantity
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.mistake import Mistake, Problem, mistake, nearest, shown_key
from eyeline.toml_files.parse import NoToml, Parsed, parse
from eyeline.toml_files.structure import structured

DIGEST_BYTES = 16

Genre = Parsed[GenreTable]
INHERITS: KeyPath = ("inherits",)
INCOMPLETE = (
    "missing key",
    "a genre needs",
    "an ideal needs",
    "between needs",
    "at_least and",
    "a fault needs",
)
"""How messages begin on what may stand in the genre that is inherited."""


@dataclass(frozen=True, slots=True)
class Rules:
    """The genres that are sound, by name, and every mistake in the others."""

    genres: Mapping[str, Rulebook]
    mistakes: tuple[Mistake, ...]

    def genre(self, name: str) -> Rulebook:
        """The rulebook called `name`; BadConfiguration with the nearest name where there is none."""
        if name in self.genres:
            return self.genres[name]
        near = nearest(name, self.genres)
        hint = f"Did you mean {near!r}?" if near else f"Known are {', '.join(sorted(self.genres))}"
        raise BadConfiguration(f"no genre is called {name!r}", cure=hint)


def read_rules(files: Sequence[RuleFile], quantities: Iterable[Quantity], vocabulary: Vocabulary) -> Rules:
    """The genres in `files`; a later file of the same genre changes the earlier one key by key.

    A file with mistakes is left out and what it would have changed stays as it was; a genre whose
    effective rules have mistakes is left out. Nothing is raised: all mistakes are in the answer.
    """
    return _read_rules(tuple(files), tuple(quantities), vocabulary)


@lru_cache(maxsize=4)  # a page that tunes, a daemon and a check read the same files again and again
def _read_rules(
    files: tuple[RuleFile, ...], quantities: tuple[Quantity, ...], vocabulary: Vocabulary
) -> Rules:
    known = Known({each.name: each for each in quantities}, frozenset(vocabulary.ids))
    mistakes: list[Mistake] = []
    layers = genre_files(files, mistakes)
    sound = {name: whole for name, group in layers.items() if (whole := [g for g in group if not g.problems])}
    mistakes += _further(layers, known)
    found = _Reader(sound, known, mistakes).rules()
    places = {file.name: place for place, file in enumerate(files)}
    in_order = sorted(found.mistakes, key=lambda each: (places.get(each.file, -1), each.line or 0))
    return replace(found, mistakes=tuple(in_order))


def genre_files(files: Sequence[RuleFile], mistakes: list[Mistake] | None = None) -> dict[str, list[Genre]]:
    """`files` by the genre that they speak of; what is against the grammar is added to `mistakes`."""
    found: dict[str, list[Genre]] = {}
    wrong = mistakes if mistakes is not None else []
    for file in files:
        try:
            parsed = parse(file.name, file.text, GenreTable)
        except NoToml as error:
            wrong.append(error.mistake)
            continue
        wrong += parsed.mistakes
        if parsed.table.name is None:
            wrong.append(Mistake(file.name, 1, "name", "missing key: every genre has a name"))
        else:
            found.setdefault(parsed.table.name, []).append(parsed)
    return found


def effective_rules(layers: dict[str, list[Genre]], name: str) -> Effective | None:
    """The rules of the genre `name` with all that it inherits; None where it or an ancestor is not there."""
    return _Reader(layers, Known({}, frozenset()), []).effective_rules(name) if name in layers else None


def _further(layers: dict[str, list[Genre]], known: Known) -> list[Mistake]:
    """What else is wrong in files that do not obey the grammar, as far as the rest of them shows it.

    Nothing is said that may follow from a key that was cut off.
    """
    rooted = {name: [_without_lost_parent(each, layers) for each in group] for name, group in layers.items()}
    pruned = {each.file: each.pruned for group in rooted.values() for each in group if each.pruned}
    if not pruned:
        return []
    found: list[Mistake] = []
    _Reader(rooted, known, found).rules()
    lost = [each for group in layers.values() for each in group if _has_lost_parent(each, layers)]
    return [
        *(_lost_parent(each, layers) for each in lost),
        *(each for each in found if each.file in pruned and not _follows(each, pruned[each.file])),
    ]


def _has_lost_parent(parsed: Genre, layers: Mapping[str, object]) -> bool:
    return "inherits" in parsed.tree and parsed.tree["inherits"] not in layers


def _lost_parent(parsed: Genre, layers: Mapping[str, object]) -> Mistake:
    parent = parsed.tree["inherits"]
    problem = Problem(INHERITS, f"no genre is called {parent!r}", parent, tuple(sorted(layers)))
    return mistake(problem, parsed.file, parsed.lines.get(INHERITS))


def _without_lost_parent(parsed: Genre, layers: Mapping[str, object]) -> Genre:
    """The file without its `inherits`, where there is no such genre."""
    if not _has_lost_parent(parsed, layers):
        return parsed
    tree = {key: value for key, value in parsed.tree.items() if key != "inherits"}
    return replace(parsed, tree=tree, pruned=(*parsed.pruned, INHERITS))


def _follows(mistake: Mistake, pruned: Sequence[KeyPath]) -> bool:
    """Whether `mistake` may be due to a key that was cut off: in its table, or for the law in any range."""
    if INHERITS in pruned and mistake.problem.startswith(INCOMPLETE):
        return True
    if mistake.problem.startswith(CANNOT_MEET):
        return any(key[:1] == ("criteria",) for key in pruned)
    return any(shown_key(key).startswith(mistake.key) for key in pruned)


class _Reader:
    def __init__(self, layers: dict[str, list[Genre]], known: Known, mistakes: list[Mistake]) -> None:
        self.layers = layers
        self.known = known
        self.mistakes = mistakes
        self.effective: dict[str, Effective | None] = {}

    def rules(self) -> Rules:
        genres: dict[str, Rulebook] = {}
        judged_as: dict[str, str] = {}
        trees = {name: self.effective_rules(name) for name in self.layers}
        abstract = {name for name, each in trees.items() if each is not None and each.tree.get("abstract")}
        wanted = {each.tree.get("crops", {}).get("judged_as") for each in trees.values() if each is not None}
        for name, effective in trees.items():
            if effective is None:
                continue
            table, *_ = structured(effective.tree, GenreTable)
            text = json.dumps(effective.tree, sort_keys=True, ensure_ascii=False)
            digest = blake2b(text.encode(), digest_size=DIGEST_BYTES).hexdigest()
            rulebook, other, problems = build(name, table, self.known, digest, effective.lines())
            if name in abstract and name not in wanted:  # its heirs may have what it lacks
                self._report(
                    name, [each for each in problems if not each.text.startswith(INCOMPLETE)], effective
                )
                continue
            self._report(name, problems, effective)
            if rulebook is not None:
                genres[name] = rulebook
                if other is not None:
                    judged_as[name] = other
        for name, other in judged_as.items():
            if other in genres:
                genres[name] = replace(genres[name], crops_as=replace(genres[other], crops_as=None))
            else:
                text = f"no sound genre is called {other!r}"
                problem = Problem(("crops", "judged_as"), text, other, tuple(sorted(genres)))
                self._report(name, [problem], self.effective[name] or Effective())
        hidden = abstract | {name for name, other in judged_as.items() if other not in genres}
        return Rules(
            {name: each for name, each in genres.items() if name not in hidden},
            tuple(dict.fromkeys(self.mistakes)),
        )

    def effective_rules(self, name: str, heirs: tuple[str, ...] = ()) -> Effective | None:
        """The merged rules of `name`, or None where what it inherits cannot be had."""
        if name in self.effective:
            return self.effective[name]
        parent, stated_in = None, self.layers[name][0]
        for parsed in self.layers[name]:
            if "inherits" in parsed.tree:
                parent, stated_in = parsed.tree["inherits"], parsed
        result: Effective | None = Effective()
        if parent is not None:
            if parent in (*heirs, name):
                line, text = stated_in.lines.get(INHERITS), "a genre cannot inherit from itself"
                self.mistakes.append(Mistake(stated_in.file, line, "inherits", text))
                result = None
            elif parent not in self.layers:
                self.mistakes.append(_lost_parent(stated_in, self.layers))
                result = None
            else:
                base = self.effective_rules(parent, (*heirs, name))
                result = None if base is None else base.inherited()
        if result is not None:
            for parsed in self.layers[name]:
                result.lay(parsed)
        self.effective[name] = result
        return result

    def _report(self, name: str, problems: Sequence[Problem], effective: Effective) -> None:
        """Place each problem of the genre `name` where its key stands, which may be in what it inherits."""
        own = {each.file for each in self.layers[name]}
        for each in problems:
            file, line = effective.origin(each.key)
            heir = "" if file in own else f" (in {name!r}, which inherits this)"
            self.mistakes.append(mistake(replace(each, text=each.text + heir), file, line))
