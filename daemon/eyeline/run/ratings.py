"""The photographer's own ratings: in sidecars and photos, where they are theirs and not eyeline's."""

from __future__ import annotations

from eyeline.errors import UnsafeSidecar
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.sidecar.naming import Naming, locate
from eyeline.sidecar.ownership import Written
from eyeline.sidecar.replacing import Interrupted
from eyeline.sidecar.restoring import as_it_stands, now_in, photographers_rating

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


def their_decisions(ledger: Ledger, photo: Photo, naming: Naming) -> tuple[str, ...]:
    """What the photographer has decided about `photo` and eyeline leaves alone, a sentence each."""
    said = []
    stars = their_stars(ledger, photo, naming)
    last = Written()
    try:
        sidecar = locate(photo.frame.path, naming).path
        decision = ledger.decisions.latest_written(sidecar)
        if decision is not None and decision.written:
            last = Written.from_json(decision.written)
        last = as_it_stands(last, now_in(sidecar)[1])
    except (OSError, UnsafeSidecar, Interrupted):
        pass  # what is recorded must do
    if stars is not None:
        said.append(f"the rating is yours: {stars}")
    elif last.left_rating:
        said.append("you took the rating out, so none is written")
    said += [f"the keyword '{word}' was taken out and is not written again" for word in last.left_keywords]
    said += [f"the scene {code} was taken out and is not written again" for code in last.left_scenes]
    said += [f"the region {each.removeprefix('eyeline-')} stays as you have it" for each in last.left_regions]
    return tuple(said)
