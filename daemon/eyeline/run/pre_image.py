"""When a sidecar's former state is kept: before eyeline's first write, and as long as the chain holds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from eyeline.errors import UnsafeSidecar
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import PreImage
from eyeline.sidecar.outcome import Outcome, Result
from eyeline.sidecar.replacing import Interrupted
from eyeline.sidecar.restoring import digest_of, doubt, has_ours, now_in
from eyeline.sidecar.written import Written


@dataclass(frozen=True, slots=True)
class Before:
    """A sidecar just before eyeline works on it. `ours`: whether it holds anything of eyeline's, or did
    by the record. `gone`: whether all of that is gone at once.
    """

    content: bytes | None
    ours: bool
    gone: bool


def before_writing(sidecar: Path | None, last: Written | None) -> Before | None:
    """What `sidecar` is now; None where it cannot be read (`annotate` meets the same obstacle)."""
    if sidecar is None:
        return None
    try:
        content, there = now_in(sidecar)
    except (OSError, UnsafeSidecar, Interrupted):
        return None
    return Before(content, content is not None and has_ours(last, there), doubt(last, there) is not None)


def keep_pre_image(ledger: Ledger, outcome: Outcome, before: Before | None, now: datetime) -> None:
    """After a write: keep what was there before the first, or let the kept one follow an unbroken chain.

    Where somebody else wrote between two writes of eyeline the chain is broken: what was before all of
    ours is nowhere any more, and undo works property by property.
    """
    if outcome.result is not Result.WRITTEN or outcome.digest_after is None:
        return
    kept = ledger.pre_images.of(outcome.sidecar)
    if kept is not None and kept.left_as == outcome.digest_before:
        ledger.pre_images.keep(outcome.sidecar, PreImage(kept.content, outcome.digest_after), now)
    elif before is not None and not before.ours and digest_of(before.content) == outcome.digest_before:
        ledger.pre_images.keep(outcome.sidecar, PreImage(before.content, outcome.digest_after), now)
    elif kept is not None:
        ledger.pre_images.drop(outcome.sidecar)
