"""Values as tomllib gives them."""

from __future__ import annotations

from typing import Any


def shown(value: Any) -> str:
    """A TOML value as one would write it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {shown(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(shown(each) for each in value) + "]"
    return '"' + value + '"' if isinstance(value, str) else str(value)


def is_number(value: Any) -> bool:
    """A TOML integer or float that is finite; true and false are no numbers."""
    return isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < float("inf")
