"""Spoilt pairs on pixels: python -m tests.judging.spoilt [FOLDER] [--keep FOLDER] [--short]

A well-framed frame against itself with one thing spoilt by a known amount, both measured by the real
pipeline in the company of the sitter's other frames and judged as shot. FOLDER holds rendered frames with
a truth.jsonl; left out, it is the bundled shoot. Prints how many pairs of each kind the original wins
(a tie is lost); `--keep` keeps the pictures, `--short` takes what the tests take.

How frames are cut and spoilt: `spoiling.py`.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2

from eyeline.judging.columns import columns_of
from eyeline.judging.verdict import judge
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import rules_in_force
from eyeline.sitting.set_measures import set_measures
from eyeline.sitting.shot import Shot
from eyeline.workers.examine import Examined
from tests.accuracy.pipeline import run
from tests.accuracy.portraits import SHOOT, Portrait, load
from tests.judging.spoiling import KINDS, Made, Page, pages, rendered, well_framed

SECONDS_APART = 20
"""Between the frames of a sitter: no series, and no pause that parts sittings."""

AROUND = 2
"""Frames before and after each picture that are like the original."""

QUALITY = 95


@dataclass(frozen=True, eq=False)
class Pair:
    """A well-framed picture and the same with one thing spoilt."""

    kind: str
    good: Made
    spoilt: Made


CLOSED = "closed eyes"
"""Not made but rendered: a frame of the same burst with the lids down, framed by its own landmarks."""


def pairs_of(portraits: Sequence[Portrait]) -> list[Pair]:
    """All pairs that the frames yield."""
    found = []
    for portrait in portraits:
        for good in pages(portrait):
            for kind, (spoil, suits) in KINDS.items():
                if suits(good.page) and (spoilt := spoil(good)).fits():
                    found.append(Pair(kind, good, spoilt))
            blinks = [well_framed(each, good.page) for each in portraits if _is_blink_of(each, portrait)]
            found += [Pair(CLOSED, good, blink) for blink in blinks if blink.fits()]
    return found


def _is_blink_of(other: Portrait, portrait: Portrait) -> bool:
    burst = portrait.truth.get("burst")
    return burst is not None and other.truth.get("burst") == burst and other.people[0].eyes == "closed"


def few_of_each(pairs: Sequence[Pair], many: int) -> list[Pair]:
    """At most so many pairs of each kind, spread over sitters and pages, of small files only."""
    small = [each for each in pairs if each.good.portrait.truth["width"] <= 2000]
    found: list[Pair] = []
    for kind in dict.fromkeys(each.kind for each in small):
        seen: dict[tuple[str, Page], int] = {}
        ranked = []
        for each in small:
            if each.kind == kind:
                key = each.good.person.sitter, each.good.page
                seen[key] = seen.get(key, 0) + 1
                ranked.append((seen[key], each))
        ranked.sort(key=lambda one: one[0])
        found += [each for _, each in ranked[:many]]
    return found


def scores(pairs: Sequence[Pair], folder: Path) -> list[tuple[Pair, float, float]]:
    """Each pair with the scores of the original and of the spoilt picture, which lie in `folder`.

    Each picture is judged in the company of the well-framed ones of its sitter, taken in the same light.
    Of these many a sitter has one, too few to tell what is usual: the original again stands for the frames
    before and after.
    """
    made = list(dict.fromkeys(each for pair in pairs for each in (pair.good, pair.spoilt)))
    paths = [folder / f"{number:04}_{each.portrait.path.stem}.jpg" for number, each in enumerate(made)]
    for each, path in zip(made, paths, strict=True):
        cv2.imwrite(str(path), rendered(each), [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    examined = {}
    for each, found in zip(made, run(paths), strict=True):
        assert isinstance(found, Examined), found
        examined[each] = found
    rules, _ = rules_in_force(Configuration())
    goods = list(dict.fromkeys(pair.good for pair in pairs))
    answers = []
    for pair in pairs:
        company = [each for each in goods if each.person.sitter == pair.good.person.sitter]
        first = company.index(pair.good)
        place = first + AROUND
        company[first : first + 1] = [pair.good] * (2 * AROUND + 1)
        book = [rules.rules.genre(pair.good.page.genre)]
        both = []
        for one in (pair.good, pair.spoilt):
            shots = [
                Shot(
                    f"{number:04}",
                    "",
                    f"2026-01-01T10:{number * SECONDS_APART // 60:02}:{number * SECONDS_APART % 60:02}",
                    None,
                    examined[each].measurements,
                    examined[each].points,
                )
                for number, each in enumerate([*company[:place], one, *company[place + 1 :]])
            ]
            known = dict(shots[place].measurements) | set_measures(shots)[place]
            columns = columns_of([known], rules.quantities.values())
            judged = judge(columns, book, rules.vocabulary, rules.quantities)
            both.append(float(judged.scores[0, 0]))
        answers.append((pair, both[0], both[1]))
    return answers


def table(answers: Sequence[tuple[Pair, float, float]]) -> list[tuple[str, int, int, float]]:
    """Kind, pairs, pairs won, and the smallest lead of an original (negative where it lost)."""
    kinds = dict.fromkeys(pair.kind for pair, _, _ in answers)
    rows = []
    for kind in kinds:
        leads = [good - spoilt for pair, good, spoilt in answers if pair.kind == kind]
        rows.append((kind, len(leads), sum(lead > 0 for lead in leads), min(leads)))
    return rows


SHORT = 6
"""Pairs of each kind in the tests' form."""


def main() -> None:
    """Print the table, and each pair that was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", nargs="?", type=Path, default=SHOOT)
    parser.add_argument("--keep", type=Path, help="keep the pictures in this folder")
    parser.add_argument("--short", action="store_true")
    arguments = parser.parse_args()
    pairs = pairs_of(load(arguments.folder, arguments.folder.name))
    if arguments.short:
        pairs = few_of_each(pairs, SHORT)
    with tempfile.TemporaryDirectory() as temporary:
        folder = arguments.keep or Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        answers = scores(pairs, folder)
    for kind, many, won, least in table(answers):
        print(f"{kind:42}{won:5} of {many:4}{won / many:8.1%}   smallest lead {least:+.3f}")
    for pair, good, spoilt in answers:
        if good <= spoilt:
            name, genre = pair.good.portrait.path.name, pair.good.page.genre
            print(f"lost: {pair.kind}, {name} as {genre}: {good:.3f} against {spoilt:.3f}")


if __name__ == "__main__":
    main()
