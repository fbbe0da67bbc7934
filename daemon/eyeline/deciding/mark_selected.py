"""The frames that a client chose get the keyword `selected`, as the photographer's own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from eyeline.deciding.correct import Correction, hand_of, make
from eyeline.deciding.decide import Decider
from eyeline.deciding.same_exposure import exposures_around
from eyeline.errors import EyelineError, unforeseen
from eyeline.ledger.records import Choice, Photo
from eyeline.terms.verdict import Verdict

SELECTED = "selected"
"""The keyword of a frame that a client chose: the word that photographers and clients use for it."""

UNJUDGED = Verdict("", 0.0, None, (), (), (), "")
"""Stands in the record of a frame that eyeline has not judged yet."""


@dataclass(frozen=True, slots=True)
class Marked:
    """What became of one frame. `problem`: why its sidecar was left as it is."""

    path: Path
    was_selected: bool
    problem: EyelineError | None = None


def is_selected(decider: Decider, photo: Photo) -> bool:
    """Whether the photographer's own keywords of `photo` hold SELECTED, however it came there."""
    return SELECTED in {word.casefold() for word in hand_of(decider, photo, ()).words}


def select(
    decider: Decider, frames: Sequence[tuple[Photo, str]], source: str, now: datetime
) -> Iterator[Marked]:
    """Mark `frames`, each with the client's words for it; `source`: where the answer came from.

    What cannot be written is told in Marked, and the others go on. Raises LedgerFailed, ExifToolFailed.
    """
    for photo, words in frames:
        path = photo.frame.path
        try:
            had = is_selected(decider, photo)
            if not had:
                _make(decider, photo, Correction(add_words=(SELECTED,)))
            decider.ledger.choices.add(Choice(path, photo.frame.digest, words, source, not had, now))
            decider.log.event("selected", now, path=str(path), words=words, source=source)
            yield Marked(path, had)
        except (EyelineError, OSError, ValueError) as error:
            yield _failed(decider, path, error)


def unselect(
    decider: Decider, photos: Sequence[Photo], answered_at: datetime | None, now: datetime
) -> Iterator[Marked]:
    """Take the keyword out of `photos` again where it came there by an answer (`answered_at`, None = any)."""
    for photo in photos:
        path = photo.frame.path
        try:
            chosen = [
                each
                for each in decider.ledger.choices.under(path.parent)
                if each.path == path and answered_at in (None, each.at)
            ]
            had = is_selected(decider, photo)
            if had and any(each.wrote for each in chosen):
                _make(decider, photo, Correction(drop_words=(SELECTED,)))
            decider.ledger.choices.take_back([path], answered_at, now)
            decider.log.event("not selected", now, path=str(path))
            yield Marked(path, had)
        except (EyelineError, OSError, ValueError) as error:
            yield _failed(decider, path, error)


def _make(decider: Decider, photo: Photo, correction: Correction) -> None:
    exposures = exposures_around(decider.ledger, {photo.frame.path: photo})
    leader = exposures.leader(photo.frame.path)
    paths = (leader, *exposures.followers.get(leader, ()))
    files = [exposures.photos[path] for path in paths]
    last = decider.ledger.decisions.latest(leader)
    make(decider, files, last.verdict if last is not None else UNJUDGED, correction, None, ())


def _failed(decider: Decider, path: Path, error: Exception) -> Marked:
    problem = error if isinstance(error, EyelineError) else unforeseen(error, path)
    decider.problem(problem)
    return Marked(path, False, problem)
