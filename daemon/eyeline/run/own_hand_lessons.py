"""What the photographer's own crops and keywords teach, a genre at a time; their stars: `learn`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from eyeline.agreement.own_crops import CropHabit, crop_habits
from eyeline.agreement.own_words import WordHabit, word_habit
from eyeline.agreement.proposal import Change, RangeChange
from eyeline.deciding.correct import hand_of
from eyeline.deciding.decide import Decider
from eyeline.deciding.own_hand import OwnHand
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.judging.columns import Columns, columns_of
from eyeline.judging.rulebook import Rulebook
from eyeline.ledger.records import Photo
from eyeline.measuring.framing import COPY_SPACE, EVERYTHING, WORDS, framing, look_of
from eyeline.run.learn import Lesson
from eyeline.terms.measurement import Measurement
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Verdict


@dataclass(frozen=True, slots=True)
class HandLesson:
    """What own crops and words say of a genre. `crops`: how many of the photos whose crops it judges, whether
    or not they are enough, of so many `series`; `words`: on the photos that it served."""

    genre: str
    crops: int
    series: int
    habits: tuple[CropHabit, ...]
    words: tuple[WordHabit, ...]


def hand_lessons(decider: Decider, judged: Sequence[tuple[Photo, Verdict]]) -> list[HandLesson]:
    """The lessons of photos with eyeline's verdicts, one a genre, that with most crops first; genres of which
    neither own crops nor notable words are known are left out."""
    genre, records = decider.rules.rules.genre, SidecarRecords(decider.ledger, decider.configuration.naming)
    served: dict[str, list[tuple[Photo, Verdict, OwnHand]]] = {}
    framed: dict[str, list[tuple[Photo, Rectangle]]] = {}
    framing_of: dict[str, Rulebook] = {}
    for photo, verdict in judged:
        if verdict.stars is None:
            continue
        rulebook = genre(verdict.genre)
        hand = hand_of(decider, photo, tuple(each.name for each in rulebook.formats), records)
        served.setdefault(verdict.genre, []).append((photo, verdict, hand))
        if hand.crops and photo.points is not None:
            judge = rulebook.crops_as or rulebook
            framing_of[judge.name] = judge
            framed.setdefault(judge.name, []).extend((photo, area) for _, area in hand.crops)
    found = []
    for name in dict.fromkeys((*served, *framed)):
        crops = framed.get(name, [])
        series = _numbered([_series(photo) for photo, _ in crops])
        habits: tuple[CropHabit, ...] = ()
        if crops:
            habits = crop_habits(
                framing_of[name], _framed(decider, crops), series, EVERYTHING - {*COPY_SPACE}
            )
        words = _words(decider, genre(name), served[name]) if name in served else ()
        if crops or words:
            found.append(HandLesson(name, len(crops), len(np.unique(series)), habits, words))
    return sorted(found, key=lambda each: -each.crops)


def all_changes(
    taught: Sequence[Lesson], hands: Sequence[HandLesson]
) -> dict[str, tuple[Sequence[Change], ...]]:
    """What is proposed by genre, in this order: the ranges that own crops have elsewhere; these with
    all others of framing, since crops that have them all show that they can be met at once. A range that
    ratings move is theirs: they weigh it against all else."""
    found: dict[str, tuple[Sequence[Change], ...]] = {
        each.proposal.genre: (each.proposal.changes,) for each in taught if each.proposal.changes
    }
    for hand in hands:
        before = found[hand.genre][0] if hand.genre in found else ()
        moved = {each.criterion for each in before if isinstance(each, RangeChange)}
        free = [each for each in hand.habits if each.criterion.name not in moved]
        if elsewhere := [each.moved for each in free if each.is_elsewhere]:
            found[hand.genre] = ((*before, *elsewhere), (*before, *(each.moved for each in free)))
    return found


def _framed(decider: Decider, crops: Sequence[tuple[Photo, Rectangle]]) -> Columns:
    """Measures of each crop: those of its frame, with the framing of what the crop shows in their place."""
    known = []
    for photo, area in crops:
        taken = {each.name: each for each in photo.measurements}
        assert photo.points is not None
        window = np.array([[area.left, area.top, area.width, area.height]])
        found = framing(photo.points, window, photo.frame.width, photo.frame.height, look_of(taken))
        for name, column in found.items():
            if name in WORDS:
                place = int(column[0])
                value: float | str | None = WORDS[name][place] if place >= 0 else None
            else:
                value = None if np.isnan(column[0]) else float(column[0])
            taken[name] = Measurement(name, value, "the crop leaves it out" if value is None else None)
        known.append(taken)
    return columns_of(known, decider.rules.quantities.values())


def _words(
    decider: Decider, rulebook: Rulebook, photos: Sequence[tuple[Photo, Verdict, OwnHand]]
) -> tuple[WordHabit, ...]:
    vocabulary = decider.rules.vocabulary
    columns = columns_of(
        [{each.name: each for each in photo.measurements} for photo, _, _ in photos],
        decider.rules.quantities.values(),
    )
    ours = [{word.casefold() for word in verdict.keywords} for _, verdict, _ in photos]
    gone = [{word.casefold() for word in hand.taken_out} for _, _, hand in photos]
    own = [{word.casefold() for word in hand.words} for _, _, hand in photos]
    found = []
    for id_, text in zip(vocabulary.ids, vocabulary.written(vocabulary.ids), strict=True):
        word, rows = text.casefold(), range(len(photos))
        out = [row for row in rows if word in gone[row]]
        left = [row for row in rows if word in ours[row] and word not in gone[row] and word not in own[row]]
        added = [row for row in rows if word in own[row] and word not in ours[row]]
        if habit := word_habit(rulebook, id_, columns, out, left, added):
            found.append(habit)
    return tuple(found)


def _series(photo: Photo) -> tuple[Path, str]:
    name = next((each.value for each in photo.measurements if each.name == "series"), None)
    return photo.frame.path.parent, photo.frame.path.name if name is None else str(name)


def _numbered(keys: Sequence[object]) -> np.typing.NDArray[np.intp]:
    numbers: dict[object, int] = {}
    return np.array([numbers.setdefault(key, len(numbers)) for key in keys], np.intp)
