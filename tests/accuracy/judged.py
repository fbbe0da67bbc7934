"""A measured set judged as `eyeline run` judges it: the shipped brief, sittings and series included."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from eyeline.deciding.judge_folder import judged_together
from eyeline.ledger.records import Photo
from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import rules_in_force
from eyeline.terms.verdict import Verdict
from eyeline.workers.examine import Examined
from tests.accuracy.pipeline import Pair


@dataclass(frozen=True)
class Judged:
    """One pair, the photo with the measures of the set, and its verdict."""

    pair: Pair
    photo: Photo
    verdict: Verdict

    @property
    def name(self) -> str:
        return self.pair.portrait.path.name

    @property
    def stars(self) -> int:
        """0 for a frame in which nobody was found."""
        return self.verdict.stars or 0


def photo_of(examined: Examined) -> Photo:
    """What the ledger would keep of an examined photo."""
    measured_at = datetime(2026, 1, 1, tzinfo=UTC)
    measurements = tuple(examined.measurements.values())
    return Photo(examined.frame, measurements, examined.points, "", {}, measured_at, MEASURES_EDITION)


def judge_set(pairs: Sequence[Pair]) -> list[Judged]:
    """All of one folder judged on the shipped default brief; the order is kept."""
    rules, _ = rules_in_force(Configuration())
    judged = judged_together([photo_of(pair.examined) for pair in pairs], rules.brief(()), {}, rules, False)
    of_path = {photo.frame.path: (photo, verdict) for photo, verdict in judged}
    return [Judged(pair, *of_path[pair.examined.frame.path]) for pair in pairs]


def judge_alone(examined: Examined) -> Verdict:
    """The verdict of a photo that has a folder of its own: nothing of any set helps."""
    rules, _ = rules_in_force(Configuration())
    ((_, verdict),) = judged_together([photo_of(examined)], rules.brief(()), {}, rules, False)
    return verdict
