"""A spread: the frames of some folders at one moment, judged, as a light table shows them.

Holds of each frame what every view needs (place, stars, points) and the measures as columns; reasons, words
and crops of one frame are made when somebody opens it. So ten thousand frames take some 90 megabytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from hashlib import blake2b
from pathlib import Path

import numpy as np

from eyeline.cropping.suggest import Suggestions, suggestions
from eyeline.deciding.decide import Decider
from eyeline.deciding.folder_columns import FolderColumns, folder_columns, uncropped
from eyeline.deciding.same_exposure import exposures_around
from eyeline.deciding.seating import sittings_of
from eyeline.intake.status import status_of
from eyeline.judging.reasons import Grounds, grounds
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.verdict import Judgement, judge
from eyeline.ledger.records import Photo
from eyeline.settings.rules import RulesInForce
from eyeline.sitting.ranking import ALTERNATE, BEST, with_word
from eyeline.sitting.shot import natural, seconds_of
from eyeline.terms.frame import Frame
from eyeline.terms.points import Points
from eyeline.terms.verdict import Reason, Verdict

KEY_BYTES = 8
"""Enough that two of a million frames share a key once in 10^8 days of work."""

SET_ASIDE = 2
"""Stars up to which a frame is set aside, as in the brief, where three are sound (common practice)."""

RANKED_AS = frozenset({BEST, ALTERNATE})


@dataclass(frozen=True, slots=True)
class Laid:
    """A frame on the table. `key`: names it in addresses; `number`: what people call it.

    `row`: its place in the columns of its folder. `stars` None: no portrait, or one that only a person can
    judge. `series`: the others of its series have the same. `word`: "best of series", "alternate" or "".
    `twin`: why it is held at three stars beside a better one. `files`: paths of its exposure, itself first.
    """

    key: str
    number: str
    frame: Frame
    points: Points | None
    row: int
    genre: str
    stars: int | None
    score: float
    series: str | None
    word: str
    twin: Reason | None
    measured_at: datetime
    files: tuple[Path, ...]

    @property
    def path(self) -> Path:
        """Of the file that is judged."""
        return self.frame.path

    @property
    def is_set_aside(self) -> bool:
        """Whether it serves no line of a brief."""
        return (self.stars or 0) <= SET_ASIDE


@dataclass(frozen=True, eq=False)
class Part:
    """The frames of one folder, in the order taken. `fault`: why they are not judged, "" where they are."""

    folder: Path
    brief: tuple[Rulebook, ...]
    rules: RulesInForce
    laid: tuple[Laid, ...]
    judgement: Judgement | None
    table: FolderColumns | None = None
    fault: str = ""
    _why: dict[int, str] = field(default_factory=dict)

    def verdict(self, laid: Laid) -> Verdict:
        """The whole verdict of one frame, but for its crops."""
        assert self.judgement is not None
        verdict = self.judgement.verdict(laid.row)
        if laid.word:
            verdict = with_word(verdict, laid.word, self.rules.vocabulary)
        if laid.twin is not None:
            verdict = replace(verdict, stars=laid.stars, reasons=(laid.twin, *verdict.reasons))
        return verdict

    def why_aside(self, laid: Laid) -> str:
        """The reason for which a frame is set aside: what binds it."""
        if laid.row not in self._why:
            self._why[laid.row] = self._why_aside(laid)
        return self._why[laid.row]

    def _why_aside(self, laid: Laid) -> str:
        assert self.judgement is not None
        reasons = self.judgement.reasons(laid.row)
        if not reasons:
            return "it is no portrait"
        first = reasons[0]
        # With its number every frame would have a reason of its own.
        by_number = (
            first.stars_at_most is None and first.value is not None and not isinstance(first.value, str)
        )
        return f"{first.name.replace('_', ' ')} is off" if by_number else first.sentence

    def rulebook(self, laid: Laid) -> Rulebook:
        """The genre that it serves best."""
        assert self.judgement is not None
        return self.judgement.rulebooks[int(self.judgement.served[laid.row])]

    def grounds(self, name: str) -> Grounds:
        """Desirabilities and costs of all frames on the genre called `name`."""
        return self._grounds[name]

    def crops(self, laid: Laid, photo: Photo) -> Suggestions:
        """What eyeline suggests to cut from it. `photo`: as the ledger has it."""
        if laid.stars is None or self.judgement is None:
            return Suggestions((), ())
        frame = uncropped(photo, self.judgement.columns, laid.row, self.rules.quantities)
        if frame is None:
            return Suggestions((), ())
        return suggestions([frame], self.rulebook(laid), self.rules.quantities.values())[0]

    @cached_property
    def _grounds(self) -> dict[str, Grounds]:
        if self.judgement is None:
            return {}
        judgement = self.judgement
        return {
            each.name: grounds(each, judgement.columns, self.rules.quantities, judgement.judged[place])
            for place, each in enumerate(judgement.rulebooks)
        }


@dataclass(frozen=True, eq=False)
class Spread:
    """All parts at one moment. `version` grows with each change."""

    version: int
    parts: tuple[Part, ...]

    @cached_property
    def frames(self) -> tuple[Laid, ...]:
        """Every frame, folder by folder, in the order taken."""
        return tuple(laid for part in self.parts for laid in part.laid)

    @cached_property
    def _by_key(self) -> dict[str, tuple[Part, int]]:
        return {laid.key: (part, place) for part in self.parts for place, laid in enumerate(part.laid)}

    @cached_property
    def pictures(self) -> frozenset[tuple[str, int]]:
        """Digest and orientation of each frame that may be shown."""
        return frozenset((laid.frame.digest, laid.frame.orientation) for laid in self.frames)

    def find(self, key: str) -> tuple[Part, Laid] | None:
        """The frame with that key and the part that it lies in."""
        found = self._by_key.get(key)
        return None if found is None else (found[0], found[0].laid[found[1]])

    def at(self, path: Path) -> Laid | None:
        """The frame whose file is at `path`."""
        found = self.find(key_of(path))
        return None if found is None else found[1]

    @property
    def latest(self) -> Laid | None:
        """The frame taken last."""
        return max(self.frames, key=lambda each: each.frame.capture.taken_at or "", default=None)


def key_of(path: Path) -> str:
    """What names the frame at `path` in addresses: nothing of the path can be read from it."""
    return blake2b(bytes(path), digest_size=KEY_BYTES).hexdigest()


def lay(decider: Decider, folder: Path, photos: Sequence[Photo]) -> Part:
    """Judge `photos`, all that the ledger has in `folder`, among themselves."""
    rules, there = decider.rules, [each for each in photos if status_of(each.frame.path) is not None]
    folder_rules = decider.folder_rules(folder)
    if folder_rules.fault is not None:
        return Part(folder, (), rules, (), None, fault=str(folder_rules.fault))
    brief = decider.brief(folder, folder_rules)
    exposures = exposures_around(decider.ledger, {each.frame.path: each for each in there})
    judged = sorted(exposures.judged_in(folder), key=_as_taken)
    if not judged:
        return Part(folder, brief, rules, (), None)
    sittings = sittings_of([photo.frame.path for photo in judged], folder_rules, decider.ledger)
    table = folder_columns(folder, judged, sittings, rules.quantities)
    judgement = judge(
        table.columns,
        brief,
        rules.vocabulary,
        rules.quantities,
        five_stars=decider.configuration.five_stars,
    )
    placed = table.placed(judgement, rules.vocabulary)
    words = {rules.vocabulary.written((each,))[0]: each for each in RANKED_AS & {*rules.vocabulary.ids}}
    numbers = short_numbers([photo.frame.path for photo in judged])
    laid = tuple(
        Laid(
            key_of(photo.frame.path),
            numbers[row],
            photo.frame,
            photo.points,
            row,
            placed[row].verdict.genre,
            placed[row].verdict.stars,
            placed[row].verdict.score,
            table.series[row],
            next((words[each] for each in placed[row].verdict.keywords), ""),
            next(iter(placed[row].verdict.reasons), None),
            photo.measured_at,
            (photo.frame.path, *exposures.followers.get(photo.frame.path, ())),
        )
        for row, photo in enumerate(judged)
    )
    return Part(folder, brief, rules, laid, judgement, table)


def short_numbers(paths: Sequence[Path]) -> list[str]:
    """What people call frames: the digits at the end of a name where no two share them, else the stem."""
    digits = []
    for path in paths:
        stem = path.stem
        tail = stem[len(stem.rstrip("0123456789")) :]
        digits.append(tail or stem)
    values, counts = np.unique(np.array(digits, dtype=object).astype(str), return_counts=True)
    twice = {str(value) for value, count in zip(values, counts, strict=True) if count > 1}
    return [path.stem if tail in twice else tail for path, tail in zip(paths, digits, strict=True)]


def _as_taken(photo: Photo) -> tuple[bool, float, object]:
    seconds = seconds_of(photo.frame.capture.taken_at)
    return seconds is None, seconds or 0.0, natural(photo.frame.path.name)
