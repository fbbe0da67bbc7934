"""What a pass came to, as a table for people, and as lines for programs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from rich.console import Console
from rich.table import Table

from eyeline.cli.words import outcome_words, stars
from eyeline.errors import printable
from eyeline.judging.rulebook import Rulebook
from eyeline.ledger.records import Decision, Outcome, Summary


def print_table(
    console: Console,
    decisions: Iterable[Decision],
    beside: Path | None = None,
    theirs: Mapping[Path, int] | None = None,
) -> None:
    """One line a photo, in 80 columns: name, stars, best crop, genre served, and the keywords that fit in.

    `theirs`: the stars that the photographer gave, which are shown instead of eyeline's, as theirs.
    `eyeline why` and --json have all of it.
    """
    table = Table(box=None, pad_edge=False, header_style="bold", width=min(console.width, WIDEST_TABLE))
    table.add_column("photo", overflow="fold")
    for heading in ("stars", "crop", "genre"):
        table.add_column(heading, no_wrap=True, overflow="ellipsis")
    table.add_column("keywords", no_wrap=True, overflow="ellipsis", ratio=1)
    for decision in decisions:
        verdict, own = decision.verdict, (theirs or {}).get(decision.path)
        crop = max(verdict.crops, key=lambda each: each.score, default=None)
        table.add_row(
            printable(name_of(decision.path, beside)),
            stars(verdict.stars) if own is None else f"{stars(own)} yours",
            "–" if crop is None else printable(crop.format_name),
            printable(verdict.genre) or "–",
            printable(", ".join(verdict.keywords)),
        )
    console.print(table, markup=False)


WIDEST_TABLE = 160
"""Columns; wider ones are hard to follow from one end of a line to the other."""


@dataclass(slots=True)
class Tally:
    """Decisions counted as they come: by stars, by what became of their sidecars; and the genres served."""

    stars: Counter[int | None] = field(default_factory=Counter)
    outcomes: Counter[str] = field(default_factory=Counter)
    genres: set[str] = field(default_factory=set)

    def add(self, decision: Decision) -> None:
        """Count one decision."""
        self.stars[decision.verdict.stars] += 1
        self.outcomes[decision.outcome] += 1
        self.genres.add(decision.verdict.genre)

    def add_all(self, counted: Summary) -> None:
        """Count the decisions that `counted` holds."""
        self.stars.update(counted.stars)
        self.outcomes.update(counted.outcomes)
        self.genres |= counted.genres

    def summary(self) -> str:
        """How many photos, by stars and by what became of their sidecars, in one sentence."""
        counted = ", ".join(
            f"{self.stars[number]} × {stars(number) if number is not None else 'no portrait'}"
            for number in (5, 4, 3, 2, 1, None)
            if self.stars[number]
        )
        total = self.stars.total()
        photos = "1 photo" if total == 1 else f"{total} photos"
        if not total:
            return "No photo was found."
        if set(self.outcomes) == {Outcome.DRY_RUN}:
            return f"{photos}: {counted}. No sidecar was written."
        wrote = ", ".join(
            f"{count} {outcome_words(Outcome(outcome))}" for outcome, count in self.outcomes.most_common()
        )
        return f"{photos}: {counted}. Sidecars: {wrote}."

    def cautions(self, genres: Mapping[str, Rulebook]) -> list[str]:
        """What is to be said wherever verdicts of these genres are shown, a line a genre."""
        served = sorted(self.genres.intersection(genres))
        return [f"Caution, {name}: {genres[name].caution}" for name in served if genres[name].caution]


def tally(decisions: Iterable[Decision]) -> Tally:
    """Count `decisions`."""
    counted = Tally()
    for decision in decisions:
        counted.add(decision)
    return counted


def name_of(path: Path, beside: Path | None) -> str:
    """The path as short as it can be said from `beside`."""
    return str(path.relative_to(beside)) if beside is not None and path.is_relative_to(beside) else str(path)
