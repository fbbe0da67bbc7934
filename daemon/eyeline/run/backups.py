"""Backups of the ledger: dated files in a folder beside it, the newest few kept."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from eyeline.errors import EyelineError, LedgerFailed
from eyeline.ledger.ledger import Ledger

FOLDER = "backups"

EVERY = timedelta(days=1)
"""Between two regular backups: a day is measured again in minutes, and sidecars hold what was written."""

KEPT = 7
"""Backups that are kept, newest first: a week, time enough to notice that something went wrong."""

_DATE = "%Y%m%dT%H%M%S"


def backups(ledger: Path) -> tuple[Path, ...]:
    """The backups of the ledger at `ledger`, newest first."""
    return tuple(
        sorted((ledger.parent / FOLDER).glob(f"{ledger.stem}-????????T??????*{ledger.suffix}"), reverse=True)
    )


def back_up(ledger: Ledger, now: datetime) -> Path:
    """Back `ledger` up under a dated name and let backups beyond KEPT go. Raises LedgerFailed."""
    folder = ledger.path.parent / FOLDER
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    stem = f"{ledger.path.stem}-{now:{_DATE}}"
    target, number = folder / f"{stem}{ledger.path.suffix}", 1
    while target.exists():
        number += 1
        target = folder / f"{stem}-{number}{ledger.path.suffix}"
    ledger.backup(target)
    for old in backups(ledger.path)[KEPT:]:
        old.unlink(missing_ok=True)
    return target


def is_due(ledger: Path, now: datetime) -> bool:
    """Whether the newest backup is older than EVERY, or there is none."""
    newest = next(iter(backups(ledger)), None)
    return newest is None or now.timestamp() - newest.stat().st_mtime >= EVERY.total_seconds()


def back_up_if_due(ledger: Ledger, problem: Callable[[EyelineError], None]) -> None:
    """Make a backup where one is due; one that fails is a problem, for a full disk must not stop the work."""
    now = datetime.now(UTC)
    try:
        if is_due(ledger.path, now):
            back_up(ledger, now)
    except EyelineError as error:
        problem(error)
    except OSError as error:
        problem(LedgerFailed(f"no backup was made: {error}"))
