"""A genre on a page for people: what is wanted, what caps the stars, what is written, which crops."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from shlex import quote

from eyeline.cli.lines import folded
from eyeline.cli.words import stars
from eyeline.judging.reasons import ideals_in_words
from eyeline.judging.rulebook import Criterion, Rulebook
from eyeline.terms.measurement import Quantity

NAME_COLUMNS = 22
"""Wide enough for nearly all names of criteria, so that what is wanted stands in a column."""

SHARE_OF = "fraction of "
"""Units begin so where the whole is not the frame's height or width."""


def page(genre: Rulebook, quantities: Mapping[str, Quantity]) -> Iterator[str]:
    """The genre in short, in lines of 80 columns."""
    yield folded(f"{genre.name}: {genre.why}", 2)
    if genre.caution:
        yield folded(f"Caution: {genre.caution}", 2)
    yield from _section("A frame of it", (each.says for each in genre.requirements))
    criteria = sorted(genre.criteria, key=lambda each: -each.weight)
    yield from _section(
        "Wanted, the weightiest first (% of the frame where nothing else is said)",
        (
            f"{each.name.replace('_', ' '):{NAME_COLUMNS}} {_wanted(each, quantities)}; "
            f"weight {each.weight:g}"
            for each in criteria
        ),
        4 + NAME_COLUMNS,
    )
    capped = [each for each in genre.faults if each.stars_at_most]
    capped.sort(key=lambda each: each.stars_at_most)
    yield from _section(
        "Whatever the rest is, at most", (f"{stars(each.stars_at_most):4} {each.says}" for each in capped), 8
    )
    unsure = [each.says for each in genre.faults if not each.stars_at_most]
    yield from _section("No stars, a person looks, where", unsure)
    cuts = [("★★", genre.stars.two), ("★★★", genre.stars.three), ("★★★★", genre.stars.four)]
    yield from _section("Stars", [", ".join(f"{mark} from {score:g}" for mark, score in cuts) + " of 1"])
    words = [*([genre.keyword] if genre.keyword else []), *(each.word for each in genre.keywords)]
    words += [each.keyword for each in genre.faults if each.keyword]
    yield from _section("Keywords, each where it holds", [", ".join(dict.fromkeys(words))] if words else [])
    crops = [f"{each.name} from {each.width} × {each.height} px" for each in genre.formats]
    yield from _section("Crops", [", ".join(crops)] if crops else [])
    yield ""
    yield "Every line, and the file and line that it comes from:"
    yield f"  eyeline genres show {quote(genre.name)} --origin"


def with_origin(genre: Rulebook) -> Iterator[str]:
    """Every effective line of the genre as a rule file has it, with file and line; 80 columns wide."""
    yield folded(f"# {genre.name}: {genre.why}", 2)
    if genre.caution:
        yield folded(f"# Caution: {genre.caution}", 2)
    for line in genre.lines:
        origin = f"{Path(line.file).name}:{line.line}" if line.line else Path(line.file).name
        yield folded(f"{line.key} = {line.value}  #{origin}", 4)


def _wanted(criterion: Criterion, quantities: Mapping[str, Quantity]) -> str:
    """The ideals, and in brackets what their numbers are numbers of; no brackets where they are words."""
    ideals = ideals_in_words(criterion.ideals, quantities)
    quantity = quantities.get(criterion.ideals[0].measure)
    if quantity is None or quantity.words or not quantity.meaning:
        return ideals
    meaning = quantity.meaning.partition(";")[0]
    whole = quantity.unit.removeprefix(SHARE_OF)
    if whole != quantity.unit and ideals.endswith("%"):
        ideals += f" of the {whole}"
    return f"{ideals} ({meaning})"


def _section(heading: str, lines: Iterable[str], indent: int = 4) -> Iterator[str]:
    found = list(lines)
    if found:
        yield ""
        yield f"{heading}:"
        yield from (folded(f"  {line}", indent) for line in found)
