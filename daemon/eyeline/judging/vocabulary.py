"""The vocabulary: the words that may be written as keywords, with translations."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Annotated

from eyeline.judging.rule_file import RuleFile
from eyeline.toml_files.mistake import Mistake, Problem
from eyeline.toml_files.parse import NoToml, parse

ENGLISH = "en"
LONGEST_KEYWORD = 64
"""IPTC IIM caps a keyword at 64 octets (IIM 4.2, dataset 2:25); XMP has no limit, but readers map both."""

_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")


@dataclass(frozen=True, slots=True)
class WordTable:
    """One word. Translations stand under `in`, by language code."""

    write: Annotated[str | None, "what to write instead, in every language: your own name for it"] = None
    translations: Annotated[dict[str, str], "the word in other languages, by code: de, fr"] = field(
        default_factory=dict
    )
    working: Annotated[bool | None, "true = a working word, stripped from delivered files"] = None


@dataclass(frozen=True, slots=True)
class VocabularyTable:
    """The vocabulary file. The earlier a word stands in its file, the surer it is written."""

    prefix: Annotated[str | None, "put before every keyword"] = None
    language: Annotated[str | None, "language to write in: en, de, fr"] = None
    words: Annotated[dict[str, WordTable], "the words, by their English name, which rules use"] = field(
        default_factory=dict
    )


@dataclass(frozen=True, slots=True)
class Word:
    """`id`: the English word that rule files use; `text`: what is written, without prefix."""

    id: str
    text: str
    working: bool


@dataclass(frozen=True)
class Vocabulary:
    """All words, the surest first, and the prefix that is written before each."""

    words: tuple[Word, ...]
    prefix: str = ""

    @cached_property
    def ids(self) -> tuple[str, ...]:
        """The names that rule files may use; when too many apply to a frame, the first are kept."""
        return tuple(word.id for word in self.words)

    def written(self, ids: Iterable[str]) -> tuple[str, ...]:
        """The keywords as they are written, in the order of `ids`."""
        return tuple(self._texts[each] for each in ids)

    @cached_property
    def _texts(self) -> dict[str, str]:
        return {word.id: self.prefix + word.text for word in self.words}

    @property
    def working(self) -> frozenset[str]:
        """The working words as they are written: stripped from delivered files."""
        return frozenset(self.prefix + word.text for word in self.words if word.working)


def read_vocabulary(files: Sequence[RuleFile]) -> tuple[Vocabulary, tuple[Mistake, ...]]:
    """The vocabulary of `files`, later ones changing earlier ones word by word.

    A file with mistakes is left out as a whole; all its mistakes are returned.
    """
    mistakes: list[Mistake] = []
    prefix, language = "", ENGLISH
    words: dict[str, dict[str, str]] = {}
    own: dict[str, str] = {}
    working: dict[str, bool] = {}
    for file in files:
        try:
            parsed = parse(file.name, file.text, VocabularyTable)
        except NoToml as error:
            mistakes.append(error.mistake)
            continue
        table = parsed.table
        parsed.problems += _problems(table)
        mistakes += parsed.mistakes
        if parsed.problems:
            continue
        prefix = prefix if table.prefix is None else table.prefix
        language = language if table.language is None else table.language
        for name, word in table.words.items():
            words.setdefault(name, {}).update(word.translations)
            if word.write is not None:
                own[name] = word.write
            if word.working is not None:
                working[name] = word.working
    return (
        Vocabulary(
            tuple(
                Word(name, own.get(name) or translations.get(language) or name, working.get(name, False))
                for name, translations in words.items()
            ),
            prefix,
        ),
        tuple(mistakes),
    )


def _problems(table: VocabularyTable) -> list[Problem]:
    prefix = table.prefix or ""
    found: list[Problem] = []
    if table.language is not None and not _LANGUAGE.fullmatch(table.language):
        found.append(Problem(("language",), "expected a language code such as de"))
    for name, word in table.words.items():
        texts = {("words", name): name, ("words", name, "write"): word.write or name}
        for code, text in word.translations.items():
            if not _LANGUAGE.fullmatch(code):
                found.append(Problem(("words", name, "translations", code), "expected a language code"))
            texts["words", name, "translations", code] = text
        for key, text in texts.items():
            if not text.strip() or text != text.strip() or not text.isprintable():
                found.append(Problem(key, "expected a word without blanks around it, on one line"))
            elif len((prefix + text).encode()) > LONGEST_KEYWORD:
                found.append(Problem(key, f"a keyword has at most {LONGEST_KEYWORD} bytes with its prefix"))
    return found
