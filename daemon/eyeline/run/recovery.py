"""A damaged ledger at the start: kept aside, then restored from a backup or rebuilt from sidecars."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterable
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.errors import EyelineError, LedgerCorrupt, LedgerFailed, printable
from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.ledger.database import keep_aside
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome
from eyeline.run.backups import backups
from eyeline.sidecar.naming import Naming
from eyeline.sidecar.written import Written, recorded
from eyeline.system.renaming import rename_if_free
from eyeline.terms.verdict import Verdict

_GENRE = re.compile(r"(?:^|; )genre ([^;]+)")
"""Where `annotation.annotation_of` names the genre in the readable part of a history event."""


def open_ledger(
    path: Path, folders: Iterable[Path], naming: Naming, now: datetime
) -> tuple[Ledger, list[EyelineError]]:
    """Open the ledger at `path`, sound; with what had to be done for it, for the user to know.

    A damaged one is kept aside under a dated name. The newest sound backup takes its place; where there is
    none, a new one is filled with what the sidecars of `folders` say that eyeline wrote. One that is simply
    gone may have been deleted on purpose: a new one begins, and the user learns where backups of it lie.
    Raises LedgerFailed where none of this can be done.
    """
    lost = [] if os.path.lexists(path) else list(backups(path)[:1])
    try:
        ledger = Ledger(path, now)
        wrong = ledger.check(thorough=False)  # at every start
        if not wrong:
            return ledger, [
                EyelineError(
                    "the ledger is gone, and a new one begins",
                    path,
                    f"To have the old one back stop eyeline and put its backup there, {printable(backup)}; "
                    "to be rid of it delete the backups too",
                )
                for backup in lost
            ]
        ledger.close()
        what = wrong[0]
    except LedgerCorrupt as error:
        what = error.what
    aside = keep_aside(path, now)
    events = [EyelineError(f"the ledger was damaged ({what}); it is kept as {printable(aside)}", path)]
    for backup in backups(path):
        ledger_or_none = _from_backup(backup, path, now)
        if ledger_or_none is not None:
            events.append(
                EyelineError(
                    f"the ledger is restored from {printable(backup)}; what came after it is read "
                    "from sidecars and measured again",
                    path,
                )
            )
            return ledger_or_none, events
        events.append(EyelineError("this backup is damaged too", backup))
    ledger = Ledger(path, now)
    count = rebuild(ledger, folders, naming, now)
    events.append(
        EyelineError(
            f"there was no sound backup; {count} decisions are rebuilt from the history in sidecars",
            path,
            "Run eyeline on other folders to have theirs rebuilt; photos are measured again",
        )
    )
    return ledger, events


def kept_aside(path: Path) -> tuple[Path, ...]:
    """Damaged ledgers that lie beside the one at `path`."""
    return tuple(sorted(path.parent.glob(f"{path.stem}.damaged-*{path.suffix}")))


def rebuild(ledger: Ledger, folders: Iterable[Path], naming: Naming, now: datetime) -> int:
    """Enter what the history of each sidecar under `folders` says that eyeline wrote; how many there were.

    Measures and reasons are in no sidecar: they come back when the photos are measured again.
    """
    count = 0
    records = SidecarRecords(ledger, naming)
    for found in catch_up(folders):
        record = records.readable(found.path) if isinstance(found, Candidate) else None
        written = recorded(record.present.events) if record is not None else None
        if record is None or written is None:
            continue
        ledger.decisions.add(
            Decision(
                path=found.path,
                digest="",
                verdict=_verdict(written),
                outcome=Outcome.WRITTEN,
                decided_at=now,
                sidecar=record.path,
                sidecar_after=record.found.digest,
            )
        )
        count += 1
    return count


def _verdict(written: Written) -> Verdict:
    """As much of a verdict as the record in a sidecar holds."""
    genre = _GENRE.search(written.parameters)
    stars = int(written.rating) if written.rating is not None and written.rating.isdecimal() else None
    return Verdict(genre[1] if genre else "", 0.0, stars, written.keywords, (), (), "")


def _from_backup(backup: Path, path: Path, now: datetime) -> Ledger | None:
    unnamed = path.with_name(f".{path.name}.{os.getpid()}.restored")
    try:
        with Ledger.reader(backup) as held:
            if held.check():
                return None
    except LedgerCorrupt:
        return None
    except LedgerFailed:
        pass  # of an older version: a copy is brought up to date below
    try:
        shutil.copyfile(backup, unnamed)
        unnamed.chmod(0o600)
        rename_if_free(unnamed, path)
    except OSError as error:
        raise LedgerFailed(
            f"the backup {printable(backup)} cannot be put in place: {error.strerror}",
            path,
            "Make room for it",
        ) from error
    finally:
        with suppress(FileNotFoundError):
            unnamed.unlink()
    ledger = None
    try:
        ledger = Ledger(path, now)
        if not ledger.check():
            return ledger
    except LedgerCorrupt:
        pass
    if ledger is not None:
        ledger.close()
    keep_aside(path, now)
    return None
