"""When a sidecar's former state is kept: before eyeline's first write, and as long as the chain holds."""

from __future__ import annotations

from datetime import datetime

from eyeline.deciding.sidecar_record import SidecarRecord
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import PreImage
from eyeline.sidecar.outcome import digest_of
from eyeline.sidecar.restoring import has_ours
from eyeline.sidecar.written import Written


def keep_pre_image(
    ledger: Ledger, record: SidecarRecord, after: bytes, last: Written | None, now: datetime
) -> None:
    """Keep what was there before the first write, or let the kept pre-image follow an unbroken chain.

    Called just before `after` takes the place of what the record found. `last`: what eyeline wrote last, as
    far as that still stands.

    It is kept first and the sidecar written then, so that no kill between the two loses it. Where somebody
    else wrote between two writes of eyeline the chain is broken: what was before all of ours is nowhere any
    more, and undo works property by property.
    """
    kept = record.pre_image
    left_as = digest_of(after) or ""
    if kept is not None and record.is_as_left:
        ledger.pre_images.keep(record.path, PreImage(kept.content, left_as), now)
    elif not has_ours(last, record.present):
        ledger.pre_images.keep(record.path, PreImage(record.found.content, left_as), now)
    elif kept is not None:
        ledger.pre_images.drop(record.path)
