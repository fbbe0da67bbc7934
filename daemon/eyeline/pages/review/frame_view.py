"""One frame: shown, corrected, put back."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from eyeline.deciding.correct import Conflict, Correction
from eyeline.errors import printable
from eyeline.judging.rulebook import CropFormat
from eyeline.pages.review import render
from eyeline.pages.review.crop_page import CropPage, crop_page, fitted
from eyeline.pages.review.desk import Desk
from eyeline.pages.review.frame_page import FramePage, frame_page, slug
from eyeline.pages.review.frame_strip import series_around
from eyeline.pages.review.own_hands import formats_of
from eyeline.pages.review.spread import Laid, Part
from eyeline.previews.drawing import Kind
from eyeline.terms.rectangle import Rectangle

EDGE = 0.005
"""Fraction of the frame by which a crop may be drawn beyond its edge, and is put on it."""


class FrameView:
    """Answers for one frame at a time."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    async def frames(self, _: Request) -> Response:
        """The frame taken last."""
        spread = self._desk.table.spread
        if spread.latest is None:
            return render.page("waiting.html", view="frames", spread=spread)
        return RedirectResponse(f"/frame/{spread.latest.key}", 303)

    async def frame(self, request: Request) -> Response:
        """One frame."""
        return await run_in_threadpool(self._shown, *self._desk.found(request))

    async def picture(self, request: Request) -> Response:
        """A small version of a frame on the table."""
        _, laid = self._desk.found(request)
        kind = request.path_params["kind"]
        if kind not in list(Kind):
            raise HTTPException(404)
        path = await run_in_threadpool(self._desk.pictures.file, laid, Kind(kind))
        if path is None:
            raise HTTPException(404)
        headers = {"Cache-Control": f"private, max-age={render.A_YEAR}"}
        return FileResponse(path, media_type="image/jpeg", headers=headers)

    async def correct(self, request: Request) -> Response:
        """Write what the photographer sets."""
        part, laid = self._desk.found(request)
        fields = await render.form(request)
        try:
            correction = correction_of(fields, part, laid)
            await run_in_threadpool(self._make, part, laid, correction, fields.get("state", ""))
        except Conflict as conflict:
            return await run_in_threadpool(self._shown, part, laid, conflict)
        except ValueError as error:
            raise HTTPException(422, str(error)) from error
        self._desk.live.changed()
        return RedirectResponse("/aside" if fields.get("then") == "aside" else f"/frame/{laid.key}", 303)

    async def crop(self, request: Request) -> Response:
        """A crop of one frame in one format, to be moved."""
        part, laid, shape = self._shape(request)
        page = await run_in_threadpool(self._crop, part, laid, shape, None)
        return render.page("crop.html", view="crop", page=page)

    async def crop_judged(self, request: Request) -> Response:
        """What a crop that is being moved comes to."""
        part, laid, shape = self._shape(request)
        area = area_of(dict(request.query_params))
        page = await run_in_threadpool(self._crop, part, laid, shape, area)
        return render.page("crop_judged.html", page=page)

    async def undo(self, request: Request) -> Response:
        """Undo the last step on a frame."""
        part, laid = self._desk.found(request)
        try:
            await run_in_threadpool(self._desk.corrections.undo, part, laid)
        except Conflict as conflict:
            return await run_in_threadpool(self._shown, part, laid, conflict)
        self._desk.live.changed()
        return RedirectResponse(f"/frame/{laid.key}", 303)

    def _make(self, part: Part, laid: Laid, correction: Correction, state: str) -> None:
        self._desk.corrections.make(part, laid, correction, state)
        self._desk.hands.of(laid, formats_of(part))  # for the views that go by what is known

    def _shown(self, part: Part, laid: Laid, conflict: Conflict | None = None) -> Response:
        shown = self._page(part, laid)
        now = None if conflict is None else conflict.now
        status = 200 if conflict is None else 409
        return render.page("frame.html", status, view="frames", page=shown, conflict=now)

    def _shape(self, request: Request) -> tuple[Part, Laid, CropFormat]:
        part, laid = self._desk.found(request)
        shape = next(
            (each for each in part.rulebook(laid).formats if slug(each.name) == request.path_params["slug"]),
            None,
        )
        if shape is None:
            raise HTTPException(404)
        return part, laid, shape

    def _crop(self, part: Part, laid: Laid, shape: CropFormat, area: Rectangle | None) -> CropPage:
        hand = self._desk.hands.of(laid, formats_of(part))
        photo = self._desk.table.photo(laid) if area is None else None
        suggested = part.crops(laid, photo).crops if photo is not None else ()
        return crop_page(part, laid, shape, area, suggested, hand)

    def _page(self, part: Part, laid: Laid) -> FramePage:
        desk, formats = self._desk, formats_of(part)
        hands = [desk.hands.of(each, formats) for each in series_around(part, laid)]
        photo = desk.table.photo(laid)
        found = part.crops(laid, photo) if photo is not None else None
        crops = (found.crops, found.no_crops) if found is not None else ((), ())
        step = desk.corrections.last(laid)
        undo = "" if step is None else in_words(step.correction)
        return frame_page(desk.table.spread, part, laid, hands, crops, undo)


def correction_of(fields: dict[str, str], part: Part, laid: Laid) -> Correction:
    """The correction that a form asks for. Raises ValueError for what is none."""
    if "stars" in fields:
        return Correction(stars=int(fields["stars"]))
    if "add" in fields:
        return Correction(add_words=(fields["add"],))
    if "out" in fields:
        return Correction(take_out_words=(fields["out"],))
    shapes = {each.name: each for each in part.rulebook(laid).formats}
    if "crop_back" in fields and fields["crop_back"] in shapes:
        return Correction(crop_format=fields["crop_back"])
    if "crop" in fields and fields["crop"] in shapes:
        area = fitted(area_of(fields), shapes[fields["crop"]], laid)
        return Correction(crop_format=fields["crop"], crop=area)
    raise ValueError("nothing is asked for")


def area_of(fields: Mapping[str, str]) -> Rectangle:
    """A rectangle in per cent of the frame. Raises HTTPException for what is none."""
    try:
        left, top, width, height = (float(fields[name]) / 100 for name in ("left", "top", "width", "height"))
    except (KeyError, ValueError) as error:
        raise HTTPException(422, "left, top, width and height are per cent of the frame") from error
    numbers = (left, top, left + width, top + height)
    if not all(-EDGE <= each <= 1 + EDGE for each in numbers) or width <= 0 or height <= 0:
        raise HTTPException(422, "this crop does not lie in the frame")
    return Rectangle(left, top, width, height)


def in_words(correction: Correction) -> str:
    """What a step did, in a few words."""
    if correction.stars is not None:
        return f"{correction.stars} stars" if correction.stars > 1 else "1 star"
    if correction.add_words:
        return f"“{printable(correction.add_words[0])}” added"
    if correction.take_out_words:
        return f"“{printable(correction.take_out_words[0])}” taken out"
    return f"crop {correction.crop_format}"
