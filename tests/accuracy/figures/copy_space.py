"""The free side: against the label of the set, and against the contract's own words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from tests.accuracy.copy_space_reference import copy_space_by_contract, mask_of, word
from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair

GOAL = 0.95

WORDS = ("left", "right", "both", "none")

CONFUSION_HEADINGS = ("copy_space", *(f"found {word}" for word in WORDS))


def copy_space_rows(pairs: Sequence[Pair]) -> list[Row]:
    """Share of words that are right, by the label and, where the sitters' masks are at hand, by the contract.

    The label knows how the frame was composed, not whether text can be read there; the contract asks for
    that, and for a rectangle of 12 % of the frame where the label has 30 % of the width.
    """
    rows = [_row("copy_space word, by the label", _words(pairs, label_word))]
    masked = [pair for pair in pairs if mask_of(pair.portrait) is not None]
    if masked:
        rows.append(_row("copy_space word, by the contract", _words(masked, contract_word)))
    return rows


def copy_space_confusion(pairs: Sequence[Pair]) -> list[tuple[str, ...]]:
    """True word by found word: by the label, then by the contract."""
    lines = []
    masked = [pair for pair in pairs if mask_of(pair.portrait) is not None]
    for name, of, true_word in (("label", pairs, label_word), ("contract", masked, contract_word)):
        counts = Counter(_words(of, true_word))
        for true in WORDS:
            found = [counts[true, each] for each in WORDS]
            if any(found):
                lines.append((f"{true} by the {name}", *(str(count) if count else "" for count in found)))
    return lines


def label_word(pair: Pair) -> str:
    """The sides that the frame was composed with."""
    sides = pair.portrait.truth["empty_sides"]
    return "both" if len(sides) == 2 else str(sides[0]) if sides else "none"


def contract_word(pair: Pair) -> str:
    return word(copy_space_by_contract(pair.portrait))


def _words(pairs: Sequence[Pair], true_word: Callable[[Pair], str]) -> list[tuple[str, str | None]]:
    return [
        (true_word(pair), None if (found := pair.value("copy_space")) is None else str(found))
        for pair in pairs
        if pair.portrait.truth["people_count"] == 1 and pair.person is not None
    ]


def _row(name: str, words: Sequence[tuple[str, str | None]]) -> Row:
    known = [(true, found) for true, found in words if found is not None]
    right = sum(true == found for true, found in known) / len(known) if known else 0.0
    return Row(name, len(words), len(known) / len(words), f"{right:.1%} right", f"{GOAL:.0%}", right >= GOAL)
