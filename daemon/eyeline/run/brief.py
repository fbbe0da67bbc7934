"""The brief of a folder against what the ledger knows to lie there."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.deciding.judge_folder import by_folder, judged_together, measured_exposures, series_of, shot_of
from eyeline.deciding.seating import sitters_in, sittings_of
from eyeline.errors import BadConfiguration, EyelineError
from eyeline.intake.roots import root_of
from eyeline.judging.columns import columns_of
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.verdict import judge
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import FolderFile, folder_file, valid_folder_file
from eyeline.settings.rules import DEFAULT_BRIEF, RulesInForce
from eyeline.sitting.brief import BriefLine, LineReport, Offered, brief_report
from eyeline.sitting.seats import Seats
from eyeline.sitting.shot import in_order
from eyeline.terms.measurement import Measurement

ASKS_TO_LOOK = "check "
"""Words of the vocabulary that begin so ask a person to look at the frame."""


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
    folder_rules = valid_folder_file(folder, roots, rules.rules.genres)
    source, lines = own or _lines(folder, folder_rules, configuration)
    seats = folder_rules.seats
    if seats is None and any(line.per == "sitter" for line in lines):
        seats = Seats(folder)
    return _report(photos, folder, source, lines, seats, ledger, roots, configuration, rules)


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
    photos = measured_exposures(ledger, [folder_rules.path.parent])
    if only is not None and folder_rules.seats is not None and _all_per_sitter(folder_rules.brief):
        labels = sitters_in(folder_rules.seats, ledger)
        photos = [photo for photo in photos if labels.get(photo.frame.path, "") in only]
    try:
        return _report(
            photos,
            folder_rules.path.parent,
            folder_rules.path,
            folder_rules.brief,
            folder_rules.seats,
            ledger,
            roots,
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


def _report(
    photos: Sequence[Photo],
    home: Path,
    source: Path | None,
    lines: Sequence[BriefLine],
    seats: Seats | None,
    ledger: Ledger,
    roots: Sequence[Path],
    configuration: Configuration,
    rules: RulesInForce,
) -> FolderBrief:
    rulebooks = rules.brief(line.genre for line in lines)
    frames = _frames(
        photos, home, rulebooks, any(line.sizes for line in lines), ledger, roots, configuration, rules
    )
    of_job = [line for line in lines if line.per == "job"]
    of_sitter = [line for line in lines if line.per == "sitter"]
    if seats is None or not of_sitter:
        return FolderBrief(len(photos), source, _line_reports(lines, frames, rules))
    labels = sitters_in(seats, ledger)
    sitters = tuple(
        _of_sitter(label, seats, frames, labels, of_sitter, rules)
        for label in _in_order(seats, frames, labels)
    )
    used = {name for sitter in sitters for line in sitter.lines for name in line.there}
    left = [each for each in frames if each.offered.name not in used]
    nobodys = [
        each.offered.name
        for each in frames
        if each.photo.frame.path not in labels and each.known["people"].value != 0
    ]
    return FolderBrief(len(photos), source, _line_reports(of_job, left, rules), sitters, tuple(nobodys))


@dataclass(frozen=True, slots=True)
class _Frame:
    photo: Photo
    known: Mapping[str, Measurement]
    offered: Offered


def _of_sitter(
    label: str,
    seats: Seats,
    frames: Sequence[_Frame],
    labels: Mapping[Path, str],
    lines: Sequence[BriefLine],
    rules: RulesInForce,
) -> SitterBrief:
    own = [each for each in frames if labels.get(each.photo.frame.path) == label]
    taken = [each.photo.frame.capture.taken_at for each in own]
    return SitterBrief(
        label,
        seats.words(label),
        min((moment for moment in taken if moment is not None), default=None),
        len(own),
        sum(each.offered.verdict.stars == 1 for each in own),
        _line_reports(lines, own, rules),
    )


def _in_order(seats: Seats, frames: Sequence[_Frame], labels: Mapping[Path, str]) -> list[str]:
    """Sitters in the order of the list, then those who are not in it, as they first sat down."""
    shots = [(in_order(shot_of(each.photo, None)), labels.get(each.photo.frame.path)) for each in frames]
    sat = [label for _, label in sorted(shots, key=lambda each: each[0]) if label is not None]
    return list(dict.fromkeys([*(chair.number for chair in seats.chairs), *sat]))


def _frames(
    photos: Sequence[Photo],
    home: Path,
    rulebooks: Sequence[Rulebook],
    with_crops: bool,
    ledger: Ledger,
    roots: Sequence[Path],
    configuration: Configuration,
    rules: RulesInForce,
) -> list[_Frame]:
    """All `photos`, judged folder by folder on `rulebooks`; named by their paths from `home`."""
    asks_to_look = frozenset(
        word for id_ in rules.vocabulary.ids if id_.startswith(ASKS_TO_LOOK) for word in _written(id_, rules)
    )
    found = []
    for folder, inside in by_folder(photos).items():
        folder_rules = valid_folder_file(folder, roots, rules.rules.genres)
        sittings = sittings_of([photo.frame.path for photo in inside], folder_rules, ledger)
        five_stars, cropped = configuration.five_stars, None if with_crops else ()
        judged = judged_together(inside, rulebooks, sittings, rules, five_stars, cropped)
        for photo, verdict in judged:
            known = {each.name: each for each in photo.measurements}
            series = series_of(known)
            offered = Offered(
                str(photo.frame.path.relative_to(home)),
                None if series is None else f"{folder}/{series}",
                photo.frame.width,
                photo.frame.height,
                verdict,
                tuple(word for word in verdict.keywords if word in asks_to_look),
            )
            found.append(_Frame(photo, known, offered))
    return found


def _written(id_: str, rules: RulesInForce) -> tuple[str, ...]:
    return rules.vocabulary.written((id_,))


def _line_reports(
    lines: Sequence[BriefLine], frames: Sequence[_Frame], rules: RulesInForce
) -> tuple[LineReport, ...]:
    columns = columns_of([each.known for each in frames], rules.quantities.values())
    rulebooks = rules.brief(line.genre for line in lines) if lines else ()
    judgements = [judge(columns, (each,), rules.vocabulary, rules.quantities) for each in rulebooks]
    return brief_report(lines, [each.offered for each in frames], judgements, rules.quantities)
