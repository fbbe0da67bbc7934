"""One rule file as text."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RuleFile:
    """The text of a rule file and the `name` by which people know it, usually its path."""

    name: str
    text: str
