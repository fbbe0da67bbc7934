"""Judge anew what is measured already, without opening a photo, and see what that would change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.ledger.records import Decision, Photo
from eyeline.terms.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Change:
    """A photo whose verdict would be another: `before` is the last decided one, None if there is none."""

    path: Path
    before: Verdict | None
    after: Verdict

    @property
    def gained(self) -> frozenset[str]:
        """Keywords that it would gain."""
        return frozenset(self.after.keywords) - self._keywords_before

    @property
    def lost(self) -> frozenset[str]:
        """Keywords that it would lose."""
        return self._keywords_before - frozenset(self.after.keywords)

    @property
    def genres(self) -> tuple[str, str] | None:
        """The genre that it served and the one that it would serve, where it is another."""
        before = self.before.genre if self.before is not None else self.after.genre
        return (before, self.after.genre) if before != self.after.genre else None

    @property
    def shows(self) -> bool:
        """Whether stars, keywords or genre would be others; else only crops, scores or reasons would."""
        stars = self.before is None or self.before.stars != self.after.stars
        return bool(stars or self.gained or self.lost or self.genres)

    @property
    def _keywords_before(self) -> frozenset[str]:
        return frozenset(self.before.keywords if self.before is not None else ())


def changes(decider: Decider, photos: Iterable[Photo]) -> Iterator[Change]:
    """What the rules in force would change about `photos`; nothing is written."""
    for photo, verdict in decider.verdicts(list(photos)):
        last = decider.ledger.decisions.latest(photo.frame.path)
        before = None if last is None else last.verdict
        if before is None or replace(before, rules_digest=verdict.rules_digest) != verdict:
            yield Change(photo.frame.path, before, verdict)


def apply(decider: Decider, photos: list[Photo]) -> Iterator[tuple[Photo, Decision]]:
    """Decide and write anew where the verdict is another than the one written last."""
    yield from decider.decide(photos, only_new=True)


@dataclass(frozen=True, slots=True)
class Tally:
    """Changes counted: stars and genres as (before, after), keywords gained and lost, each with an example.

    `photos` have any of these, `others` only other crops, scores or reasons, `first` have no verdict yet.
    """

    stars: Counter[tuple[int | None, int | None]]
    genres: Counter[tuple[str, str]]
    gained: Counter[str]
    lost: Counter[str]
    examples: dict[tuple[str, object], Path]
    photos: int
    others: int
    first: int


def tally(found: Iterable[Change]) -> Tally:
    """Count `found`."""
    counted = Tally(Counter(), Counter(), Counter(), Counter(), {}, 0, 0, 0)
    photos = others = first = 0
    for change in found:
        if change.before is None:
            first += 1
            continue
        photos += change.shows
        others += not change.shows
        step = (change.before.stars, change.after.stars)
        if step[0] != step[1]:
            counted.stars[step] += 1
            counted.examples.setdefault(("stars", step), change.path)
        if change.genres is not None:
            counted.genres[change.genres] += 1
            counted.examples.setdefault(("genres", change.genres), change.path)
        for kind, counter, words in (
            ("gained", counted.gained, change.gained),
            ("lost", counted.lost, change.lost),
        ):
            for word in words:
                counter[word] += 1
                counted.examples.setdefault((kind, word), change.path)
    return replace(counted, photos=photos, others=others, first=first)
