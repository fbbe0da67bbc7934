"""What a pass came to, as a table for people, and as lines for programs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path

from rich.console import Console
from rich.table import Table

from eyeline.cli.words import best_crop, outcome_words, stars
from eyeline.errors import printable
from eyeline.judging.rulebook import Rulebook
from eyeline.ledger.records import Decision


def print_table(console: Console, decisions: Iterable[Decision], beside: Path | None = None) -> None:
    """One row a photo: name, stars, keywords, genre served, best crop."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("photo", "stars", "genre served", "keywords", "best crop"):
        table.add_column(heading, overflow="fold", no_wrap=heading == "stars")
    for decision in decisions:
        verdict = decision.verdict
        table.add_row(
            printable(name_of(decision.path, beside)),
            stars(verdict.stars),
            verdict.genre or "–",
            ", ".join(verdict.keywords),
            best_crop(verdict),
        )
    console.print(table, markup=False)


def summary(decisions: Iterable[Decision]) -> str:
    """How many photos, by stars and by what became of their sidecars, in one sentence."""
    decisions = list(decisions)
    by_stars = Counter(decision.verdict.stars for decision in decisions)
    by_outcome = Counter(decision.outcome for decision in decisions)
    counted = ", ".join(
        f"{by_stars[number]} × {stars(number) if number is not None else 'no portrait'}"
        for number in (5, 4, 3, 2, 1, None)
        if by_stars[number]
    )
    wrote = ", ".join(f"{count} {outcome_words(outcome)}" for outcome, count in by_outcome.most_common())
    photos = "1 photo" if len(decisions) == 1 else f"{len(decisions)} photos"
    return f"{photos}: {counted}. Sidecars: {wrote}." if decisions else "No photos."


def cautions(decisions: Iterable[Decision], genres: Mapping[str, Rulebook]) -> list[str]:
    """What is to be said wherever verdicts of these genres are shown, a line a genre."""
    served = sorted({decision.verdict.genre for decision in decisions}.intersection(genres))
    return [f"Caution, {name}: {genres[name].caution}" for name in served if genres[name].caution]


def name_of(path: Path, beside: Path | None) -> str:
    """The path as short as it can be said from `beside`."""
    return str(path.relative_to(beside)) if beside is not None and path.is_relative_to(beside) else str(path)
