"""Verdicts of many photos at once: the genre that each serves best, its stars and its keywords."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray

from eyeline.judging.columns import Columns, at
from eyeline.judging.condition import Truth, truth
from eyeline.judging.reasons import Grounds, grounds
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.rules import DIGEST_BYTES
from eyeline.judging.score import Score, score
from eyeline.judging.vocabulary import Vocabulary
from eyeline.terms.measurement import Quantity
from eyeline.terms.verdict import Reason, Verdict

MOST_KEYWORDS = 8
"""At most eight keywords on a frame (trade.md)."""

SERVES = 3
"""Stars from which a frame serves its line of the brief, so that the keyword may name it (trade.md)."""

NO_FACE = "no face"
"""The word for frames that are no portrait; they get no stars."""

PEOPLE = "people"
"""The measure that counts faces."""


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """The verdicts of `columns.count` photos on the genres of a brief, as arrays.

    `stars`: int (n,), 0 for no portrait. `served`: int (n,), the genre that each photo serves best.
    `scores`: float64 (n, genres). Words and reasons are made when asked for.
    """

    columns: Columns
    rulebooks: tuple[Rulebook, ...]
    stars: NDArray[np.intp]
    served: NDArray[np.intp]
    scores: NDArray[np.float64]
    rules_digest: str
    _judged: tuple[Score, ...]
    _faults: tuple[tuple[Truth, ...], ...]
    _keywords: tuple[tuple[Truth, ...], ...]
    _vocabulary: Vocabulary
    _quantities: Mapping[str, Quantity]
    _grounds: dict[int, Grounds] = field(default_factory=dict)

    def keyword_ids(self, row: int) -> tuple[str, ...]:
        """Keywords of photo `row` by their names in rule files, the surest first, at most eight."""
        if self.stars[row] == 0:
            return (NO_FACE,) if NO_FACE in self._vocabulary.ids else ()
        served = int(self.served[row])
        rulebook = self.rulebooks[served]
        found: set[str] = set()
        if self.stars[row] >= SERVES and rulebook.keyword is not None:
            found.add(rulebook.keyword)
        for fault, holds in zip(rulebook.faults, self._faults[served], strict=True):
            if fault.keyword is not None and at(holds.yes, row):
                found.add(fault.keyword)
        for keyword, holds in zip(rulebook.keywords, self._keywords[served], strict=True):
            if at(holds.yes, row):
                found.add(keyword.word)
        return tuple(word for word in self._vocabulary.ids if word in found)[:MOST_KEYWORDS]

    def reasons(self, row: int) -> tuple[Reason, ...]:
        """Why photo `row` got what it got, heaviest loss first."""
        if self.stars[row] == 0:
            return (Reason(NO_FACE, PEOPLE, 0, "a face", None, 0.0, 0.0, "no face was found", None),)
        served = int(self.served[row])
        if served not in self._grounds:
            self._grounds[served] = grounds(
                self.rulebooks[served], self.columns, self._quantities, self._judged[served]
            )
        return self._grounds[served].reasons(row)

    def verdict(self, row: int) -> Verdict:
        """The verdict of photo `row`, with its keywords as they are written."""
        portrait = bool(self.stars[row])
        served = int(self.served[row])
        return Verdict(
            genre=self.rulebooks[served].name if portrait else "",
            score=float(self.scores[row, served]) if portrait else 0.0,
            stars=int(self.stars[row]) if portrait else None,
            keywords=self._vocabulary.written(self.keyword_ids(row)),
            reasons=self.reasons(row),
            scores=tuple(
                (rulebook.name, float(value))
                for rulebook, value in zip(self.rulebooks, self.scores[row], strict=True)
            )
            if portrait
            else (),
            rules_digest=self.rules_digest,
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
    faults = tuple(tuple(truth(fault.when, columns) for fault in each.faults) for each in rulebooks)
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
        _judged=judged,
        _faults=faults,
        _keywords=tuple(
            tuple(truth(keyword.when, columns) for keyword in each.keywords) for each in rulebooks
        ),
        _vocabulary=vocabulary,
        _quantities=quantities,
    )


def brief_digest(rulebooks: Sequence[Rulebook], vocabulary: Vocabulary) -> str:
    """BLAKE2b hex of all that decides a verdict: the lines of the brief in their order, and the words."""
    text = "\n".join((*(rulebook.digest for rulebook in rulebooks), repr(vocabulary)))
    return blake2b(text.encode(), digest_size=DIGEST_BYTES).hexdigest()


def _stars(rulebook: Rulebook, judged: Score, faults: Sequence[Truth], five_stars: bool) -> NDArray[np.intp]:
    cuts = rulebook.stars
    stars = np.ones(len(judged.value), np.intp)
    for cut in (cuts.two, cuts.three, cuts.four, *((cuts.five,) if five_stars else ())):
        stars = stars + (judged.value >= cut)
    for fault, holds in zip(rulebook.faults, faults, strict=True):
        stars = np.where(holds.yes, np.minimum(stars, fault.stars_at_most), stars)
    return stars
