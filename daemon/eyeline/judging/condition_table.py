"""Conditions as rule files write them."""

from __future__ import annotations

from typing import Any

from eyeline.judging.condition import COMPARISONS, Comparison, Condition, Every, Not, Some
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.mistake import Problem
from eyeline.toml_files.values import is_number, named, shown

EXAMPLE = '{ measure = "gaze", is = "left" }'


def condition(value: Any, key: KeyPath, problems: list[Problem]) -> Condition | None:
    """The condition in `value`; what is wrong with it is added to `problems`."""
    if not isinstance(value, dict) or not value:
        problems.append(Problem(key, f"expected a condition, as in {EXAMPLE}, found {named(value)}"))
        return None
    if len(value) == 1 and (joint := next(iter(value))) in ("all", "any", "not"):
        if joint == "not":
            part = condition(value["not"], (*key, "not"), problems)
            return None if part is None else Not(part)
        listed = value[joint]
        if not isinstance(listed, list) or not listed:
            problems.append(Problem((*key, joint), f"expected a list of conditions, found {named(listed)}"))
            return None
        parts = [condition(each, (*key, joint, place), problems) for place, each in enumerate(listed)]
        there = tuple(part for part in parts if part is not None)
        return Every(there) if joint == "all" else Some(there)
    return _comparison(value, key, problems)


def _comparison(value: dict[str, Any], key: KeyPath, problems: list[Problem]) -> Comparison | None:
    known = ("measure", "ignore_sign", *COMPARISONS)
    before = len(problems)
    for name in value:
        if name not in known:
            every = (*known, "all", "any", "not")
            problems.append(Problem((*key, name), "unknown word in a condition", name, every))
    if not isinstance(value.get("measure"), str):
        problems.append(Problem(key, "a condition needs a measure"))
    if not isinstance(value.get("ignore_sign", False), bool):
        problems.append(Problem((*key, "ignore_sign"), "expected true or false"))
    used = [name for name in COMPARISONS if name in value]
    if len(used) != 1:
        count = "no comparison" if not used else f"{len(used)} comparisons ({', '.join(used)})"
        problems.append(Problem(key, f"a condition needs one of {', '.join(COMPARISONS)}; this has {count}"))
    if len(problems) > before:
        return None
    name, operand = used[0], value[used[0]]
    words: tuple[str, ...] = ()
    low = high = 0.0
    expected = ""
    if name in ("is", "is_not"):
        if isinstance(operand, str):
            words = (operand,)
        elif isinstance(operand, list) and operand and all(isinstance(each, str) for each in operand):
            words = tuple(operand)
        elif isinstance(operand, bool) or is_number(operand):
            low = float(operand)
        else:
            expected = "a word, a list of words, a number, true or false"
    elif name == "between":
        if isinstance(operand, list) and len(operand) == 2 and all(map(is_number, operand)):
            low, high = float(operand[0]), float(operand[1])
        if not low < high:
            expected = "two numbers, the smaller first"
    elif name == "missing":
        low = float(operand) if isinstance(operand, bool) else 0.0
        expected = "" if isinstance(operand, bool) else "true or false"
    elif is_number(operand):
        low = float(operand)
    else:
        expected = "a number"
    if expected:
        problems.append(Problem((*key, name), f"expected {expected}, found {named(operand)}"))
        return None
    text = " or ".join(words) or shown(operand)
    return Comparison(value["measure"], name, words, low, high, value.get("ignore_sign", False), text)
