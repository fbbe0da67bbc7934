"""Shoots in which nothing has changed since all was decided and written: a pass need not judge them again.

What the next pass would go by is known without opening a file: status of photos and sidecars, rows of the
ledger, rules, brief, configuration. Its digest is kept when a pass has left nothing to do.
"""

from __future__ import annotations

import os
import stat
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from hashlib import blake2b
from importlib.metadata import version
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.shoot import Shoot, folders_of
from eyeline.errors import EyelineError, UnsafeSidecar
from eyeline.intake.names import is_sidecar, photo_kind
from eyeline.judging.verdict import brief_digest
from eyeline.ledger.records import Decision, FolderRow, Outcome, Settled, State, Summary
from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.sidecar.carrier import read_whole
from eyeline.sidecar.naming import TEMPORARY_PREFIX
from eyeline.sidecar.outcome import digest_of
from eyeline.sidecar.replacing import Interrupted

DIGEST_BYTES = 16

COARSEST_CLOCK = timedelta(seconds=2)
"""Two writes within this time may give a file one modification time: FAT counts in steps of two seconds."""

NEXT_TIME = {
    Outcome.WRITTEN: Outcome.UNCHANGED,
    Outcome.UNCHANGED: Outcome.UNCHANGED,
    Outcome.KEPT: Outcome.KEPT,
}
"""What a second pass comes to where nothing has changed; after any other outcome there is something to do."""

Status = tuple[int, ...]
"""Of a sidecar: time of its last change in ns, size in bytes, inode, mode, owner, group."""


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A shoot at one moment: its folders, the status of each sidecar, the ledger's row of each photo."""

    folders: tuple[Path, ...]
    sidecars: Mapping[Path, Status]
    rows: Mapping[Path, FolderRow]


@dataclass(frozen=True, slots=True)
class Left:
    """What a decision has left of one photo: of a whole shoot, whole decisions would take much memory."""

    path: Path
    outcome: Outcome
    sidecar: Path | None
    sidecar_after: str | None
    decided_at: datetime
    stars: int | None
    genre: str

    @classmethod
    def of(cls, decision: Decision) -> Left:
        """The same of `decision`."""
        return cls(
            decision.path,
            decision.outcome,
            decision.sidecar,
            decision.sidecar_after,
            decision.decided_at,
            decision.verdict.stars,
            decision.verdict.genre,
        )


class SettledShoots:
    """Shoots that the passes of one decider have left with nothing to do. Methods raise LedgerFailed."""

    def __init__(self, decider: Decider) -> None:
        self._decider = decider
        self._ledger = decider.ledger

    def unchanged(self, shoot: Shoot) -> Summary | None:
        """What a pass over `shoot` would come to, where it would change nothing; None where it may."""
        settled = self._ledger.settled.of(shoot.home)
        now = datetime.now(UTC)
        found = self.snapshot(shoot) if settled is not None else None
        if settled is None or found is None or self._inputs(shoot, found) != settled.inputs:
            return None
        for name, digest in settled.fresh.items():
            if _digest(Path(os.fsdecode(bytes.fromhex(name)))) != digest:
                return None
        if settled.fresh and settled.at + COARSEST_CLOCK < now and not _fresh(found.sidecars, now):
            self._ledger.settled.keep(shoot.home, replace(settled, fresh={}))
        return settled.summary

    def snapshot(self, shoot: Shoot) -> Snapshot | None:
        """The shoot as it is now; None where it is none that can be settled."""
        sidecars: dict[Path, Status] = {}
        photos: set[Path] = set()
        folders = tuple(folders_of(shoot.home))
        try:
            for folder in folders:
                for name, status in _listed(folder):
                    if status is None:
                        return None
                    if is_sidecar(name):
                        sidecars[folder / name] = status
                    else:
                        photos.add(folder / name)
        except OSError:
            return None
        if photos != shoot.photos.keys():
            return None  # a pass over some of the photos in a folder
        rows = {row.path: row for folder in folders for row in self._ledger.files.in_folder(folder)}
        return Snapshot(folders, sidecars, {path: rows[path] for path in shoot.photos if path in rows})

    def settle(self, shoot: Shoot, before: Snapshot | None, decisions: Sequence[Left]) -> None:
        """Note that a pass has left nothing to do in `shoot`, if so. `before`: as the pass found it."""
        now = datetime.now(UTC)
        after = self.snapshot(shoot) if before is not None else None
        if before is None or after is None or any(each.outcome not in NEXT_TIME for each in decisions):
            return
        if {each.path for each in decisions} != shoot.photos.keys() or not _are_written(shoot, before, after):
            return
        editions = [self._ledger.photos.editions_in(folder) for folder in after.folders]
        if any(edition != MEASURES_EDITION for found in editions for edition in found.values()):
            return
        left = {each.sidecar: each for each in decisions if each.sidecar is not None}
        just_written = {
            path
            for path, decision in left.items()
            if decision.outcome is Outcome.WRITTEN and now - decision.decided_at < COARSEST_CLOCK
        }
        fresh = _fresh(after.sidecars, now) | (just_written & after.sidecars.keys())
        changed = {path for path, _ in before.sidecars.items() ^ after.sidecars.items()}
        for path in fresh | changed:
            decision = left.get(path)
            if decision is None or decision.sidecar_after is None or _digest(path) != decision.sidecar_after:
                return  # somebody else wrote meanwhile
        inputs = self._inputs(shoot, after)
        if inputs is not None:
            digests = {os.fsencode(path).hex(): left[path].sidecar_after or "" for path in fresh}
            self._ledger.settled.keep(shoot.home, Settled(inputs, digests, _summary(decisions), now))

    def _inputs(self, shoot: Shoot, found: Snapshot) -> str | None:
        """Digest of all that a pass over `shoot` goes by; None where a fault is to be reported."""
        decider, configuration = self._decider, self._decider.configuration
        digest = blake2b(digest_size=DIGEST_BYTES)

        def add(*parts: object) -> None:
            digest.update(os.fsencode(repr(parts)))

        add(_own_code(), MEASURES_EDITION, configuration.naming, configuration.when_gone)
        add(configuration.sitter_keyword)
        add(configuration.five_stars, sorted(map(repr, decider.rules.quantities.values())))
        for folder in found.folders:
            folder_rules = decider.folder_rules(folder)
            if folder_rules.fault is not None:
                return None
            try:
                brief = decider.brief(folder, folder_rules)
            except EyelineError:
                return None
            add(folder, folder_rules, brief_digest(brief, decider.rules.vocabulary))
            sitters = decider.sitters(folder_rules)
            add([sitters.get(path) for path in shoot.photos if path.parent == folder])
            add(self._ledger.decisions.count_in(folder))
        for path, status in shoot.photos.items():
            row = found.rows.get(path)
            add(path, status.size, status.mtime_ns, status.inode)
            add(row and (row.status == status, row.state, row.measured))
        for path in sorted(found.sidecars):
            add(path, found.sidecars[path])
        return digest.hexdigest()


