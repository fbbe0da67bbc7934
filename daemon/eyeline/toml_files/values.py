"""Values as tomllib gives them."""

from __future__ import annotations

from math import isfinite
from typing import Any

from eyeline.errors import printable

DEEPEST_SHOWN = 8
"""Levels of tables and arrays that are written out: rules have three."""

LARGEST_SHOWN_BITS = 1024
"""Size of a whole number that is written out; Python itself refuses some thousand digits."""

LONGEST_NAMED = 80
"""Characters of a name or value in a message: one line of a terminal."""


def shown(value: Any, levels: int = DEEPEST_SHOWN) -> str:
    """A TOML value as one would write it, on one line; what is nested too deep or too large is left out."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict | list) and levels == 0:
        return "…"
    if isinstance(value, dict):
        inside = (f"{printable(key)} = {shown(each, levels - 1)}" for key, each in value.items())
        return "{ " + ", ".join(inside) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(shown(each, levels - 1) for each in value) + "]"
    if isinstance(value, int) and value.bit_length() > LARGEST_SHOWN_BITS:
        return "a number of hundreds of digits"
    return '"' + printable(value) + '"' if isinstance(value, str) else str(value)


def named(value: Any) -> str:
    """`value` as a message names it: as `shown`, but no longer than a line."""
    return cut_short(shown(value))


def cut_short(text: str) -> str:
    """`text`, or its start and end where it is longer than a message bears."""
    half = LONGEST_NAMED // 2 - 1
    return text if len(text) <= LONGEST_NAMED else f"{text[:half]}…{text[-half:]}"


def is_number(value: Any) -> bool:
    """A TOML integer or float that is finite; true and false are no numbers."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    try:
        return isfinite(value)
    except OverflowError:  # a whole number beyond all floats
        return False


def is_whole_number(value: Any) -> bool:
    """A TOML integer; true and false are none."""
    return isinstance(value, int) and not isinstance(value, bool)
