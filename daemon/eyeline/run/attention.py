"""What the daemon does for those who wait at the camera: early verdicts, who sits, and what they are told."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from math import inf
from pathlib import Path
from typing import Any

from eyeline.deciding.early import Early, early_verdicts
from eyeline.deciding.judge_folder import photos_in, shot_of
from eyeline.deciding.seating import sitters_in
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.errors import BadConfiguration, EyelineError
from eyeline.intake.names import photo_kind
from eyeline.ledger.records import Decision, Photo
from eyeline.run.announcements import Announcement, Announcements, FrameJudged, SitterSeated
from eyeline.run.brief import FolderBrief, own_brief
from eyeline.run.early_verdicts import EarlyVerdicts
from eyeline.run.occasions import Occasions
from eyeline.run.ratings import their_stars
from eyeline.run.said import SaidSitters
from eyeline.run.session import Session
from eyeline.run.sitter_moves import move
from eyeline.run.write_queue import WriteQueue
from eyeline.settings.folder_file import FILE_NAME
from eyeline.sitting.seats import Seats, is_black
from eyeline.sitting.shot import seconds_of
from eyeline.terms.verdict import Verdict

WHICH_FOLDER = "no brief that counts per sitter is known there"
WHICH_CURE = "Name the folder whose eyeline.toml does: eyeline sitter NUMBER --folder FOLDER"


@dataclass(slots=True)
class Attention:
    """Everything here runs in the daemon's thread and may raise LedgerFailed.

    `rejudge`: has a folder judged and written anew. `answers`: whether a folder can be touched without
    waiting for it; one that cannot is left alone until it can.
    """

    session: Session
    rejudge: Callable[[Path], None]
    announcements: Announcements = field(default_factory=Announcements)
    answers: Callable[[Path], bool] = lambda _: True
    _early: EarlyVerdicts = field(init=False)
    _occasions: Occasions = field(init=False, default_factory=Occasions)
    _said: SaidSitters = field(init=False)
    _pauses: WriteQueue = field(init=False)
    _stood_up: dict[Path, list[str]] = field(init=False, default_factory=dict)
    _moved: dict[Path, list[str]] = field(init=False, default_factory=dict)
    _sat: dict[Path, list[str]] = field(init=False, default_factory=dict)
    _sitters: Mapping[Path, str] = field(init=False, default_factory=dict)
    _records: SidecarRecords = field(init=False)
    _latest: Path | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        ledger = self.session.ledger
        self._early = EarlyVerdicts(self._judge, lambda folder: photos_in(ledger, folder))
        self._said = SaidSitters(ledger)
        self._records = self._new_records()
        self._pauses = WriteQueue(self.session.configuration.tell.pause_seconds, inf)

    def noticed(self, path: Path) -> None:
        """Something happens to the file at `path`."""
        if photo_kind(path.name) is not None:
            self._said.noticed(path)

    def measured(self, photo: Photo) -> None:
        """A photo is measured."""
        self._said.measured(photo)
        self._latest = photo.frame.path.parent
        self._pauses.noticed(self._latest, time.monotonic())
        self._early.measured(photo)

    def failed(self, path: Path) -> None:
        """A photo cannot be read."""
        self._said.gone(path)
        self._occasions.unreadable(path, time.monotonic())
        self._pauses.noticed(path.parent, time.monotonic())

    def will_decide(self, folder: Path) -> None:
        """The photos in `folder` are about to be decided."""
        decider = self.session.decider
        self._sitters = decider.sitters(decider.folder_rules(folder))
        self._records = self._new_records()

    def decided(self, photo: Photo, decision: Decision) -> None:
        """A photo is judged among all its company, and written."""
        own = their_stars(self._records, photo)
        self._tell([_judged(photo, decision.verdict, self._sitters.get(photo.frame.path), own, early=False)])

    def turn(self, is_idle: bool) -> None:
        """Do what is due; `is_idle`: nothing is on its way in."""
        now_s = time.monotonic()
        self._early.tell_due(now_s)
        for folder in filter(self.answers, self._pauses.due(now_s) if is_idle else ()):
            self._pauses.take(folder)
            self._stood_up.pop(folder, None)
            sat = self._sat.pop(folder, [])
            self._sat[folder] = sat[-1:]  # who sits still is looked at again
            self._tell_gaps(folder, self._moved.pop(folder, []))  # asked for, so not as one with a card's
            brief = self._brief(folder, None if self._occasions.is_card(folder) else sat)
            self._tell(self._occasions.paused(folder, brief, len(frozenset(sat)) == 1))
        for folder in filter(self.answers, [*self._stood_up] if is_idle else ()):
            self._tell_gaps(folder, self._stood_up.pop(folder))

    def stood_still(self, seconds: float) -> None:
        """The machine did for so long, which is no pause of the photographer's."""
        self._pauses.stood_still(seconds)

    @property
    def next_s(self) -> float | None:
        """When something is due next, by the monotonic clock."""
        return self._early.next_s()

    def look_for_room(self, folders: Iterable[Path]) -> None:
        """See how much is free on the disks of `folders`."""
        for folder in folders:
            try:
                free_bytes = shutil.disk_usage(folder).free
            except OSError:  # it is not there; others tell of that
                continue
            self._tell(self._occasions.room(folder, free_bytes))

    def say(self, text: str, folder: Path | None = None) -> Mapping[str, str]:
        """`text` sits from now on. Raises BadConfiguration where it is not known under which folder."""
        seats = self._seats(folder)
        label = self._said.say(seats, text, self._in_order(seats))
        for folder in [each for each in self._sat if each.is_relative_to(seats.home)]:
            self._stand_up(folder, but=label)
        self._tell([SitterSeated(seats.home, seats.words(label))])
        return {
            "sitter": label,
            "called": seats.words(label),
            "folder": str(seats.home),
            "doubt": seats.doubt(label),
        }

    def seated(self, folder: Path | None = None) -> Mapping[str, str | None]:
        """Who sits now. Raises BadConfiguration as `say` does."""
        seats = self._seats(folder)
        label = self._said.sitter(seats.home) or next(reversed(self._in_order(seats)), None)
        called = None if label is None else seats.words(label)
        return {"sitter": label, "called": called, "folder": str(seats.home)}

    def move(self, text: str, paths: Sequence[Path]) -> Mapping[str, Any]:
        """Move the photos at `paths` to the sitter that `text` names, and have all that this may change be
        judged anew. Raises as `sitter_moves.move`."""
        moved = move(self.session.decider, text, paths)
        for folder in moved.folders:
            self.rejudge(folder)
            self._sat.setdefault(folder, []).append(moved.sitter)
            self._moved.setdefault(folder, []).append(moved.sitter)
            self._pauses.noticed(folder, time.monotonic())
        return {"photos": moved.photos, "sitter": moved.sitter, "called": moved.called, "doubt": moved.doubt}

    def _seats(self, folder: Path | None) -> Seats:
        decider = self.session.decider
        places = [folder] if folder is not None else [self._latest, *self._folder_files(), *decider.roots]
        for place in places:
            if (
                place is not None
                and self.answers(place)
                and (seats := decider.folder_rules(place).seats) is not None
            ):
                return seats
        raise BadConfiguration(WHICH_FOLDER, folder, WHICH_CURE)

    def _folder_files(self) -> list[Path]:
        """Folders that say something themselves, one or two levels down, the latest changed first: at the
        start of a day no photo has come yet."""
        found = {}
        for root in filter(self.answers, self.session.decider.roots):
            for pattern in (f"*/{FILE_NAME}", f"*/*/{FILE_NAME}"):
                for file in root.glob(pattern):
                    with suppress(OSError):
                        found[file.parent] = file.stat().st_mtime_ns
        return sorted(found, key=lambda folder: found[folder], reverse=True)

    def _in_order(self, seats: Seats) -> list[str]:
        """Who sits in each frame, in the order in which they were taken."""
        return [*sitters_in(seats, self.session.ledger).values()]

    def _judge(self, company: Sequence[Photo], new: frozenset[Path]) -> None:
        if not self.answers(company[0].frame.path):
            return  # the sidecar will tell
        try:
            found = early_verdicts(self.session.decider, company, new)
        except EyelineError as error:
            if not isinstance(error, BadConfiguration):
                raise
            return  # a genre that is gone: told when the folder is judged
        records = self._new_records()
        for each in found:
            self._tell_early(each, their_stars(records, each.photo))

    def _new_records(self) -> SidecarRecords:
        """Of what lies there now, for one look at a folder."""
        return SidecarRecords(self.session.ledger, self.session.configuration.naming)

    def _tell_early(self, early: Early, own_stars: int | None) -> None:
        path, verdict = early.photo.frame.path, early.verdict
        shot = shot_of(early.photo, None)
        sat = self._sat.setdefault(path.parent, [])
        if early.sitter is not None and early.sitter not in sat[-1:]:
            sat.append(early.sitter)
        if shot.shows_no_face and not is_black(shot):
            self._stand_up(path.parent)
        faults = frozenset(each.name for each in verdict.reasons if each.stars_at_most is not None)
        self._tell([_judged(early.photo, verdict, early.sitter, own_stars, early=True)])
        taken_s = seconds_of(early.photo.frame.capture.taken_at)
        self._tell(
            self._occasions.judged(path, faults, verdict.stars, is_black(shot), taken_s, time.monotonic())
        )

    def _stand_up(self, folder: Path, but: str | None = None) -> None:
        """All who sat in `folder` have gone, `but` for one."""
        sat = self._sat.pop(folder, [])
        self._sat[folder] = [label for label in sat if label == but]
        if gone := [label for label in sat if label != but]:
            self._stood_up.setdefault(folder, []).extend(gone)

    def _tell_gaps(self, folder: Path, sitters: Sequence[str]) -> None:
        """Tell what these sitters lack, each once."""
        brief = self._brief(folder, sitters) if sitters else None
        if brief is not None:
            self._tell(self._occasions.gaps(brief, folder))

    def _brief(self, folder: Path, only: Sequence[str] | None) -> FolderBrief | None:
        """How far the brief is, of sitters for those in `only`, or for all."""
        session = self.session
        decider = session.decider
        return own_brief(
            folder,
            session.ledger,
            session.configuration,
            decider.rules,
            decider.roots,
            None if only is None else frozenset(only),
        )

    def _tell(self, found: Iterable[Announcement]) -> None:
        for each in found:
            self.announcements.tell(each)


def _judged(
    photo: Photo, verdict: Verdict, sitter: str | None, own_stars: int | None, *, early: bool
) -> FrameJudged:
    binds = verdict.reasons[0].sentence if verdict.reasons else ""
    path, stars = photo.frame.path, verdict.stars
    return FrameJudged(path, verdict.genre, stars, verdict.keywords, binds, sitter, early, own_stars)
