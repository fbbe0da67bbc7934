"""Verdicts of many photos at once: the genre that each serves best, its stars and its keywords."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import blake2b
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.columns import Columns, at
from eyeline.judging.condition import Truth, truth
from eyeline.judging.reasons import Grounds, grounds
from eyeline.judging.rulebook import Fault, Keyword, Rulebook
from eyeline.judging.rules import DIGEST_BYTES
from eyeline.judging.score import Score, score, stars_by_score
from eyeline.judging.vocabulary import Vocabulary
from eyeline.terms.measurement import Quantity
from eyeline.terms.verdict import Reason, Verdict

Kind = TypeVar("Kind")

MOST_KEYWORDS = 8
"""At most eight keywords on a frame (common practice)."""

SERVES = 3
"""Stars from which a frame serves its line of the brief, so the keyword may name it (common practice)."""

NO_FACE = "no face"
"""The word for frames that are no portrait; they get no stars."""

WITHOUT_FACE = "no face was found, so this is no portrait"

PEOPLE = "people"
"""The measure that counts faces."""


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """The verdicts of `columns.count` photos on the genres of a brief, as arrays.

    `stars`: int (n,), 0 for none: no portrait, or one that only a person can judge. `served`: int (n,), the
    genre that each photo serves best. `scores`: float64 (n, genres). Words and reasons are made when asked
    for.
    """

    columns: Columns
    rulebooks: tuple[Rulebook, ...]
    stars: NDArray[np.intp]
    served: NDArray[np.intp]
    scores: NDArray[np.float64]
    rules_digest: str
    judged: tuple[Score, ...]
    _faults: tuple[tuple[Truth, ...], ...]
    _keywords: tuple[tuple[Truth, ...], ...]
    _remarks: tuple[tuple[Truth, ...], ...]
    _vocabulary: Vocabulary
    _quantities: Mapping[str, Quantity]
    _grounds: dict[int, Grounds] = field(default_factory=dict)

    def keyword_ids(self, row: int) -> tuple[str, ...]:
        """Keywords of photo `row` by their names in rule files, the surest first, at most eight."""
        if self._shows_no_face(row):
            return (NO_FACE,) if NO_FACE in self._vocabulary.ids else ()
        served = int(self.served[row])
        rulebook = self.rulebooks[served]
        if self.stars[row] == 0:
            return self._ordered(fault.keyword for fault in self._faults_without_stars(row))
        found: set[str | None] = set()
        if self.stars[row] >= SERVES and rulebook.keyword is not None:
            found.add(rulebook.keyword)
        for fault, holds in zip(rulebook.faults, self._faults[served], strict=True):
            if fault.keyword is not None and at(holds.yes, row):
                found.add(fault.keyword)
        for keyword, holds in zip(rulebook.keywords, self._keywords[served], strict=True):
            if at(holds.yes, row):
                found.add(keyword.word)
        return self._ordered(found)[:MOST_KEYWORDS]

    def remark_ids(self, row: int) -> tuple[str, ...]:
        """Words that fit photo `row` and stand in its explanation alone."""
        if self.stars[row] == 0:
            return ()
        served = int(self.served[row])
        remarks = zip(self.rulebooks[served].remarks, self._remarks[served], strict=True)
        return self._ordered(remark.word for remark, holds in remarks if at(holds.yes, row))

    def _ordered(self, words: Iterable[str | None]) -> tuple[str, ...]:
        found = frozenset(words)
        return tuple(word for word in self._vocabulary.ids if word in found)

    def _shows_no_face(self, row: int) -> bool:
        return self.columns.value(PEOPLE, row) == 0

    def _faults_without_stars(self, row: int) -> list[Fault]:
        """The faults by which photo `row` has no stars, though it shows a face."""
        served = int(self.served[row])
        faults = zip(self.rulebooks[served].faults, self._faults[served], strict=True)
        return [fault for fault, holds in faults if fault.stars_at_most == 0 and at(holds.yes, row)]

    def reasons(self, row: int) -> tuple[Reason, ...]:
        """Why photo `row` got what it got: what decided its stars, then the heaviest loss first."""
        if self._shows_no_face(row):
            return (
                Reason(
                    NO_FACE,
                    PEOPLE,
                    0,
                    "a face",
                    None,
                    0.0,
                    0.0,
                    WITHOUT_FACE,
                    None,
                ),
            )
        served = int(self.served[row])
        if served not in self._grounds:
            self._grounds[served] = grounds(
                self.rulebooks[served], self.columns, self._quantities, self.judged[served]
            )
        reasons = self._grounds[served].reasons(row)
        return reasons if self.stars[row] else tuple(each for each in reasons if each.stars_at_most == 0)

    def verdict(self, row: int) -> Verdict:
        """The verdict of photo `row`, with its keywords as they are written."""
        judged = bool(self.stars[row])
        served = int(self.served[row])
        return Verdict(
            genre=self.rulebooks[served].name if judged else "",
            score=float(self.scores[row, served]) if judged else 0.0,
            stars=int(self.stars[row]) if judged else None,
            keywords=self._vocabulary.written(self.keyword_ids(row)),
            reasons=self.reasons(row),
            scores=tuple(
                (rulebook.name, float(value))
                for rulebook, value in zip(self.rulebooks, self.scores[row], strict=True)
            )
            if judged
            else (),
            rules_digest=self.rules_digest,
            remarks=self._vocabulary.written(self.remark_ids(row)),
        )


def judge(
    columns: Columns,
    rulebooks: Sequence[Rulebook],
    vocabulary: Vocabulary,
    quantities: Mapping[str, Quantity],
    *,
    five_stars: bool = False,
) -> Judgement:
    """Judge every photo of `columns` on each of `rulebooks` (at least one), the lines of its brief.

    A photo serves best the genre on which it gets most stars, then the best score; of equals the
    first. Faults cap the stars first, then the score's cuts count. `five_stars` hands the fifth
    star, the photographer's own by default, to eyeline.
    """
    if not rulebooks:
        raise ValueError("a photo is judged on at least one genre")
    judged = tuple(score(rulebook, columns) for rulebook in rulebooks)
    faults = tuple(_truths(each.faults, columns) for each in rulebooks)
    keywords = tuple(_truths(each.keywords, columns) for each in rulebooks)
    remarks = tuple(_truths(each.remarks, columns) for each in rulebooks)
    return _judgement(
        columns, rulebooks, vocabulary, quantities, judged, faults, keywords, remarks, five_stars
    )


def judged_otherwise(
    before: Judgement, place: int, rulebook: Rulebook, *, five_stars: bool = False
) -> Judgement:
    """As `judge`, with another `rulebook` at `place`: what the others say is not worked out anew."""

    def put(values: tuple[Kind, ...], value: Kind) -> tuple[Kind, ...]:
        return (*values[:place], value, *values[place + 1 :])

    columns = before.columns
    return _judgement(
        columns,
        put(before.rulebooks, rulebook),
        before._vocabulary,
        before._quantities,
        put(before.judged, score(rulebook, columns)),
        put(before._faults, _truths(rulebook.faults, columns)),
        put(before._keywords, _truths(rulebook.keywords, columns)),
        put(before._remarks, _truths(rulebook.remarks, columns)),
        five_stars,
    )


def _truths(words: Sequence[Fault] | Sequence[Keyword], columns: Columns) -> tuple[Truth, ...]:
    return tuple(truth(each.when, columns) for each in words)


def _judgement(
    columns: Columns,
    rulebooks: Sequence[Rulebook],
    vocabulary: Vocabulary,
    quantities: Mapping[str, Quantity],
    judged: tuple[Score, ...],
    faults: tuple[tuple[Truth, ...], ...],
    keywords: tuple[tuple[Truth, ...], ...],
    remarks: tuple[tuple[Truth, ...], ...],
    five_stars: bool,
) -> Judgement:
    stars = np.stack(
        [
            _stars(rulebook, each, found, five_stars)
            for rulebook, each, found in zip(rulebooks, judged, faults, strict=True)
        ],
        axis=1,
    )
    values = np.stack([each.value for each in judged], axis=1)
    served = np.argmax(stars + np.minimum(values, 1.0) / 2, axis=1)
    best = np.take_along_axis(stars, served[:, None], axis=1)[:, 0]
    people = np.broadcast_to(columns.number(PEOPLE), columns.count)
    return Judgement(
        columns=columns,
        rulebooks=tuple(rulebooks),
        stars=np.where(people == 0, 0, best).astype(np.intp),
        served=served,
        scores=values,
        rules_digest=brief_digest(rulebooks, vocabulary),
        judged=judged,
        _faults=faults,
        _keywords=keywords,
        _remarks=remarks,
        _vocabulary=vocabulary,
        _quantities=quantities,
    )


def brief_digest(rulebooks: Sequence[Rulebook], vocabulary: Vocabulary) -> str:
    """BLAKE2b hex of all that decides a verdict: the lines of the brief in their order, and the words."""
    text = "\n".join((*(rulebook.digest for rulebook in rulebooks), repr(vocabulary)))
    return blake2b(text.encode(), digest_size=DIGEST_BYTES).hexdigest()


def _stars(rulebook: Rulebook, judged: Score, faults: Sequence[Truth], five_stars: bool) -> NDArray[np.intp]:
    stars = stars_by_score(rulebook.stars, judged.value, five_stars)
    for fault, holds in zip(rulebook.faults, faults, strict=True):
        stars = np.where(holds.yes, np.minimum(stars, fault.stars_at_most), stars)
    return stars
