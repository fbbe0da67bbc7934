"""What a delivery still lacks: lines of the brief without a frame, frames without a final, names in vain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.seating import sitters_in
from eyeline.errors import EyelineError
from eyeline.ledger.records import Photo
from eyeline.run.brief import FolderBrief, brief_of
from eyeline.run.delivery_frames import DeliveredFrame, in_lines
from eyeline.run.select import meant, offer, understood


@dataclass(frozen=True, slots=True)
class Selected:
    """The selected frames of a folder. `lines_without`: what of its brief none of them is for, in words;
    `fault`: why that is not known, "" where it is."""

    frames: tuple[DeliveredFrame, ...]
    lines_without: tuple[str, ...]
    fault: str = ""


def selected_in(decider: Decider, folder: Path, photos: Sequence[Photo]) -> Selected:
    """The selected `photos`, all in `folder`, against its brief."""
    try:
        brief = brief_of(folder, decider.ledger, decider.configuration, decider.rules)
        frames = in_lines(decider, folder, brief, photos)
    except EyelineError as error:
        return Selected((), (), str(error))
    return Selected(tuple(frames), tuple(_lines_without(decider, folder, brief, frames)))


def named_in_vain(decider: Decider, folders: Sequence[Path]) -> list[str]:
    """What clients named that no frame of `folders` is called, nor is by now."""
    words = [each for folder in folders for each in decider.ledger.choices.in_vain(folder)]
    try:
        offered = offer(decider.ledger, folders)
    except EyelineError:
        return words
    return [each for each in dict.fromkeys(words) if not meant(understood(each), offered).frames]


def _lines_without(
    decider: Decider, folder: Path, brief: FolderBrief, frames: Sequence[DeliveredFrame]
) -> list[str]:
    of_job = {each.line for each in frames}
    missing = [each.line.name for each in brief.lines if each.line not in of_job]
    seats = decider.folder_rules(folder).seats
    if not brief.sitters or seats is None:
        return missing
    labels = sitters_in(seats, decider.ledger)
    of_sitter = {(labels.get(each.photo.frame.path), each.line) for each in frames}
    return missing + [
        f"{sitter.called}: {report.line.name}"
        for sitter in brief.sitters
        for report in sitter.lines
        if sitter.frames and (sitter.sitter, report.line) not in of_sitter
    ]
