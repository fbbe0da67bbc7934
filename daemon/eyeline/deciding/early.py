"""A verdict as soon as a frame is measured, among the few that came before it: somebody at the camera waits.

Nothing is written and nothing recorded; once the sitting is over the frame is judged among all its company.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.judge_folder import judged_together
from eyeline.deciding.same_exposure import kind_of
from eyeline.deciding.seating import named_sittings
from eyeline.ledger.records import Photo
from eyeline.sitting.exposures import ExposureFile, pairs
from eyeline.terms.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Early:
    """The verdict of `photo`, which holds the measures of the set; `sitter`: label, where it is known."""

    photo: Photo
    verdict: Verdict
    sitter: str | None


def early_verdicts(decider: Decider, company: Sequence[Photo], asked: Collection[Path]) -> list[Early]:
    """The verdicts of those of `company`, photos of one folder, that are `asked` for; one for an exposure.

    None where the folder's file has a fault. Raises LedgerFailed.
    """
    folder = company[0].frame.path.parent
    rules = decider.folder_rules(folder)
    if rules.fault is not None:
        return []
    files = [_file(photo) for photo in company]
    follows = pairs(files)
    leaders = [photo for photo in company if photo.frame.path not in follows]
    sitters = decider.sitters(rules)
    sittings = named_sittings([photo.frame.path for photo in leaders], rules.sitting, sitters)
    judged = judged_together(
        leaders,
        decider.brief(folder, rules),
        sittings,
        decider.rules,
        decider.configuration.five_stars,
        cropped=(),
    )
    return [
        Early(photo, verdict, sitters.get(photo.frame.path))
        for photo, verdict in judged
        if photo.frame.path in asked
    ]


def _file(photo: Photo) -> ExposureFile:
    frame = photo.frame
    return ExposureFile(frame.path, kind_of(frame.path), frame.capture.taken_at, frame.capture.serial)
