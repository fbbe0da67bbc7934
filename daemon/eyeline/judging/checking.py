"""How a parsed TOML text becomes tables of the grammar: strictly, with all mistakes at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

import cattrs
from cattrs.errors import (
    BaseValidationError,
    ClassValidationError,
    ForbiddenExtraKeysError,
    IterableValidationError,
)
from cattrs.gen import make_dict_structure_fn

from eyeline.judging.condition_table import condition
from eyeline.judging.grammar import Pixels, Range, Shape, Share, When, WhenOrOff
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.mistake import Problem, nearest
from eyeline.toml_files.value import is_number, shown


class Expected(ValueError):
    """A value is of the wrong kind. `problems` are relative to the value's own key."""

    def __init__(self, *problems: Problem) -> None:
        self.problems = problems
        super().__init__("; ".join(each.text for each in problems))


def _expect(what: str, found: Any) -> Expected:
    return Expected(Problem((), f"expected {what}, found {shown(found)}"))


def _number(value: Any, _: Any = None) -> float:
    if not is_number(value):
        raise _expect("a number", value)
    return float(value)


def _whole_number(value: Any, _: Any = None) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise _expect("a whole number", value)
    return value


def _text(value: Any, _: Any = None) -> str:
    if not isinstance(value, str):
        raise _expect("a text in quotes", value)
    return value


def _flag(value: Any, _: Any = None) -> bool:
    if not isinstance(value, bool):
        raise _expect("true or false", value)
    return value


def _share(value: Any, _: Any = None) -> Share:
    if not is_number(value) or not 0 <= value <= 1:
        raise _expect("a number from 0 to 1", value)
    return Share(float(value))


def _range(value: Any, _: Any = None) -> Range:
    if not isinstance(value, list) or len(value) != 2 or not all(map(is_number, value)):
        raise _expect("two numbers, as in [0.06, 0.12]", value)
    if value[0] > value[1]:
        raise _expect("the smaller number first", value)
    return Range(float(value[0]), float(value[1]))


def _shape(value: Any, _: Any = None) -> Shape:
    pair = value if isinstance(value, list) else [value, value]
    if len(pair) != 2 or not all(is_number(each) and each > 0 for each in pair):
        raise _expect("a number above 0, or two", value)
    return Shape(float(pair[0]), float(pair[1]))


def _pixels(value: Any, _: Any = None) -> Pixels:
    pair = value if isinstance(value, list) and len(value) == 2 else [0, 0]
    if not all(isinstance(each, int) and not isinstance(each, bool) and each > 0 for each in pair):
        raise _expect("width and height in pixels, as in [1600, 2000]", value)
    return Pixels(pair[0], pair[1])


def _when(value: Any, _: Any = None) -> When:
    problems: list[Problem] = []
    parsed = condition(value, (), problems)
    if problems or parsed is None:
        raise Expected(*problems)
    return When(parsed)


def _when_or_off(value: Any, _: Any = None) -> WhenOrOff:
    return WhenOrOff(None) if value == {"off": True} else WhenOrOff(_when(value).condition)


@cache
def converter() -> cattrs.Converter:
    """The converter that accepts what the grammar says and nothing else: "0.5" is no number.

    One for all files: making it takes twenty times as long as reading a file with it.
    """
    strict = cattrs.Converter(forbid_extra_keys=True, detailed_validation=True)
    checks: dict[Any, Callable[[Any, Any], Any]] = {
        float: _number,
        int: _whole_number,
        str: _text,
        bool: _flag,
        Share: _share,
        Range: _range,
        Shape: _shape,
        Pixels: _pixels,
        When: _when,
        WhenOrOff: _when_or_off,
    }

    def table_hook(kind: Any, conversion: cattrs.Converter) -> Callable[[Any, Any], Any]:
        inner = make_dict_structure_fn(
            kind, conversion, _cattrs_forbid_extra_keys=True, _cattrs_detailed_validation=True
        )

        def structure(value: Any, as_type: Any) -> Any:
            if not isinstance(value, dict):
                raise _expect("a table", value)
            return inner(value, as_type)

        return structure

    strict.register_structure_hook_factory(lambda kind: is_dataclass(kind) and kind not in checks, table_hook)
    for kind, check in checks.items():
        strict.register_structure_hook(kind, check)
    return strict


def problems_of(error: BaseException, key: KeyPath = ()) -> list[Problem]:
    """Everything that `error` of a structuring holds, flattened, each with its key."""
    if isinstance(error, Expected):
        return [Problem((*key, *each.key), each.text, each.nearest) for each in error.problems]
    if isinstance(error, ForbiddenExtraKeysError):
        known = [each.name for each in fields(error.cl)]
        return [
            Problem((*key, name), f"unknown key; known here are {', '.join(known)}", nearest(name, known))
            for name in sorted(error.extra_fields)
        ]
    if isinstance(error, (ClassValidationError, IterableValidationError)):
        noted, plain = error.group_exceptions()
        found: list[Problem] = []
        for inner, note in noted:
            step = note.name if hasattr(note, "name") else note.index
            found += problems_of(inner, (*key, step))
        for inner in plain:
            found += problems_of(inner, key)
        return found
    if isinstance(error, BaseValidationError):
        return [problem for inner in error.exceptions for problem in problems_of(inner, key)]
    if isinstance(error, (AttributeError, TypeError)):
        return [Problem(key, "expected a table or a list")]
    raise error
