"""The rules in force: shipped rule files, then the photographer's own, as one frozen object."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from eyeline.errors import BadConfiguration
from eyeline.judging.causes import causes
from eyeline.judging.doubts import doubts
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.rules import Rules, genre_files, read_rules
from eyeline.judging.vocabulary import Vocabulary, read_vocabulary
from eyeline.measuring.catalogue import BUILT_IN, quantities
from eyeline.settings.configuration import Configuration
from eyeline.settings.guests import Guests, load_guests
from eyeline.settings.shipped import shipped_folder
from eyeline.sitting.quantities import SET_QUANTITIES
from eyeline.terms.measurement import Quantity
from eyeline.toml_files.file import read_text
from eyeline.toml_files.mistake import Mistake

VOCABULARY_FILE = "vocabulary.toml"

DEFAULT_BRIEF = (
    "corporate headshot",
    "tight close crop",
    "loose keeper",
    "copy space left",
    "copy space right",
)
"""What a folder without a brief of its own is judged on (common practice)."""


@dataclass(frozen=True, slots=True)
class RulesInForce:
    """Genres, vocabulary and measures by name, and every mistake found in the files.

    `stamp` changes when any of the files does.
    """

    rules: Rules
    vocabulary: Vocabulary
    quantities: Mapping[str, Quantity]
    mistakes: tuple[Mistake, ...]
    stamp: tuple[tuple[str, int], ...]

    def brief(self, names: Iterable[str]) -> tuple[Rulebook, ...]:
        """The rulebooks of `names`, or of the default brief where none are given.

        Raises BadConfiguration for a name that no sound genre has.
        """
        return tuple(self.rules.genre(name) for name in (tuple(names) or DEFAULT_BRIEF))


def rule_files(configuration: Configuration) -> list[Path]:
    """Shipped files first, then the user's own; by name within each folder."""
    shipped = shipped_folder("rules")
    own = configuration.rules
    folders = [shipped, own] if own.is_dir() and own.resolve() != shipped.resolve() else [shipped]
    return [path for folder in folders for path in sorted(folder.glob("*.toml"))]


def stamp_of(paths: Iterable[Path]) -> tuple[tuple[str, int], ...]:
    """Names and modification times, to see whether anything changed. What vanishes counts as a change."""
    stamps = []
    for path in paths:
        try:
            stamps.append((str(path), path.stat().st_mtime_ns))
        except OSError:
            stamps.append((str(path), 0))
    return tuple(stamps)


def load_rules(configuration: Configuration, quantities: Iterable[Quantity]) -> RulesInForce:
    """Read all rule files. A broken one is left out and named in `mistakes`; nothing is raised for it.

    Raises
    ------
    BadConfiguration
        When the shipped rules are missing.
    """
    paths = rule_files(configuration)
    stamp = stamp_of(paths)
    files, words, mistakes = _texts(paths)
    vocabulary, wrong_words = read_vocabulary(words)
    known = {quantity.name: quantity for quantity in quantities}
    rules = read_rules(files, known.values(), vocabulary)
    if not rules.genres:
        raise BadConfiguration("no sound genre is left to judge by", cure="Run: eyeline genres check FILE")
    return RulesInForce(rules, vocabulary, known, (*mistakes, *wrong_words, *rules.mistakes), stamp)


@dataclass(frozen=True, slots=True)
class Checked:
    """What is wrong because of one rule file, also in genres that inherit from it; what looks like a slip."""

    mistakes: tuple[Mistake, ...]
    doubts: tuple[Mistake, ...] = ()


def check_rule_file(path: Path, configuration: Configuration, quantities: Iterable[Quantity]) -> Checked:
    """Check the one file at `path`, read on top of all others, as it would be in the rules folder.

    Raises
    ------
    BadConfiguration
        When the file cannot be read.
    """
    try:
        file = RuleFile(str(path), read_text(path))
    except FileNotFoundError as error:
        raise BadConfiguration("there is no such file", path, "Name a rule file that exists") from error
    others = [each for each in rule_files(configuration) if each.resolve() != path.resolve()]
    genres, words, _ = _texts(others)
    if path.name == VOCABULARY_FILE:
        return Checked(read_vocabulary([*words, file])[1])
    vocabulary, _ = read_vocabulary(words)
    known = tuple(quantities)
    before = set(read_rules(genres, known, vocabulary).mistakes)
    found = read_rules([*genres, file], known, vocabulary).mistakes
    due = [each for each in found if each not in before]
    return Checked(causes(file, due, list(genre_files(genres))), doubts(file, genres))


def _texts(paths: Iterable[Path]) -> tuple[list[RuleFile], list[RuleFile], list[Mistake]]:
    """Genres, vocabularies, and a mistake for each of the files that cannot be read."""
    genres: list[RuleFile] = []
    words: list[RuleFile] = []
    mistakes: list[Mistake] = []
    for path in paths:
        try:
            file = RuleFile(str(path), read_text(path))
        except FileNotFoundError:  # it went while we looked
            continue
        except BadConfiguration as error:
            mistakes.append(Mistake(str(path), None, "", error.what))
            continue
        (words if path.name == VOCABULARY_FILE else genres).append(file)
    return genres, words, mistakes


def rules_in_force(configuration: Configuration) -> tuple[RulesInForce, tuple[str, ...]]:
    """The rules, and a sentence for each guest measure that could not be loaded."""
    guests = load_guests(BUILT_IN)
    return load_rules(configuration, _known(guests)), guests.problems


def checked(file: Path, configuration: Configuration) -> Checked:
    """Check one rule file. Raises BadConfiguration when it cannot be read."""
    return check_rule_file(file, configuration, _known(load_guests(BUILT_IN)))


def _known(guests: Guests) -> tuple[Quantity, ...]:
    """Everything that rules may name: measures of a frame, of a guest, of the set."""
    return (*quantities((*BUILT_IN, *guests.measures)), *SET_QUANTITIES)
