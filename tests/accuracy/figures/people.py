"""Whether the sitter is found, and how many faces are counted."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair
from tests.accuracy.portraits import Person


def found_rows(pairs: Sequence[Pair]) -> list[Row]:
    """Sitter found, by size of head and by yaw; in a group, somebody of it."""
    classes: list[tuple[str, float, Callable[[Person], bool]]] = [
        ("found, head ≥ 8 %, yaw to 30°", 0.99, lambda p: _head(p) >= 0.08 and abs(p.head_yaw_los) <= 30),
        (
            "found, head ≥ 8 %, yaw 30 to 60°",
            0.97,
            lambda p: _head(p) >= 0.08 and 30 < abs(p.head_yaw_los) <= 60,
        ),
        ("found, head 5 to 8 %", 0.98, lambda p: 0.05 <= _head(p) < 0.08),
    ]
    rows = []
    for name, goal, belongs in classes:
        of_class = [
            pair
            for pair in pairs
            if any(belongs(person) for person in pair.portrait.people)
            and all(person.eyes_visible for person in pair.portrait.people)
        ]
        if of_class:
            share = sum(pair.person is not None for pair in of_class) / len(of_class)
            rows.append(Row(name, len(of_class), None, f"{share:.1%}", f"{goal:.0%}", share >= goal))
    return rows


def _head(person: Person) -> float:
    return float(person.head_height_with_hair)


def people_row(pairs: Sequence[Pair]) -> Row:
    """Faces counted."""
    right = sum(pair.value("people") == pair.portrait.truth["people_count"] for pair in pairs)
    return Row("people", len(pairs), None, f"{right / len(pairs):.1%} right", "", None)
