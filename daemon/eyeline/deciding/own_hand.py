"""The photographer's own part of a sidecar: stars, keywords and crops that are theirs and not eyeline's."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import blake2b

from eyeline.deciding.sidecar_record import SidecarRecord
from eyeline.sidecar.orientation import upright_from_stored
from eyeline.sidecar.regions import own_crop_id
from eyeline.sidecar.restoring import as_it_stands, photographers_rating
from eyeline.terms.frame import Frame
from eyeline.terms.rectangle import Rectangle

DIGEST_BYTES = 8
"""Enough to tell two states of one sidecar apart; nobody gains by making two look alike."""


@dataclass(frozen=True, slots=True)
class OwnHand:
    """What a person has decided about one photo.

    `stars`: 1 to 5, -1 where they rejected it (XMP Part 1, 8.4), None where they gave none;
    `took_stars_out`: they removed eyeline's. `words`: keywords that are not eyeline's; `taken_out`: those of
    eyeline's that they removed. `crops`: format name and area, in fractions of the upright frame.
    """

    stars: float | None = None
    took_stars_out: bool = False
    words: tuple[str, ...] = ()
    taken_out: tuple[str, ...] = ()
    crops: tuple[tuple[str, Rectangle], ...] = ()

    @property
    def state(self) -> str:
        """Hex digits that change with anything of it: a correction says on which state it was made."""
        return blake2b(repr(self).encode("utf-8", "surrogatepass"), digest_size=DIGEST_BYTES).hexdigest()

    def crop(self, format_name: str) -> Rectangle | None:
        """Their crop in that format."""
        return dict(self.crops).get(format_name)


def own_hand(record: SidecarRecord | None, frame: Frame, formats: tuple[str, ...]) -> OwnHand:
    """What a person has decided about the photo in `frame`; `formats`: names of crops that are looked for.

    `record` None: its sidecar cannot be read, and what is inside the photo counts.
    """
    inside = frame.capture.rating_inside or None
    if record is None:
        return OwnHand(stars=inside)
    there, last = record.present, record.believed
    ours = {word.casefold() for word in last.keywords} if last is not None else set()
    left = as_it_stands(last, there)
    has = {word.casefold() for word in there.keywords}
    areas = {region.id: region.area for region in there.regions}
    stars = photographers_rating(last, there, inside)
    return OwnHand(
        stars=stars,
        took_stars_out=left.left_rating and stars is None,
        words=tuple(word for word in there.keywords if word.casefold() not in ours),
        taken_out=tuple(word for word in left.left_keywords if word.casefold() not in has),
        crops=tuple(
            (name, upright_from_stored(area, frame.orientation))
            for name in formats
            if (area := areas.get(own_crop_id(name))) is not None
        ),
    )
