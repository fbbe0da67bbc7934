"""From a parsed TOML text to tables of a grammar: strictly, with all mistakes at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from typing import Any, TypeVar, get_origin

import cattrs
from cattrs.cols import list_structure_factory
from cattrs.errors import (
    AttributeValidationNote,
    BaseValidationError,
    ClassValidationError,
    ForbiddenExtraKeysError,
    IterableValidationError,
)
from cattrs.gen import make_dict_structure_fn, mapping_structure_factory, override

from eyeline.toml_files.grammar import (
    PLAIN,
    Expected,
    Key,
    expected,
    is_table,
    keys_of,
    kind_of,
    shortened,
)
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.mistake import Problem

Table = TypeVar("Table")
Hook = Callable[[Any, Any], Any]


def structured(tree: dict[str, Any], kind: type[Table]) -> tuple[Table, list[Problem], list[KeyPath]]:
    """`tree` as the grammar's table `kind`, its problems, and the keys of the values that these spoil.

    Where there are problems the table is made of what is left, which `tree` is cut down to.
    """
    problems: list[Problem] = []
    spoilt: dict[KeyPath, None] = {}
    while True:  # a mistake in a key shows only once those in its value are cut out
        try:
            return _converter().structure(tree, kind), problems, list(spoilt)
        except (BaseValidationError, Expected) as error:
            found = list(_problems(error, ()))
        problems += [problem for problem, _ in found]
        before = len(spoilt)
        spoilt |= dict.fromkeys(cut(tree, key) for _, key in found)
        if len(spoilt) == before:
            raise AssertionError(f"these mistakes cannot be cut out: {problems}")


@cache
def _converter() -> cattrs.Converter:
    """The converter that accepts what a grammar says and nothing else: "0.5" is no number.

    One for all files: making it takes twenty times as long as reading a file with it.
    """
    strict = cattrs.Converter(forbid_extra_keys=True, detailed_validation=True)

    def of_table(kind: Any, converter: cattrs.Converter) -> Any:
        hooks: dict[str, Any] = {
            key.name: override(struct_hook=converter.get_structure_hook(key.kind)) for key in keys_of(kind)
        }
        return _only(dict, "a table", make_dict_structure_fn(kind, converter, **hooks))

    def of_dict(kind: Any, converter: cattrs.Converter) -> Any:
        return _only(dict, "a table", mapping_structure_factory(kind, converter))

    def of_list(kind: Any, converter: cattrs.Converter) -> Any:
        return _only(list, "a table for each, as under [[ ]]", list_structure_factory(kind, converter))

    def of_short(kind: Any, converter: cattrs.Converter) -> Any:
        table, key = _shortened(kind)
        whole, alone = converter.get_structure_hook(table), kind_of(key.kind)
        assert alone is not None, "a table that is shortened stands for one value"

        def structure(value: Any, _: Any) -> Any:
            if isinstance(value, dict):
                return whole(value, table)
            try:
                return table(**{key.name: alone.structured(value)})
            except Expected as error:
                raise expected(f"{alone.expects}, or a table", value) from error

        return structure

    strict.register_structure_hook_factory(is_table, of_table)
    strict.register_structure_hook_factory(_is(dict), of_dict)
    strict.register_structure_hook_factory(_is(list), of_list)
    for plain, kind in PLAIN.items():
        strict.register_structure_hook(plain, kind.structured)
    strict.register_structure_hook_factory(
        lambda kind: kind_of(kind) is not None,
        lambda kind: kind_of(kind).structured,  # type: ignore[union-attr]
    )
    strict.register_structure_hook_factory(lambda kind: shortened(kind) is not None, of_short)
    return strict


def _shortened(kind: Any) -> tuple[type, Key]:
    found = shortened(kind)
    assert found is not None
    return found


def _is(container: type) -> Callable[[Any], bool]:
    return lambda kind: get_origin(kind) is container


def _only(container: type, what: str, read: Hook) -> Hook:
    """`read` for a `container`, and a refusal of all else: an iteration over text would find letters."""

    def structure(value: Any, kind: Any) -> Any:
        if not isinstance(value, container):
            raise expected(what, value)
        return read(value, kind)

    return structure


def _problems(error: BaseException, key: KeyPath) -> Iterator[tuple[Problem, KeyPath]]:
    """Everything that `error` of a structuring holds: each problem, and the key of the value it spoils."""
    if isinstance(error, Expected):
        for each in error.problems:
            yield replace(each, key=(*key, *each.key)), key
    elif isinstance(error, ForbiddenExtraKeysError):
        known = tuple(each.name for each in keys_of(error.cl))
        for name in sorted(error.extra_fields):
            yield Problem((*key, name), "unknown key", name, known), (*key, name)
    elif isinstance(error, ClassValidationError | IterableValidationError):
        noted, plain = error.group_exceptions()
        for inner, note in noted:
            step: Any = note.name if isinstance(note, AttributeValidationNote) else note.index
            yield from _problems(inner, (*key, step))
        for inner in plain:
            yield from _problems(inner, key)
    else:
        raise error


def cut(tree: dict[str, Any], key: KeyPath) -> KeyPath:
    """Take the value at `key` out of `tree`, or all of the list whose element it is; returns what went."""
    while key and isinstance(key[-1], int):
        key = key[:-1]
    inner: Any = tree
    for part in key[:-1]:
        try:
            inner = inner[part]
        except (KeyError, IndexError, TypeError):  # that went with another mistake
            return key
    if key and isinstance(inner, dict):
        inner.pop(key[-1], None)
    return key
