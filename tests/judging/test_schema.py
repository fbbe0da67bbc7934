"""The published JSON Schema is the grammar's own, and it says what the parser says."""

import random
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

import pytest
import tomlkit

from eyeline.judging.grammar import GenreTable
from eyeline.judging.name_check import NOT_JUDGED
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import read_rules
from eyeline.judging.schema import genre_schema
from eyeline.measuring.catalogue import BUILT_IN, quantities
from eyeline.sitting.quantities import SET_QUANTITIES
from eyeline.toml_files.parse import parse
from tests.judging.shipped import QUANTITIES, shipped_files, vocabulary


def published() -> dict[str, Any]:
    """The schema with all that eyeline brings, for editors to offer."""
    known = (*quantities(BUILT_IN), *SET_QUANTITIES)
    return genre_schema([each.name for each in known if each.unit not in NOT_JUDGED], vocabulary().ids)


def test_an_editor_offers_measures_and_keywords_and_takes_a_guests() -> None:
    jsonschema = pytest.importorskip("jsonschema")
    text = 'name = "x"\nkeyword = "my own"\n[criteria.a]\nmeasure = "monochrome"\nat_least = 1\nworst = 0\n'
    assert not list(jsonschema.Draft202012Validator(published()).iter_errors(tomllib.loads(text)))
    assert "headroom" in published()["$defs"]["measure"]["anyOf"][0]["enum"]
    assert "series_rank" not in published()["$defs"]["measure"]["anyOf"][0]["enum"]
    assert "tight crop" in published()["$defs"]["keyword"]["anyOf"][0]["enum"]


def test_the_schema_accepts_every_shipped_genre() -> None:
    jsonschema = pytest.importorskip("jsonschema")
    validator = jsonschema.Draft202012Validator(genre_schema())
    for file in shipped_files():
        faults = [error.message for error in validator.iter_errors(tomllib.loads(file.text))]
        assert faults == [], file.name


@pytest.mark.parametrize(
    "text",
    [
        "inherit = 'x'",
        "floor = 2",
        "floor = true",
        "criteria.headroom.between = [0.1]",
        "criteria.headroom.weight = '2'",
        "faults.x.when = { measure = 'gaze' }",
        "faults.x.when = { measure = 'gaze', iz = 'left' }",
        "crops.formats.'4x5' = { pixels = [1, 1] }",
    ],
)
def test_the_schema_refuses_what_the_parser_refuses(text: str) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    validator = jsonschema.Draft202012Validator(genre_schema())
    assert list(validator.iter_errors(tomllib.loads(text)))


STRANGE: tuple[Any, ...] = (
    *(True, False, -1, 0, 1, 2, 0.5, 1.5, -0.25, 10**20, "", "x", "4:5", "gaze", "headshot", [], {}),
    *([0.1], [0.1, 0.2], [0.2, 0.1], [1, 2], [0, 10], [1, 2, 3], ["left", "right"], ["left", 1]),
    *({"off": True}, {"off": False}, {"off": True, "weight": 1}, {"measure": "gaze", "is": "left"}),
    {"measure": "gaze", "is": "left", "below": 1},
    {"all": []},
    {"all": [{"measure": "people", "above": 1}]},
    {"not": {"measure": "people", "missing": True}},
    {"any": [{"measure": "people", "between": [1, 2]}], "not": {}},
    {"pixels": [10, 20]},
    {"pixels": [10, 20.5]},
)
"""Values that fit somewhere in a rule file, or nowhere."""

MUTANTS = 150
NAMES = (
    "weight",
    "between",
    "limits",
    "shape",
    "off",
    "when",
    "words",
    "either",
    "says",
    "weigth",
    "4x5",
    "07:5",
)


def tables(tree: Any) -> Iterator[dict[str, Any]]:
    """All tables of a tree, itself first."""
    if isinstance(tree, dict):
        yield tree
        for each in tree.values():
            yield from tables(each)
    elif isinstance(tree, list):
        for each in tree:
            yield from tables(each)


def mutated(tree: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """A copy with one or two values changed, added, renamed or left out."""
    copy = deepcopy(tree)
    for _ in range(chance.choice([1, 1, 2])):
        table = chance.choice(list(tables(copy)))
        name = chance.choice([*table, chance.choice(NAMES)])
        if name in table and chance.random() < 0.3:
            value = table.pop(name)
            if chance.random() < 0.7:
                table[chance.choice(NAMES)] = value
        elif name in table and chance.random() < 0.5:
            alike = [each for each in STRANGE if type(each) is type(table[name])]
            table[name] = deepcopy(chance.choice(alike or STRANGE))
        else:
            table[name] = deepcopy(chance.choice(STRANGE))
    return copy


def test_what_the_parser_accepts_the_schema_accepts_and_what_the_schema_refuses_the_parser_refuses() -> None:
    """The two halves are one law."""
    jsonschema = pytest.importorskip("jsonschema")
    judge, chance = validator(jsonschema), random.Random(11)
    accepted = refused = 0
    for _ in range(MUTANTS):
        text = tomlkit.dumps(mutated(tomllib.loads(chance.choice(shipped_files()).text), chance))
        mistakes = parse("mine.toml", text, GenreTable).mistakes
        wrong = [each.message for each in judge.iter_errors(tomllib.loads(text))]
        assert mistakes or not wrong, (text, wrong)
        accepted += not mistakes
        refused += bool(wrong)
    assert min(accepted, refused) > MUTANTS / 10, "or the law was hardly tried"


@pytest.mark.parametrize("name", ["4x5", "07:5", "0:5", "4:5 ", "4:", "100000:1"])
def test_a_format_that_the_schema_refuses_is_a_mistake(name: str) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    text = f'name = "corporate headshot"\n[crops.formats]\n"{name}" = {{ pixels = [10, 10] }}\n'
    found = read_rules([*shipped_files(), RuleFile("mine.toml", text)], QUANTITIES.values(), vocabulary())
    assert any(each.file == "mine.toml" and each.line == 3 for each in found.mistakes)
    assert list(validator(jsonschema).iter_errors(tomllib.loads(text)))


def validator(jsonschema: Any) -> Any:
    return jsonschema.Draft202012Validator(published())
