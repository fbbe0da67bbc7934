"""The photographer's own ratings: in sidecars and photos, where they are theirs and not eyeline's."""

from __future__ import annotations

from eyeline.errors import UnsafeSidecar
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.sidecar.naming import Naming, locate
from eyeline.sidecar.ownership import Written
from eyeline.sidecar.replacing import Interrupted
from eyeline.sidecar.restoring import now_in, photographers_rating

REJECTED = -1
"""A rejected frame (XMP Part 1, 8.4): as bad as one star."""


def their_stars(ledger: Ledger, photo: Photo, naming: Naming) -> int | None:
    """The stars, 1 to 5, that a person gave to `photo`; None where nobody did.

    A rating that eyeline wrote and nobody touched is not theirs, even if they agree with it.
    """
    inside = photo.frame.capture.rating_inside
    try:
        sidecar = locate(photo.frame.path, naming).path
        decision = ledger.decisions.latest_written(sidecar)
        last = Written.from_json(decision.written) if decision is not None and decision.written else None
        rating = photographers_rating(last, now_in(sidecar)[1], inside)
    except (OSError, UnsafeSidecar, Interrupted):
        rating = inside
    if rating is None or rating == 0:
        return None
    return 1 if rating <= REJECTED else max(1, min(5, round(rating)))
