"""Which crop of a frame, or of its final, a size is cut to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from eyeline.cropping.suggest import Uncropped, suggestions
from eyeline.deciding.decide import Decider
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.delivery.crop_choice import SAME_SHAPE, CropChoice, Whose, choose
from eyeline.finals.carry import points_on_final
from eyeline.judging.rulebook import CropFormat, Rulebook
from eyeline.ledger.records import Photo
from eyeline.run.delivery_source import DeliverySource
from eyeline.sidecar.own_crops import own_crops, taken_out
from eyeline.sidecar.regions import crop_id
from eyeline.sitting.brief import Size
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import NoCrop

DRAW_ONE = "a crop that you draw is delivered all the same"
"""What to do where nothing is suggested: who chose the frame may want it as it is."""


@dataclass(slots=True)
class Crops:
    """The crops of one frame for the sizes of a line."""

    decider: Decider
    photo: Photo
    page: Rulebook
    team: Rectangle | None

    def of(self, size: Size | None) -> CropChoice | str:
        """The crop for `size`, None = in the genre's own format; or why there is none."""
        photo = self.photo
        width, height = photo.frame.width, photo.frame.height
        records = SidecarRecords(self.decider.ledger, self.decider.configuration.naming)
        record = records.readable(photo.frame.path)
        own: tuple[Rectangle, ...] = ()
        barred: frozenset[str] = frozenset()
        if record is not None:
            own = own_crops(record.found, record.believed, photo.frame.orientation)
            barred = taken_out(record.found, record.believed)
        if size is None and own:
            return CropChoice(own[0], Whose.OWN)
        if size is None and self.team is not None:
            return CropChoice(self.team, Whose.TEAM)
        formats = self._formats(size)
        if not formats:
            return CropChoice(Rectangle(0.0, 0.0, 1.0, 1.0), Whose.WHOLE)
        open_formats = tuple(each for each in formats if crop_id(each.name) not in barred)
        suggested, why = self._suggested(open_formats)
        for shape in formats:
            found = choose(shape.ratio, (width, height), own, self.team, suggested)
            if found is not None:
                return found
        if len(open_formats) < len(formats):
            return "you took the crop of this shape out, and drew none: draw one"
        return f"{why or 'no crop of this shape'}; {DRAW_ONE}"

    def fitted(self, found: CropChoice | str, source: DeliverySource, size: Size | None) -> CropChoice | str:
        """`found`, or where a final shows less than it, a crop that is suggested for what the final shows. A
        crop that a person drew is never replaced."""
        transform, photo = source.transform, self.photo
        if isinstance(found, str) or transform is None or found.whose in (Whose.OWN, Whose.OWN_FINAL):
            return found
        shot, final = (photo.frame.width, photo.frame.height), (source.width, source.height)
        if source.carried(found.area, shot) is not None:
            return found
        if photo.points is None:
            return f"{source.path.name} shows less than the crop"
        points = points_on_final(photo.points, transform, shot, final)
        crops, why = self._suggested_in(points, *final, self._formats(size))
        return CropChoice(crops[0], Whose.SUGGESTED_FINAL) if crops else f"in {source.path.name}: {why}"

    def _formats(self, size: Size | None) -> tuple[CropFormat, ...]:
        if size is None:
            return self.page.formats
        ratio = size[0] / size[1]
        alike = [each for each in self.page.formats if abs(each.ratio / ratio - 1) < 0.01]
        name = alike[0].name if alike else f"{size[0]}:{size[1]}"
        return (CropFormat(name, ratio, 1, 1),)  # whether it has pixels enough is asked of the source

    def _suggested(self, formats: tuple[CropFormat, ...]) -> tuple[list[Rectangle], str]:
        photo = self.photo
        if photo.points is None:
            return [], f"no crop is suggested: {photo.why_sitter}"
        return self._suggested_in(photo.points, photo.frame.width, photo.frame.height, formats)

    def _suggested_in(
        self, points: Points, width: int, height: int, formats: tuple[CropFormat, ...]
    ) -> tuple[list[Rectangle], str]:
        known = {each.name: each for each in self.photo.measurements}
        frame = Uncropped(points, width, height, known)
        quantities = self.decider.rules.quantities.values()
        (found,) = suggestions([frame], replace(self.page, formats=formats), quantities)
        crops = sorted(found.crops, key=lambda crop: -crop.score)
        return [crop.area for crop in crops], why_none(found.no_crops)


def why_none(no_crops: Iterable[NoCrop]) -> str:
    """Why there is none in any format, each reason once."""
    return "; ".join(dict.fromkeys(none.reason for none in no_crops))


def drawn_on(source: DeliverySource, size: Size | None) -> CropChoice | None:
    """The crop of the size's shape that the photographer drew on the final itself."""
    for area in source.own:
        ratio = area.width * source.width / (area.height * source.height)
        if size is None or abs(ratio / (size[0] / size[1]) - 1) <= SAME_SHAPE:
            return CropChoice(area, Whose.OWN_FINAL)
    return None
