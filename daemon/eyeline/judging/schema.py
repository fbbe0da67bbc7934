"""The JSON Schema of a genre file, from the grammar itself, so that editors complete and check."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from typing import Any, get_args, get_origin

from eyeline.judging.condition import COMPARISONS
from eyeline.judging.grammar import (
    FORMAT_NAME,
    GenreTable,
    Pixels,
    Range,
    Shape,
    Share,
    When,
    WhenOrOff,
)

_SHARE = {"type": "number", "minimum": 0, "maximum": 1}
_NUMBERS = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
_CONDITION = {"$ref": "#/$defs/condition"}

_NAMED = {"measure": {"$ref": "#/$defs/measure"}, "keyword": {"$ref": "#/$defs/keyword"}}
"""Keys whose values are names."""

_LEAVES: dict[Any, dict[str, Any]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    Share: _SHARE,
    Range: _NUMBERS,
    Shape: {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, _NUMBERS]},
    Pixels: {**_NUMBERS, "items": {"type": "integer", "minimum": 1}},
    When: _CONDITION,
    WhenOrOff: {"anyOf": [_CONDITION, {"$ref": "#/$defs/off"}]},
}


def genre_schema(measures: Iterable[str] = (), keywords: Iterable[str] = ()) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a genre file.

    What only several files together can show (unknown measures and keywords, a fault without a
    condition) is left to `read_rules`: `measures` and `keywords` are names for an editor to offer.
    """
    definitions: dict[str, Any] = {
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
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "eyeline genre",
        **_table(GenreTable, definitions),
        "$defs": definitions,
    }


def _offered(names: Iterable[str]) -> dict[str, Any]:
    """Any text; an editor offers `names`. Guests bring measures of their own."""
    known = sorted(names)
    return {"anyOf": [{"enum": known}, {"type": "string"}]} if known else {"type": "string"}


def _table(kind: type, definitions: dict[str, Any]) -> dict[str, Any]:
    hints = typing.get_type_hints(kind, include_extras=True)
    properties = {}
    for each in fields(kind):
        annotated, meaning = get_args(hints[each.name])
        value = _NAMED.get(each.name) or _value(annotated, definitions)
        properties[each.name] = {"description": meaning, **value}
    return {
        "description": (kind.__doc__ or "").strip(),
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
    }


def _value(kind: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    origin = get_origin(kind)
    if origin in (types.UnionType, typing.Union):
        there = [each for each in get_args(kind) if each is not type(None)]
        return _value(there[0], definitions)
    if origin is dict:
        names = (
            {"pattern": f"^{FORMAT_NAME.pattern}$"} if get_args(kind)[1].__name__ == "FormatTable" else None
        )
        table = {"type": "object", "additionalProperties": _value(get_args(kind)[1], definitions)}
        return {**table, "propertyNames": names} if names else table
    if origin is list:
        return {"type": "array", "items": _value(get_args(kind)[0], definitions)}
    if kind in _LEAVES:
        return _LEAVES[kind]
    if isinstance(kind, type) and is_dataclass(kind):
        name = kind.__name__.removesuffix("Table").lower()
        if name not in definitions:
            definitions[name] = {}  # stands in, should a table hold itself
            definitions[name] = _table(kind, definitions)
        return {"$ref": f"#/$defs/{name}"}
    raise TypeError(f"the grammar has a kind of value that the schema does not know: {kind}")


def _condition() -> dict[str, Any]:
    word = {"type": "string"}
    words = {"type": "array", "items": word, "minItems": 1}
    equal = {"anyOf": [word, words, {"type": "number"}, {"type": "boolean"}]}
    operands: dict[str, Any] = {name: {"type": "number"} for name in COMPARISONS}
    operands |= {"is": equal, "is_not": equal, "between": _NUMBERS, "missing": {"type": "boolean"}}
    comparison = {
        "type": "object",
        "properties": {"measure": _NAMED["measure"], "ignore_sign": {"type": "boolean"}, **operands},
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
