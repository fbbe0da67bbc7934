"""The photographer's own ratings: in sidecars and photos, where they are theirs and not eyeline's."""

from __future__ import annotations

from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.ledger.records import Photo
from eyeline.sidecar.restoring import photographers_rating

REJECTED = -1
"""A rejected frame (XMP Part 1, 8.4): as bad as one star."""


def their_stars(records: SidecarRecords, photo: Photo) -> int | None:
    """The stars, 1 to 5, that a person gave to `photo`; None where nobody did.

    A rating that eyeline wrote and nobody touched is not theirs: it may never have been looked at.
    """
    record = records.readable(photo.frame.path)
    rating = photo.frame.capture.rating_inside
    if record is not None:
        rating = photographers_rating(record.believed, record.present, rating)
    return _as_stars(rating)


def left_alone(records: SidecarRecords, photo: Photo) -> int | None:
    """The stars that eyeline wrote and nobody has touched since; None where there are none."""
    record = records.readable(photo.frame.path)
    if record is None or record.believed is None or record.believed.rating is None:
        return None
    return None if their_stars(records, photo) is not None else _as_stars(_number(record.present.rating))


def _number(text: str | None) -> float | None:
    try:
        return None if text is None else float(text)
    except ValueError:
        return None


def _as_stars(rating: float | None) -> int | None:
    if rating is None or rating == 0:
        return None
    return 1 if rating <= REJECTED else max(1, min(5, round(rating)))


def their_decisions(records: SidecarRecords, photo: Photo) -> tuple[str, ...]:
    """What the photographer has decided about `photo` and eyeline leaves alone, a sentence each."""
    sentences = []
    stars = their_stars(records, photo)
    last = records.as_it_stands(photo.frame.path)
    if stars is not None:
        sentences.append(f"the rating is yours: {stars}")
    elif last.left_rating:
        sentences.append("you took the rating out, so none is written")
    taken_out = [f"the keyword '{word}'" for word in last.left_keywords]
    taken_out += [f"the scene {code}" for code in last.left_scenes]
    sentences += [f"{what} was taken out and is not written again" for what in taken_out]
    regions = [region_id.removeprefix("eyeline-") for region_id in last.left_regions]
    return (*sentences, *(f"the region {region} stays as you have it" for region in regions))
