"""Forgetting: ledger, decision log, small versions and backups hold nothing about a folder any more."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from eyeline.errors import EyelineError
from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.previews.store import Previews
from eyeline.run.backups import back_up, backups
from eyeline.run.recovery import kept_aside


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What was erased. `previews`: photos whose small versions were. `kept_aside`: damaged ledgers, which
    cannot be searched and are left."""

    rows: int
    log_lines: int
    backups: int
    previews: int
    kept_aside: tuple[Path, ...]


def forget(
    ledger: Ledger, log: DecisionLog, paths: Iterable[Path], now: datetime, previews: Previews
) -> Forgotten:
    """Erase all about `paths` (absolute) and what lies under them. Raises LedgerFailed, and EyelineError
    where small versions cannot be erased; the rows are gone then.

    Backups made before hold it still, so a new one takes the place of them all.
    """
    paths = list(paths)
    before = ledger.photos.keys()
    rows = sum(ledger.forget(path) for path in paths)
    lines = sum(log.forget(path) for path in paths)
    try:
        pictures = previews.forget(before - ledger.photos.keys())
    except OSError as error:
        raise EyelineError(
            f"small versions of photos cannot be erased ({error.strerror or error})",
            previews.folder,
            "Delete that folder yourself; all else is erased",
        ) from error
    old = backups(ledger.path) if rows or lines else []
    if old:
        back_up(ledger, now)
        for backup in old:
            backup.unlink(missing_ok=True)
    return Forgotten(rows, lines, len(old), pictures, kept_aside(ledger.path))