@cache
def _own_code() -> str:
    """Digest that changes with eyeline's own code: a version stands for many states of a checkout."""
    package = Path(__file__).resolve().parents[1]
    digest = blake2b(version("eyeline").encode(), digest_size=DIGEST_BYTES)
    for path in sorted(package.rglob("*.py")):
        status = path.stat()
        digest.update(os.fsencode(f"{path.relative_to(package)} {status.st_size} {status.st_mtime_ns}\n"))
    return digest.hexdigest()


def _are_written(shoot: Shoot, before: Snapshot, after: Snapshot) -> bool:
    """Whether the ledger has every photo as it was found, written, and measured before the pass."""
    if before.rows.keys() != shoot.photos.keys() or after.rows.keys() != shoot.photos.keys():
        return False
    return all(
        (row := after.rows[path]).state is State.WRITTEN
        and row.measured is not None
        and row.measured == before.rows[path].measured
        and row.status == status
        for path, status in shoot.photos.items()
    )


def _listed(folder: Path) -> Iterator[tuple[str, Status | None]]:
    """Photos and sidecars in `folder` and the status of each sidecar.

    None is the status of one that is no plain file, and of what a killed eyeline left there.
    """
    with os.scandir(folder) as entries:
        for entry in entries:
            if is_sidecar(entry.name) and not entry.name.startswith(TEMPORARY_PREFIX):
                status = entry.stat(follow_symlinks=False)
                yield entry.name, _status(status) if stat.S_ISREG(status.st_mode) else None
            elif entry.name.startswith(TEMPORARY_PREFIX):
                yield entry.name, None
            elif photo_kind(entry.name) is not None and entry.is_file(follow_symlinks=False):
                yield entry.name, ()


def _status(found: os.stat_result) -> Status:
    return (found.st_mtime_ns, found.st_size, found.st_ino, found.st_mode, found.st_uid, found.st_gid)


def _fresh(sidecars: Mapping[Path, Status], now: datetime) -> set[Path]:
    """Those that another write could leave with the modification time that they have."""
    since_ns = int((now - COARSEST_CLOCK).timestamp() * 1e9)
    return {path for path, status in sidecars.items() if status[0] > since_ns}


def _summary(decisions: Sequence[Left]) -> Summary:
    """What a second pass comes to."""
    return Summary(
        Counter(each.stars for each in decisions),
        Counter(NEXT_TIME[each.outcome].value for each in decisions),
        frozenset(each.genre for each in decisions),
    )


def _digest(sidecar: Path) -> str | None:
    try:
        return digest_of(read_whole(sidecar))
    except (OSError, UnsafeSidecar, Interrupted):
        return None
