"""When a sidecar's former state is kept: before eyeline's first write, and as long as the chain holds."""

from __future__ import annotations

from datetime import datetime

from eyeline.deciding.sidecar_record import SidecarRecord
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import PreImage
from eyeline.sidecar.outcome import digest_of
from eyeline.sidecar.restoring import has_ours


def keep_pre_image(
    ledger: Ledger, record: SidecarRecord, after: bytes, now: datetime, anew: bool = False
) -> None:
    """Keep what was there before the first write, or let the kept pre-image follow an unbroken chain.

    Called just before `after` takes the place of what the record found. `anew`: all that
    eyeline wrote is gone, and a person lets it begin again. Where only the file's own history says
    that eyeline wrote before, this is the first write: that history is kept with all else.

    It is kept first and the sidecar written then, so that no kill between the two loses it. Where somebody
    else wrote between two writes of eyeline the chain is broken: what was before all of ours is nowhere any
    more, and undo works property by property.
    """
    kept = record.pre_image
    left_as = digest_of(after) or ""
    if kept is not None and record.is_as_left:
        ledger.pre_images.keep(record.path, PreImage(kept.content, left_as), now)
    elif anew or record.is_hearsay or not has_ours(record.known, record.present):
        ledger.pre_images.keep(record.path, PreImage(record.found.content, left_as), now)
    elif kept is not None:
        ledger.pre_images.drop(record.path)
