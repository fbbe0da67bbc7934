"""The JSON Schema (draft 2020-12) of a grammar, so that editors complete and check."""

from __future__ import annotations

from typing import Any, get_args, get_origin

from eyeline.toml_files.grammar import REQUIRED, is_table, keys_of, kind_of, shortened


def schema_of(table: type, title: str, definitions: dict[str, Any] | None = None) -> dict[str, Any]:
    """The schema of files whose grammar is `table`.

    `definitions`: what its kinds refer to as `#/$defs/...`. Mistakes that only the meaning of values shows
    (an unknown genre, two lines for one) are left to whoever reads the file.
    """
    named = dict(definitions or {})
    body = _table(table, named)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        **body,
        **({"$defs": named} if named else {}),
    }


def _table(table: type, definitions: dict[str, Any]) -> dict[str, Any]:
    keys = keys_of(table)
    properties = {
        each.name: {"description": each.description, **_value(each.kind, definitions)} for each in keys
    }
    required = [each.name for each in keys if each.default is REQUIRED]
    return {
        "description": (table.__doc__ or "").strip(),
        "type": "object",
        "properties": properties,
        **({"required": required} if required else {}),
        "additionalProperties": False,
    }


def _value(annotation: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    if (kind := kind_of(annotation)) is not None:
        return dict(kind.schema)
    if (short := shortened(annotation)) is not None:
        inner, key = short
        return {"anyOf": [_value(key.kind, definitions), _value(inner, definitions)]}
    if is_table(annotation):
        name = annotation.__name__.removesuffix("Table").lower()
        if name not in definitions:
            definitions[name] = {}  # stands in, should a table hold itself
            definitions[name] = _table(annotation, definitions)
        return {"$ref": f"#/$defs/{name}"}
    if get_origin(annotation) is list:
        return {"type": "array", "items": _value(get_args(annotation)[0], definitions)}
    if get_origin(annotation) is dict:
        name, value = get_args(annotation)
        table = {"type": "object", "additionalProperties": _value(value, definitions)}
        return table if name is str else {**table, "propertyNames": _value(name, definitions)}
    raise TypeError(f"the grammar has a kind of value that the schema does not know: {annotation}")
