"""Measures that other distributions bring: the entry-point group `eyeline.measures`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.metadata import entry_points

from eyeline.terms.measurement import Measure

GROUP = "eyeline.measures"
"""An entry point of this group names a `Measure`, the same type as the built-in ones."""


@dataclass(frozen=True, slots=True)
class Guests:
    """The guests that could be loaded, and a sentence about each that could not."""

    measures: tuple[Measure, ...]
    problems: tuple[str, ...]


def load_guests(built_in: Sequence[Measure]) -> Guests:
    """Load every guest measure; one that breaks, or takes a name in use, is reported and left out."""
    taken = {quantity.name for measure in built_in for quantity in measure.quantities}
    measures: list[Measure] = []
    problems: list[str] = []
    for entry in sorted(entry_points(group=GROUP), key=lambda entry: (entry.name, entry.value)):
        origin = f"{entry.dist.name} {entry.dist.version}" if entry.dist else "an unknown distribution"
        try:
            measure = entry.load()
        except (
            Exception,
            SystemExit,
        ) as error:  # however a guest fails, it may not stop eyeline
            problems.append(
                f"the measure '{entry.name}' of {origin} ({entry.value}) cannot be loaded: "
                f"{type(error).__name__}: {error}. Update or remove {origin}"
            )
            continue
        if not isinstance(measure, Measure):
            problems.append(
                f"the measure '{entry.name}' of {origin} ({entry.value}) is a {type(measure).__name__}, "
                f"not an eyeline Measure. Ask its author"
            )
            continue
        names = {quantity.name for quantity in measure.quantities}
        if names & taken:
            problems.append(
                f"the measure '{entry.name}' of {origin} answers {', '.join(sorted(names & taken))}, "
                f"which another measure answers already. It is left out"
            )
            continue
        taken |= names
        measures.append(measure)
    return Guests(tuple(measures), tuple(problems))
