"""A sheet from what the ledger knows: no photo is opened, and of sidecars only those that others wrote in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from eyeline.deciding.judge_folder import (
    by_folder,
    judged_together,
    measured_exposures,
    measured_together,
    series_of,
    shot_of,
)
from eyeline.deciding.own_hand import OwnHand, own_hand
from eyeline.deciding.seating import SITTER, sittings_of
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.errors import BadConfiguration, EyelineError
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Photo
from eyeline.pages.choice import grouped
from eyeline.pages.numbers import numbers
from eyeline.pages.sheet import Sheet, SheetFrame
from eyeline.run.brief import FolderBrief, brief_of
from eyeline.run.nothing_measured import check_folders, nothing_measured
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import valid_folder_file
from eyeline.settings.rules import RulesInForce
from eyeline.sidecar.outcome import digest_of
from eyeline.sitting.shot import Shot
from eyeline.sitting.sittings import sittings as parted
from eyeline.terms.measurement import Measurement
from eyeline.terms.verdict import Verdict

NOTABLE_COST = 0.005
"""Loss of score from which a criterion is said to have cost something: scores are shown with two decimals."""


def sheet_of(
    folders: Sequence[Path],
    ledger: Ledger,
    configuration: Configuration,
    rules: RulesInForce,
    title: str,
    pictures_only: bool = False,
) -> Sheet:
    """All that is measured in `folders` (absolute), with all below them: sitter by sitter, series by series,
    in the order taken. `pictures_only`: neither crops nor the brief are shown, so they are not worked out.

    Raises
    ------
    EyelineError
        When nothing there is measured yet.
    BadConfiguration
        When a folder's file has a fault.
    """
    check_folders(folders)
    photos = measured_exposures(ledger, folders)
    if not photos:
        raise nothing_measured(folders)
    called = numbers([photo.frame.path for photo in photos])
    records = SidecarRecords(ledger, configuration.naming)
    roots = [one.path for one in configuration.folders]
    shots: list[Shot] = []
    frames: list[SheetFrame] = []
    for folder, inside in by_folder(photos).items():
        folder_rules = valid_folder_file(folder, roots, rules.rules.genres)
        genres = folder_rules.genres or configuration.genres_for(folder)
        sittings = sittings_of([photo.frame.path for photo in inside], folder_rules, ledger)
        measured = measured_together(inside, sittings)
        decisions = _decisions(ledger, folder, inside)
        undecided = {photo.frame.path for photo in inside} - decisions.keys()
        verdicts = {path: decision.verdict for path, decision in decisions.items()}
        if undecided:
            verdicts |= {
                photo.frame.path: verdict
                for photo, verdict in judged_together(
                    inside,
                    rules.brief(genres),
                    sittings,
                    rules,
                    configuration.five_stars,
                    () if pictures_only else undecided,
                )
                if photo.frame.path in undecided
            }
        for photo, known in zip(inside, measured, strict=True):
            path = photo.frame.path
            hand = _hand(records, photo, decisions.get(path), verdicts[path])
            frames.append(_frame(photo, called, verdicts[path], known, hand))
            shots.append(shot_of(photo, sittings.get(path)))
    report = None if pictures_only else _brief(folders, ledger, configuration, rules)
    return Sheet(title, grouped(_by_sitter(shots, frames)), len(frames), "", report, folders[0])


def _decisions(ledger: Ledger, folder: Path, photos: Sequence[Photo]) -> Mapping[Path, Decision]:
    """The latest decision on each of `photos`, where it was made on the picture that lies there now."""
    digests = {photo.frame.path: photo.frame.digest for photo in photos}
    return {
        decision.path: decision
        for decision in ledger.decisions.latest_in(folder)
        if digests.get(decision.path) == decision.digest
    }


def _hand(records: SidecarRecords, photo: Photo, decision: Decision | None, verdict: Verdict) -> OwnHand:
    """What the photographer has decided. A sidecar that eyeline made and nobody has touched is not parsed."""
    if decision is not None and decision.sidecar is not None and decision.sidecar_before is None:
        with suppress(OSError):
            if digest_of(decision.sidecar.read_bytes()) == decision.sidecar_after:
                return OwnHand(stars=photo.frame.capture.rating_inside or None)
    formats = tuple(crop.format_name for crop in verdict.crops)
    return own_hand(records.readable(photo.frame.path), photo.frame, formats)


def _frame(
    photo: Photo,
    called: Mapping[Path, str],
    verdict: Verdict,
    known: Mapping[str, Measurement],
    hand: OwnHand,
) -> SheetFrame:
    has_own = hand.stars is not None
    own = min(5, max(1, round(hand.stars))) if hand.stars is not None else None
    not_ours = {word.casefold() for word in (*hand.taken_out, *hand.words)}
    return SheetFrame(
        photo=photo,
        number=called[photo.frame.path],
        genre=verdict.genre,
        stars=own if has_own else None if hand.took_stars_out else verdict.stars,
        words=tuple(word for word in verdict.keywords if word.casefold() not in not_ours),
        binds=_spoken(binding(verdict), called),
        crops=tuple(
            crop if (area := hand.crop(crop.format_name)) is None else replace(crop, area=area)
            for crop in verdict.crops
        ),
        series=None if (series := series_of(known)) is None else f"{photo.frame.path.parent}/{series}",
        known=known,
        stars_are_own=has_own,
        own_words=hand.words,
        own_crops=tuple(name for name, _ in hand.crops),
    )


def binding(verdict: Verdict) -> str:
    """The one reason that holds the stars down, "" where nothing does."""
    return next(
        (
            reason.sentence
            for reason in verdict.reasons
            if reason.stars_at_most is not None or reason.cost >= NOTABLE_COST
        ),
        "",
    )


def _spoken(reason: str, called: Mapping[Path, str]) -> str:
    """`reason` as it is said below a picture: another frame by its number, no word too many."""
    numbers = {path.name: number for path, number in called.items()}
    words = [numbers.get(word, word) for word in reason.replace("; this genre wants", "; wants").split(" ")]
    return " ".join(words).replace(" %", "\N{NO-BREAK SPACE}%")


def _by_sitter(
    shots: Sequence[Shot], frames: Sequence[SheetFrame]
) -> list[tuple[str, str | None, SheetFrame]]:
    """Frames in the order taken, those of a series together, each with its sitter's label; "" = nobody."""
    found: list[tuple[str, str | None, SheetFrame]] = []
    turns = sorted(parted(shots), key=lambda turn: (shots[turn.rows[0]].taken_at or "~", turn.rows))
    names = [_label(shots[turn.rows[0]].sitting) for turn in turns]
    for number, turn in enumerate(turns, 1):
        label = names[number - 1] if any(names) else str(number)
        begins: dict[str, int] = {}
        for place, row in enumerate(turn.rows):
            begins.setdefault(frames[row].series or str(row), place)
        in_turn = sorted(turn.rows, key=lambda row: begins[frames[row].series or str(row)])
        found += [(label, shots[row].taken_at, frames[row]) for row in in_turn]
    shown = {row for turn in turns for row in turn.rows}
    left = [row for row in range(len(shots)) if row not in shown]
    return found + [("", shots[row].taken_at, frames[row]) for row in left]


def _label(sitting: str | None) -> str:
    """The sitter's label in the name of a sitting, "" where it names none."""
    word, _, label = (sitting or "").partition(" ")
    return label if word == SITTER else ""


def _brief(
    folders: Sequence[Path], ledger: Ledger, configuration: Configuration, rules: RulesInForce
) -> FolderBrief | None:
    """How far the brief is that somebody wrote for the one folder that the sheet shows."""
    if len(folders) != 1:
        return None
    roots = [one.path for one in configuration.folders]
    rules_of_folder = valid_folder_file(folders[0], roots, rules.rules.genres)
    if not (rules_of_folder.brief or rules_of_folder.genres):
        return None
    try:
        return brief_of(folders[0], ledger, configuration, rules)
    except BadConfiguration:
        raise
    except EyelineError:
        return None
