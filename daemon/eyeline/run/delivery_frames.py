"""Which frames are delivered: those that were selected, or the best of each line; for which line, of whom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.judge_folder import measured_exposures
from eyeline.deciding.mark_selected import SELECTED
from eyeline.deciding.seating import sitters_in
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.ledger.records import Photo
from eyeline.run.brief import FolderBrief, brief_of
from eyeline.settings.folder_file import FolderFile, valid_folder_file
from eyeline.sitting.brief import BriefLine
from eyeline.terms.verdict import Verdict


@dataclass(frozen=True, slots=True)
class DeliveredFrame:
    """A frame that is delivered, the line that it is for, and what its sitter is called."""

    photo: Photo
    verdict: Verdict
    line: BriefLine
    sitter: str


def frames_in(decider: Decider, folder: Path, best: bool) -> list[DeliveredFrame]:
    """The selected frames in `folder`, or with `best` those that fill each line of its brief.

    Raises EyelineError where nothing is measured, BadConfiguration for a folder's file with a fault.
    """
    brief = brief_of(folder, decider.ledger, decider.configuration, decider.rules)
    photos = measured_exposures(decider.ledger, [folder])
    if best:
        filling = _lines_of(brief, folder)
        wanted = [photo for photo in photos if photo.frame.path in filling]
    else:
        records = SidecarRecords(decider.ledger, decider.configuration.naming)
        wanted = [photo for photo in photos if _is_selected(records, photo.frame.path)]
    return in_lines(decider, folder, brief, wanted)


def in_lines(
    decider: Decider, folder: Path, brief: FolderBrief, wanted: Sequence[Photo]
) -> list[DeliveredFrame]:
    """The `wanted` frames in `folder`, each with the line of its `brief` that it fills or serves best.

    Raises BadConfiguration for a folder's file with a fault.
    """
    roots = [one.path for one in decider.configuration.folders]
    folder_rules = valid_folder_file(folder, roots, decider.rules.rules.genres)
    lines = _lines_of(brief, folder)
    every_line = [each.line for each in brief.lines]
    every_line += [each.line for sitter in brief.sitters[:1] for each in sitter.lines]
    called = _sitters(folder_rules, decider)
    frames = []
    asked = {photo.frame.path for photo in wanted}
    for photo, verdict in decider.verdicts(wanted):
        path = photo.frame.path
        if path not in asked:  # the RAW beside a JPEG
            continue
        line = lines.get(path) or _line_served(verdict, every_line)
        sitter = called.get(path) or folder_rules.sitting or path.parent.name
        frames.append(DeliveredFrame(photo, verdict, line, sitter))
    return frames


def _is_selected(records: SidecarRecords, path: Path) -> bool:
    record = records.readable(path)
    return record is not None and SELECTED in {word.casefold() for word in record.present.keywords}


def _lines_of(brief: FolderBrief, folder: Path) -> dict[Path, BriefLine]:
    """The line that each frame fills, for those that fill one, as many as are wanted."""
    reports = [*brief.lines, *(line for sitter in brief.sitters for line in sitter.lines)]
    return {folder / name: report.line for report in reports for name in report.there[: report.line.wanted]}


def _line_served(verdict: Verdict, lines: Sequence[BriefLine]) -> BriefLine:
    """The line on whose genre the frame scores best."""
    scores = dict(verdict.scores)
    return max(lines, key=lambda line: scores.get(line.genre, 0.0))


def _sitters(folder_rules: FolderFile, decider: Decider) -> Mapping[Path, str]:
    seats = folder_rules.seats
    if seats is None:
        return {}
    return {path: seats.name(label) for path, label in sitters_in(seats, decider.ledger).items()}
