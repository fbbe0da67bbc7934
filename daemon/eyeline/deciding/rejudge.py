"""Judge anew what is measured already, without opening a photo, and see what that would change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
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
    def _keywords_before(self) -> frozenset[str]:
        return frozenset(self.before.keywords if self.before is not None else ())


def changes(decider: Decider, photos: Iterable[Photo]) -> Iterator[Change]:
    """What the rules in force would change about `photos`; nothing is written."""
    for photo, verdict in decider.verdicts(list(photos)):
        last = decider.ledger.decisions.latest(photo.frame.path)
        change = Change(photo.frame.path, None if last is None else last.verdict, verdict)
        if last is None or last.verdict.stars != verdict.stars or change.gained or change.lost:
            yield change


def apply(decider: Decider, photos: list[Photo]) -> Iterator[tuple[Photo, Decision]]:
    """Decide and write anew where the verdict is another than the one written last."""
    yield from decider.decide(photos, only_new=True)


@dataclass(frozen=True, slots=True)
class Tally:
    """Changes counted: stars as (before, after), keywords gained and lost, each with an example."""

    stars: Counter[tuple[int | None, int | None]]
    gained: Counter[str]
    lost: Counter[str]
    examples: dict[tuple[str, object], Path]


def tally(found: Iterable[Change]) -> Tally:
    """Count `found`."""
    stars: Counter[tuple[int | None, int | None]] = Counter()
    gained: Counter[str] = Counter()
    lost: Counter[str] = Counter()
    examples: dict[tuple[str, object], Path] = {}
    for change in found:
        step = (change.before.stars if change.before is not None else None, change.after.stars)
        if step[0] != step[1]:
            stars[step] += 1
            examples.setdefault(("stars", step), change.path)
        for word in change.gained:
            gained[word] += 1
            examples.setdefault(("gained", word), change.path)
        for word in change.lost:
            lost[word] += 1
            examples.setdefault(("lost", word), change.path)
    return Tally(stars, gained, lost, examples)
