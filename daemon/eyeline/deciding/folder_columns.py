"""The photos of one folder as columns of numbers: all that judging them on any genre needs, and no more.

A photo with all that was measured in it takes some 30 kB of memory, its row here about 1.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from eyeline.cropping.suggest import Uncropped
from eyeline.deciding.judge_folder import measured_together, series_of
from eyeline.judging.columns import Columns, columns_of
from eyeline.judging.verdict import Judgement
from eyeline.judging.vocabulary import Vocabulary
from eyeline.ledger.records import Photo
from eyeline.sitting.ranking import SOUND, Judged, Placed, best_of_series, twins
from eyeline.terms.frame import Frame
from eyeline.terms.measurement import Measurement, Quantity
from eyeline.terms.verdict import Verdict

RANKED_BY = ("eyes_open", "eye_blur_iris")
"""Measures by which frames of a series are ranked, beside stars and score."""


@dataclass(frozen=True, slots=True, eq=False)
class FolderColumns:
    """The photos of one folder that are judged, a row each. `series`: the others of a series have the same;
    `ranked_by`: what they are ranked by there. `columns`: with the measures of the set."""

    folder: Path
    frames: tuple[Frame, ...]
    series: tuple[str | None, ...]
    ranked_by: tuple[Mapping[str, Measurement], ...]
    columns: Columns

    def placed(self, judgement: Judgement, vocabulary: Vocabulary) -> tuple[Placed, ...]:
        """Each frame ranked in its series by `judgement`; verdicts are light ones, see `light_verdict`."""
        return best_of_series(
            [
                Judged(frame.path.name, series, light_verdict(judgement, row), ranked_by)
                for row, (frame, series, ranked_by) in enumerate(
                    zip(self.frames, self.series, self.ranked_by, strict=True)
                )
            ],
            vocabulary,
        )

    def stars(self, judgement: Judgement) -> NDArray[np.intp]:
        """The stars of each frame by `judgement`, ranked in its series as in `placed`; 0 for none."""
        rows = [row for row, series in enumerate(self.series) if series is not None]
        judged = [
            Judged(
                self.frames[row].path.name,
                self.series[row],
                light_verdict(judgement, row),
                self.ranked_by[row],
            )
            for row in rows
        ]
        stars = judgement.stars.copy()
        held = [rows[each] for each in twins(judged)]
        stars[held] = np.minimum(stars[held], SOUND)
        return stars


def folder_columns(
    folder: Path,
    photos: Sequence[Photo],
    sittings: Mapping[Path, str],
    quantities: Mapping[str, Quantity],
) -> FolderColumns:
    """`photos`, all that are judged in `folder`, as columns; `sittings` names the sitting of those that have
    one (`seating`)."""
    measured = measured_together(photos, sittings)
    return FolderColumns(
        folder,
        tuple(photo.frame for photo in photos),
        tuple(series_of(known) for known in measured),
        tuple({name: known[name] for name in RANKED_BY if name in known} for known in measured),
        columns_of(measured, quantities.values()),
    )


def light_verdict(judgement: Judgement, row: int) -> Verdict:
    """A verdict of nothing but genre, stars and score, which is what frames are ranked by."""
    served, stars = int(judgement.served[row]), int(judgement.stars[row])
    genre = judgement.rulebooks[served].name if stars else ""
    score = float(judgement.scores[row, served]) if stars else 0.0
    return Verdict(genre, score, stars or None, (), (), (), judgement.rules_digest)


def uncropped(
    photo: Photo, columns: Columns, row: int, quantities: Mapping[str, Quantity]
) -> Uncropped | None:
    """`photo`, whose numbers are in `row`, as crops are sought in it; None where nobody sits in it."""
    if photo.points is None:
        return None
    measured = {each.name: each for each in photo.measurements}
    for name in quantities:
        value = columns.value(name, row)
        if value is not None:
            measured[name] = Measurement(name, value)
    return Uncropped(photo.points, photo.frame.width, photo.frame.height, measured)
