"""When a sidecar's former state is kept: before eyeline's first write, and as long as the chain holds."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import PreImage
from eyeline.sidecar.meaning import EMPTY, parse
from eyeline.sidecar.outcome import digest_of
from eyeline.sidecar.present import present
from eyeline.sidecar.restoring import has_ours
from eyeline.sidecar.written import Written


def keep_pre_image(
    ledger: Ledger, sidecar: Path, content: bytes | None, after: bytes, last: Written | None, now: datetime
) -> None:
    """Just before `after` takes the place of `content`: keep what was there before the first write, or let
    the kept one follow an unbroken chain. `last`: what eyeline wrote last, as far as that still stands.

    It is kept first and the sidecar written then, so that no kill between the two loses it. Where somebody
    else wrote between two writes of eyeline the chain is broken: what was before all of ours is nowhere any
    more, and undo works property by property.
    """
    kept = ledger.pre_images.of(sidecar)
    left_as = digest_of(after) or ""
    if kept is not None and digest_of(content) in digests_left(ledger, sidecar, kept):
        ledger.pre_images.keep(sidecar, PreImage(kept.content, left_as), now)
    elif not has_ours(last, present(parse(content, sidecar) if content is not None else EMPTY)):
        ledger.pre_images.keep(sidecar, PreImage(content, left_as), now)
    elif kept is not None:
        ledger.pre_images.drop(sidecar)


def digests_left(ledger: Ledger, sidecar: Path, kept: PreImage) -> tuple[str, ...]:
    """What the file may be while the chain from `kept` holds: as it was to be left last, or, where a kill
    came before that, as it was left the time before."""
    latest = ledger.decisions.latest_written(sidecar)
    before = latest.sidecar_after if latest is not None else None
    return (kept.left_as, before) if before is not None else (kept.left_as,)
