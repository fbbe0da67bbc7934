"""The brief of a folder against what the ledger knows to lie there."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.deciding.folder_columns import FolderColumns, folder_columns
from eyeline.deciding.judge_folder import photos_in
from eyeline.deciding.same_exposure import exposures_around
from eyeline.deciding.seating import sitters_in, sittings_of
from eyeline.errors import BadConfiguration
from eyeline.intake.roots import root_of
from eyeline.judging.columns import Columns, columns_of, joined
from eyeline.judging.verdict import judge
from eyeline.ledger.ledger import Ledger
from eyeline.run.brief_frames import BriefFrame, frames_of
from eyeline.run.nothing_measured import check_folders, nothing_measured
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import FolderFile, folder_file, valid_folder_file
from eyeline.settings.rules import DEFAULT_BRIEF, RulesInForce
from eyeline.sitting.brief import BriefLine, LineReport, brief_report
from eyeline.sitting.seats import Seats
from eyeline.sitting.shot import Shot, in_order
from eyeline.terms.frame import Frame


@dataclass(frozen=True, slots=True)
class SitterBrief:
    """How far the lines that count per sitter are for one of them.

    `sitter`: the label, a number or a name; `called`: that with the name of the list, for a report. `since`:
    when the first frame was taken by the camera's clock, ISO 8601, None where there is none yet. `set_aside`:
    how many of its `frames` have one star.
    """

    sitter: str
    called: str
    since: str | None
    frames: int
    set_aside: int
    lines: tuple[LineReport, ...]


@dataclass(frozen=True, slots=True)
class FolderBrief:
    """How far the brief of a folder is. `source`: the file that the lines come from, None = the default.
    `lines`: those that count for the whole job. `sitters`: in their order, where the brief counts per sitter;
    `nobodys`: frames of which nobody said who sits in them, by name.
    """

    photos: int
    source: Path | None
    lines: tuple[LineReport, ...]
    sitters: tuple[SitterBrief, ...] = ()
    nobodys: tuple[str, ...] = ()


def brief_of(
    folder: Path,
    ledger: Ledger,
    configuration: Configuration,
    rules: RulesInForce,
    own: tuple[Path, Sequence[BriefLine]] | None = None,
    known: Mapping[Path, FolderColumns] | None = None,
) -> FolderBrief:
    """Compare what was measured in `folder`, with all below it, with its brief: `own` and the file that
    it was read from, else that of its eyeline.toml, else one frame of each genre it is judged on.

    `known`: every folder in it, where somebody has read them already.

    Raises
    ------
    EyelineError
        When nothing there is measured yet.
    BadConfiguration
        When the folder's file has a fault.
    """
    check_folders([folder])
    roots = [one.path for one in configuration.folders]
    if known is None:
        tables = _tables(folder, ledger, roots, rules)
    else:
        tables = [known[each] for each in sorted(known) if each.is_relative_to(folder)]
    if not any(each.frames for each in tables):
        raise nothing_measured([folder])
    folder_rules = valid_folder_file(folder, roots, rules.rules.genres)
    source, lines = own or _lines(folder, folder_rules, configuration)
    seats = folder_rules.seats
    if seats is None and any(line.per == "sitter" for line in lines):
        seats = Seats(folder)
    return _report(tables, folder, source, lines, seats, ledger, configuration, rules)


def own_brief(
    folder: Path,
    ledger: Ledger,
    configuration: Configuration,
    rules: RulesInForce,
    roots: Sequence[Path],
    only: Container[str] | None = None,
) -> FolderBrief | None:
    """How far the brief is in whose folder or below it `folder` lies; None where no eyeline.toml holds one,
    or where it has a fault, which is told when photos are judged.

    `only`: labels of the sitters that matter, where all lines count per sitter: judging a whole day takes a
    second or two.
    """
    folder_rules = folder_file(folder, root_of(folder, roots) or folder, rules.rules.genres)
    if folder_rules.path is None or not folder_rules.brief:
        return None
    chosen = None
    if only is not None and folder_rules.seats is not None and _all_per_sitter(folder_rules.brief):
        labels = sitters_in(folder_rules.seats, ledger)
        chosen = {path for path, label in labels.items() if label in only}
    home = folder_rules.path.parent
    try:
        return _report(
            _tables(home, ledger, roots, rules, chosen),
            home,
            folder_rules.path,
            folder_rules.brief,
            folder_rules.seats,
            ledger,
            configuration,
            rules,
        )
    except BadConfiguration:
        return None


def _all_per_sitter(lines: Sequence[BriefLine]) -> bool:
    return all(line.per == "sitter" for line in lines)


def _lines(
    folder: Path, folder_rules: FolderFile, configuration: Configuration
) -> tuple[Path | None, Sequence[BriefLine]]:
    if folder_rules.brief:
        return folder_rules.path, folder_rules.brief
    genres = folder_rules.genres or configuration.genres_for(folder) or DEFAULT_BRIEF
    return (folder_rules.path if folder_rules.genres else None), [BriefLine(genre) for genre in genres]


def _tables(
    home: Path,
    ledger: Ledger,
    roots: Sequence[Path],
    rules: RulesInForce,
    chosen: Container[Path] | None = None,
) -> list[FolderColumns]:
    """What is judged in `home` and each folder below it; `chosen`: the photos that matter, None = all. One
    folder after the other, so that the measures of one alone are in memory."""
    found = []
    for folder in sorted({row.path.parent for row in ledger.files.under(home)}):
        asked = {photo.frame.path: photo for photo in photos_in(ledger, folder)}
        photos = exposures_around(ledger, asked).judged_in(folder) if asked else []
        photos = [photo for photo in photos if chosen is None or photo.frame.path in chosen]
        if photos:
            folder_rules = valid_folder_file(folder, roots, rules.rules.genres)
            sittings = sittings_of([photo.frame.path for photo in photos], folder_rules, ledger)
            found.append(folder_columns(folder, photos, sittings, rules.quantities))
    return found


def _report(
    tables: Sequence[FolderColumns],
    home: Path,
    source: Path | None,
    lines: Sequence[BriefLine],
    seats: Seats | None,
    ledger: Ledger,
    configuration: Configuration,
    rules: RulesInForce,
) -> FolderBrief:
    rulebooks = rules.brief(line.genre for line in lines)
    with_crops = any(line.sizes for line in lines)
    frames = [
        frame
        for table in tables
        for frame in frames_of(table, home, rulebooks, with_crops, ledger, configuration, rules)
    ]
    quantities = rules.quantities.values()
    columns = joined([table.columns for table in tables]) if tables else columns_of([], quantities)
    of_job = [line for line in lines if line.per == "job"]
    of_sitter = [line for line in lines if line.per == "sitter"]
    if seats is None or not of_sitter:
        return FolderBrief(len(frames), source, _line_reports(lines, frames, columns, rules))
    labels = sitters_in(seats, ledger)
    sitters = tuple(
        _of_sitter(label, seats, frames, columns, labels, of_sitter, rules)
        for label in _in_order(seats, frames, labels)
    )
    used = {name for sitter in sitters for line in sitter.lines for name in line.there}
    left = [row for row, each in enumerate(frames) if each.offered.name not in used]
    nobodys = [each.offered.name for each in frames if each.frame.path not in labels and each.has_faces]
    return FolderBrief(
        len(frames),
        source,
        _line_reports(of_job, [frames[row] for row in left], columns.rows(left), rules),
        sitters,
        tuple(nobodys),
    )


def _of_sitter(
    label: str,
    seats: Seats,
    frames: Sequence[BriefFrame],
    columns: Columns,
    labels: Mapping[Path, str],
    lines: Sequence[BriefLine],
    rules: RulesInForce,
) -> SitterBrief:
    rows = [row for row, each in enumerate(frames) if labels.get(each.frame.path) == label]
    own = [frames[row] for row in rows]
    taken = [each.frame.capture.taken_at for each in own]
    return SitterBrief(
        label,
        seats.words(label),
        min((moment for moment in taken if moment is not None), default=None),
        len(own),
        sum(each.offered.verdict.stars == 1 for each in own),
        _line_reports(lines, own, columns.rows(rows), rules),
    )


def _in_order(seats: Seats, frames: Sequence[BriefFrame], labels: Mapping[Path, str]) -> list[str]:
    """Sitters in the order of the list, then those who are not in it, as they first sat down."""
    shots = [(in_order(_shot(each.frame)), labels.get(each.frame.path)) for each in frames]
    sat = [label for _, label in sorted(shots, key=lambda each: each[0]) if label is not None]
    return list(dict.fromkeys([*(chair.number for chair in seats.chairs), *sat]))


def _shot(frame: Frame) -> Shot:
    return Shot(
        frame.path.name, str(frame.path.parent), frame.capture.taken_at, frame.capture.serial, {}, None, None
    )


def _line_reports(
    lines: Sequence[BriefLine], frames: Sequence[BriefFrame], columns: Columns, rules: RulesInForce
) -> tuple[LineReport, ...]:
    rulebooks = rules.brief(line.genre for line in lines) if lines else ()
    judgements = [judge(columns, (each,), rules.vocabulary, rules.quantities) for each in rulebooks]
    return brief_report(lines, [each.offered for each in frames], judgements, rules.quantities)
