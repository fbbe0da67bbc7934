"""Forgetting: ledger, decision log and backups hold nothing about a folder any more."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.run.backups import back_up, backups
from eyeline.run.recovery import kept_aside


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What was erased. `kept_aside`: damaged ledgers, which cannot be searched and are left."""

    rows: int
    log_lines: int
    backups: int
    kept_aside: tuple[Path, ...]


def forget(ledger: Ledger, log: DecisionLog, paths: Iterable[Path], now: datetime) -> Forgotten:
    """Erase all about `paths` (absolute) and what lies under them. Raises LedgerFailed.

    Backups made before hold it still, so a new one takes the place of them all.
    """
    paths = list(paths)
    rows = sum(ledger.forget(path) for path in paths)
    lines = sum(log.forget(path) for path in paths)
    old = backups(ledger.path)
    if old:
        back_up(ledger, now)
        for backup in old:
            backup.unlink(missing_ok=True)
    return Forgotten(rows, lines, len(old), kept_aside(ledger.path))
