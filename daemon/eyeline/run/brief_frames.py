"""What each frame of a folder offers to the lines of a brief: verdict, crops, and what is in doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from eyeline.cropping.suggest import Uncropped, suggestions
from eyeline.deciding.folder_columns import FolderColumns, uncropped
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.verdict import PEOPLE, judge
from eyeline.ledger.ledger import Ledger
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import RulesInForce
from eyeline.sitting.brief import SOUND, Offered
from eyeline.terms.frame import Frame
from eyeline.terms.verdict import Verdict

ASKS_TO_LOOK = "check "
"""Words of the vocabulary that begin so ask a person to look at the frame."""


@dataclass(frozen=True, slots=True)
class BriefFrame:
    """A frame with what it offers. `has_faces`: whether it may show a sitter at all."""

    frame: Frame
    has_faces: bool
    offered: Offered


def frames_of(
    table: FolderColumns,
    home: Path,
    rulebooks: Sequence[Rulebook],
    with_crops: bool,
    ledger: Ledger,
    configuration: Configuration,
    rules: RulesInForce,
) -> list[BriefFrame]:
    """The frames of `table`, judged on `rulebooks`; named by their paths from `home`."""
    vocabulary, columns = rules.vocabulary, table.columns
    judgement = judge(columns, rulebooks, vocabulary, rules.quantities, five_stars=configuration.five_stars)
    verdicts = [each.verdict for each in table.placed(judgement, vocabulary)]
    if with_crops:
        verdicts = _with_crops(table, verdicts, ledger, rules)
    found = []
    for row, (frame, series, verdict) in enumerate(zip(table.frames, table.series, verdicts, strict=True)):
        doubts: tuple[str, ...] = ()
        if (verdict.stars or 0) >= SOUND:  # others fill no line
            asks = [word for word in judgement.keyword_ids(row) if word.startswith(ASKS_TO_LOOK)]
            doubts = tuple(vocabulary.written(asks))
        offered = Offered(
            str(frame.path.relative_to(home)),
            None if series is None else f"{table.folder}/{series}",
            frame.width,
            frame.height,
            verdict,
            doubts,
        )
        found.append(BriefFrame(frame, columns.value(PEOPLE, row) != 0, offered))
    return found


def _with_crops(
    table: FolderColumns, verdicts: Sequence[Verdict], ledger: Ledger, rules: RulesInForce
) -> list[Verdict]:
    """`verdicts` with the crops that each frame gives on the genre that it serves."""
    photos = {photo.frame.path: photo for photo in ledger.photos.in_folder(table.folder)}
    of_genre: dict[str, dict[int, Uncropped]] = {}
    for row, (frame, verdict) in enumerate(zip(table.frames, verdicts, strict=True)):
        photo = photos.get(frame.path) if verdict.stars is not None else None
        if photo is not None:
            cut = uncropped(photo, table.columns, row, rules.quantities)
            if cut is not None:
                of_genre.setdefault(verdict.genre, {})[row] = cut
    found = list(verdicts)
    for genre, frames in of_genre.items():
        answers = suggestions([*frames.values()], rules.rules.genre(genre), rules.quantities.values())
        for row, each in zip(frames, answers, strict=True):
            found[row] = replace(found[row], crops=each.crops, no_crops=each.no_crops)
    return found
