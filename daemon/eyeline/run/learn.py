"""What the photographer's ratings teach: one lesson a genre, from the photos that it served."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from eyeline.agreement.parting import Parting, partings
from eyeline.agreement.proposal import Agreement, Proposal, agreement, propose
from eyeline.agreement.rated import Rated
from eyeline.deciding.decide import Decider
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.judging.columns import columns_of
from eyeline.ledger.records import Photo
from eyeline.run.ratings import left_alone, their_stars
from eyeline.terms.verdict import Verdict


@dataclass(frozen=True, slots=True)
class RatedPhoto:
    """A photo with eyeline's verdict by the rules in force, and the photographer's stars."""

    photo: Photo
    verdict: Verdict
    theirs: int


@dataclass(frozen=True, slots=True)
class Lesson:
    """What the photos that one genre served say about it."""

    proposal: Proposal
    partings: tuple[Parting, ...]


@dataclass(frozen=True, slots=True)
class Ratings:
    """What is learned from, and what else there was: photos on which eyeline's stars `stood` as it wrote
    them, photos that are `unrated`, and frames that are `no_portrait`."""

    rated: tuple[RatedPhoto, ...]
    stood: int
    unrated: int
    no_portrait: int


def ratings(decider: Decider, judged: Sequence[tuple[Photo, Verdict]], agreed: bool = False) -> Ratings:
    """The photographer's stars on photos with eyeline's verdicts. `agreed`: stars of eyeline's that stand
    count as theirs too, since they have looked at each."""
    records = SidecarRecords(decider.ledger, decider.configuration.naming)
    rated = []
    stood = unrated = no_portrait = 0
    for photo, verdict in judged:
        if verdict.stars is None:
            no_portrait += 1
        elif (theirs := their_stars(records, photo)) is not None:
            rated.append(RatedPhoto(photo, verdict, theirs))
        elif (standing := left_alone(records, photo)) is None:
            unrated += 1
        elif agreed:
            rated.append(RatedPhoto(photo, verdict, standing))
        else:
            stood += 1
    return Ratings(tuple(rated), stood, unrated, no_portrait)


def overall(rated: Sequence[RatedPhoto]) -> Agreement:
    """Agreement of the photographer's stars with those that eyeline gives on the whole brief."""
    return agreement([each.theirs for each in rated], [each.verdict.stars or 1 for each in rated])


def lessons(decider: Decider, rated: Sequence[RatedPhoto]) -> list[Lesson]:
    """One lesson for each genre that served any of `rated`, the genre with most photos first."""
    by_genre: dict[str, list[RatedPhoto]] = {}
    for each in rated:
        by_genre.setdefault(each.verdict.genre, []).append(each)
    found = []
    for name, of_genre in sorted(by_genre.items(), key=lambda entry: -len(entry[1])):
        rulebook = decider.rules.rules.genre(name)
        examples = _examples(decider, of_genre)
        found.append(Lesson(propose(rulebook, examples), partings(rulebook, examples)))
    return found


def _examples(decider: Decider, rated: Sequence[RatedPhoto]) -> Rated:
    measures = [{each.name: each for each in one.photo.measurements} for one in rated]
    groups: dict[tuple[str, str], int] = {}
    numbers = []
    for one, known in zip(rated, measures, strict=True):
        path = one.photo.frame.path
        series = known.get("series")
        name = path.name if series is None or series.value is None else str(series.value)
        numbers.append(groups.setdefault((str(path.parent), name), len(groups)))
    return Rated(
        columns_of(measures, decider.rules.quantities.values()),
        np.array([one.theirs for one in rated], dtype=np.intp),
        np.array(numbers, dtype=np.intp),
    )
