"""The brief of a folder against what the ledger knows to lie there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.deciding.judge_folder import by_folder, judged_together, measured_exposures, series_of
from eyeline.errors import BadConfiguration, EyelineError
from eyeline.intake.roots import root_of
from eyeline.judging.columns import columns_of
from eyeline.judging.verdict import judge
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import FolderFile, folder_file, valid_folder_file
from eyeline.settings.rules import DEFAULT_BRIEF, RulesInForce
from eyeline.sitting.brief import BriefLine, LineReport, Offered, brief_report
from eyeline.terms.measurement import Measurement


@dataclass(frozen=True, slots=True)
class SitterBrief:
    """How far the lines that count per sitter are for one of them.

    `sitter`: the label, a number or a name. `since`: when the first frame was taken by the camera's clock,
    ISO 8601, None where there is none yet. `set_aside`: how many of its `frames` have one star.
    """

    sitter: str
    since: str | None
    frames: int
    set_aside: int
    lines: tuple[LineReport, ...]


@dataclass(frozen=True, slots=True)
class FolderBrief:
    """How far the brief of a folder is. `source`: the file that the lines come from, None = the default.
    `lines`: those that count for the whole job. `sitters`: in their order, where the brief counts per sitter.
    """

    photos: int
    source: Path | None
    lines: tuple[LineReport, ...]
    sitters: tuple[SitterBrief, ...] = ()


def brief_of(
    folder: Path,
    ledger: Ledger,
    configuration: Configuration,
    rules: RulesInForce,
    own: tuple[Path, Sequence[BriefLine]] | None = None,
) -> FolderBrief:
    """Compare what was measured in `folder`, with all below it, with its brief: `own` and the file that
    it was read from, else that of its eyeline.toml, else one frame of each genre it is judged on.

    Raises
    ------
    EyelineError
        When nothing there is measured yet.
    BadConfiguration
        When the folder's file has a fault.
    """
    photos = measured_exposures(ledger, [folder])
    if not photos:
        raise EyelineError("nothing in it is measured yet", folder, "Run: eyeline run on it")
    roots = [one.path for one in configuration.folders]
    source, lines = own or _lines(folder, valid_folder_file(folder, roots, rules.rules.genres), configuration)
    return FolderBrief(len(photos), source, _reports(photos, lines, roots, configuration, rules))


def own_brief(
    folder: Path,
    ledger: Ledger,
    configuration: Configuration,
    rules: RulesInForce,
    roots: Sequence[Path],
) -> FolderBrief | None:
    """How far the brief is in whose folder or below it `folder` lies; None where no eyeline.toml holds one,
    or where it has a fault, which is told when photos are judged."""
    folder_rules = folder_file(folder, root_of(folder, roots) or folder, rules.rules.genres)
    if folder_rules.path is None or not folder_rules.brief:
        return None
    photos = measured_exposures(ledger, [folder_rules.path.parent])
    try:
        reports = _reports(photos, folder_rules.brief, roots, configuration, rules)
    except BadConfiguration:
        return None
    return FolderBrief(len(photos), folder_rules.path, reports)


def _lines(
    folder: Path, folder_rules: FolderFile, configuration: Configuration
) -> tuple[Path | None, Sequence[BriefLine]]:
    if folder_rules.brief:
        return folder_rules.path, folder_rules.brief
    genres = folder_rules.genres or configuration.genres_for(folder) or DEFAULT_BRIEF
    return (folder_rules.path if folder_rules.genres else None), [BriefLine(genre) for genre in genres]


def _reports(
    photos: Sequence[Photo],
    lines: Sequence[BriefLine],
    roots: Sequence[Path],
    configuration: Configuration,
    rules: RulesInForce,
) -> tuple[LineReport, ...]:
    rulebooks = rules.brief(line.genre for line in lines)
    frames: list[Offered] = []
    measured: list[dict[str, Measurement]] = []
    for folder, inside in by_folder(photos).items():
        sitting = valid_folder_file(folder, roots, rules.rules.genres).sitting
        for photo, verdict in judged_together(inside, rulebooks, sitting, rules, configuration.five_stars):
            known = {each.name: each for each in photo.measurements}
            series = series_of(known)
            measured.append(known)
            frames.append(
                Offered(
                    photo.frame.path.name,
                    None if series is None else f"{folder}/{series}",
                    photo.frame.width,
                    photo.frame.height,
                    verdict,
                )
            )
    columns = columns_of(measured, rules.quantities.values())
    judgements = [judge(columns, (each,), rules.vocabulary, rules.quantities) for each in rulebooks]
    return brief_report(lines, frames, judgements, rules.quantities)
