"""The JSON Schema of a genre file, from the grammar itself, so that editors complete and check."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from eyeline.judging.condition import COMPARISONS
from eyeline.judging.grammar import NUMBERS, GenreTable
from eyeline.judging.vocabulary import VocabularyTable
from eyeline.toml_files.schema import schema_of

_MEASURE = {"$ref": "#/$defs/measure"}
_CONDITION = {"$ref": "#/$defs/condition"}


def genre_schema(measures: Iterable[str] = (), keywords: Iterable[str] = ()) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a genre file.

    What only several files together can show (unknown measures and keywords, a fault without a
    condition) is left to `read_rules`: `measures` and `keywords` are names for an editor to offer.
    """
    definitions = {
        "measure": _offered(measures),
        "keyword": _offered(keywords),
        "condition": _condition(),
        "off": {
            "description": "what is inherited does not apply",
            "type": "object",
            "properties": {"off": {"const": True}},
            "required": ["off"],
            "additionalProperties": False,
        },
    }
    return schema_of(GenreTable, "eyeline genre", definitions)


def vocabulary_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a vocabulary file."""
    return schema_of(VocabularyTable, "eyeline vocabulary")


def _offered(names: Iterable[str]) -> dict[str, Any]:
    """Any text; an editor offers `names`. Guests bring measures of their own."""
    known = sorted(names)
    return {"anyOf": [{"enum": known}, {"type": "string"}]} if known else {"type": "string"}


def _condition() -> dict[str, Any]:
    word = {"type": "string"}
    words = {"type": "array", "items": word, "minItems": 1}
    equal = {"anyOf": [word, words, {"type": "number"}, {"type": "boolean"}]}
    operands: dict[str, Any] = {name: {"type": "number"} for name in COMPARISONS}
    operands |= {"is": equal, "is_not": equal, "between": NUMBERS, "missing": {"type": "boolean"}}
    comparison = {
        "type": "object",
        "properties": {"measure": _MEASURE, "ignore_sign": {"type": "boolean"}, **operands},
        "required": ["measure"],
        "oneOf": [{"required": [name]} for name in COMPARISONS],
        "additionalProperties": False,
    }
    parts = {"type": "array", "items": _CONDITION, "minItems": 1}
    joints = [
        {
            "type": "object",
            "properties": {name: inner},
            "required": [name],
            "additionalProperties": False,
        }
        for name, inner in (("all", parts), ("any", parts), ("not", _CONDITION))
    ]
    return {
        "description": "a measure, a comparison, a value; all, any, not",
        "anyOf": [comparison, *joints],
    }
