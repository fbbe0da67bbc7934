"""Schemas and tables of keys are those of the grammars, and a schema says what the reader says."""

from __future__ import annotations

import random
import tomllib
from copy import deepcopy
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import tomlkit

from eyeline.judging.schema import vocabulary_schema
from eyeline.judging.vocabulary import VocabularyTable
from eyeline.settings.grammar import BriefTable, ConfigurationTable, FolderFileTable
from eyeline.settings.published import schemas
from eyeline.toml_files.parse import parse
from tests.fuzz.settings import CONFIGURATION, FOLDER_FILE
from tests.published import CHECKOUT, texts, with_table

KINDS: dict[str, tuple[type, str]] = {
    "configuration.schema.json": (ConfigurationTable, CONFIGURATION.decode()),
    "folder.schema.json": (FolderFileTable, FOLDER_FILE.decode()),
    "brief.schema.json": (BriefTable, '[[brief]]\ngenre = "team page"\nsizes = ["800x800", "16 × 20"]\n'),
    "vocabulary.schema.json": (VocabularyTable, (CHECKOUT / "rules/vocabulary.toml").read_text("utf-8")),
}
SCHEMAS = {**schemas(), "vocabulary.schema.json": vocabulary_schema()}

STRANGE: tuple[Any, ...] = (
    *(True, False, -1, 0, 1, 64, 65, 0.5, 3600, 3600.5, 1001, "", " ", "x", "a\nb", "\x7f", "team page", []),
    *({}, [1], ["a"], ["a", "a"], [""], ["800x800"], ["0x5"], ["1600×2000"], [{}], [{"genre": "team page"}]),
    *("sidecar", "embedded", "append", "ask", "write", "Sidecar", [{"path": "/a"}], [{"path": 1}]),
)
MUTANTS = 120


@pytest.mark.parametrize("path", texts(), ids=lambda path: path.name)
def test_what_is_published_is_current(path: Path) -> None:
    """Written by: python -m tests.published"""
    assert path.read_text("utf-8") == texts()[path]


def test_a_table_has_exactly_one_place() -> None:
    with pytest.raises(ValueError, match="0 places"):
        with_table("no place", "keys", "| a |")


@pytest.mark.parametrize("name", KINDS)
def test_a_schema_is_a_schema_and_accepts_what_is_sound(name: str) -> None:
    """By jsonschema, an implementation of draft 2020-12 by others."""
    grammar, text = KINDS[name]
    jsonschema.Draft202012Validator.check_schema(SCHEMAS[name])
    assert not parse(name, text, grammar).mistakes
    assert not list(jsonschema.Draft202012Validator(SCHEMAS[name]).iter_errors(tomllib.loads(text)))


@pytest.mark.parametrize("name", KINDS)
def test_schema_and_reader_refuse_the_same(name: str) -> None:
    """Paths of homes that are not there, and sizes beyond all sensors, are left to the reader."""
    grammar, text = KINDS[name]
    judge, chance = jsonschema.Draft202012Validator(SCHEMAS[name]), random.Random(name)
    accepted = refused = 0
    for _ in range(MUTANTS):
        tree = mutated(tomllib.loads(text), chance)
        mistakes = parse(name, tomlkit.dumps(tree), grammar).mistakes
        wrong = [each.message for each in judge.iter_errors(tree) if each.validator != "required"]
        assert bool(mistakes) == bool(wrong), (tree, mistakes, wrong)
        accepted += not wrong
        refused += bool(wrong)
    assert min(accepted, refused) > MUTANTS / 20, "or the law was hardly tried"


def mutated(tree: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """A copy with one or two values changed, added, renamed or left out."""
    copy = deepcopy(tree)
    for _ in range(chance.choice([1, 1, 2])):
        table = chance.choice([each for each in _tables(copy) if each] or [copy])
        name = chance.choice([*table, "nonsense"])
        if name in table and chance.random() < 0.2:
            del table[name]
        else:
            table[name] = deepcopy(chance.choice(STRANGE))
    return copy


def _tables(tree: Any) -> list[dict[str, Any]]:
    inside = tree.values() if isinstance(tree, dict) else tree if isinstance(tree, list) else ()
    return [*([tree] if isinstance(tree, dict) else ()), *(each for part in inside for each in _tables(part))]
