"""One frame: shown, corrected, put back."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from eyeline.deciding.correct import Conflict, Correction
from eyeline.errors import printable
from eyeline.pages.review import render
from eyeline.pages.review.corrections import formats_of
from eyeline.pages.review.desk import Desk
from eyeline.pages.review.frame_page import FramePage, frame_page, series_around
from eyeline.pages.review.spread import Laid, Part
from eyeline.previews.drawing import Kind


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
            correction = correction_of(fields)
            make = self._desk.corrections.make
            await run_in_threadpool(make, part, laid, correction, fields.get("state", ""))
        except Conflict as conflict:
            return await run_in_threadpool(self._shown, part, laid, conflict)
        except ValueError as error:
            raise HTTPException(422, str(error)) from error
        self._desk.live.changed()
        return RedirectResponse("/aside" if fields.get("then") == "aside" else f"/frame/{laid.key}", 303)

    async def undo(self, request: Request) -> Response:
        """Undo the last step on a frame."""
        part, laid = self._desk.found(request)
        try:
            await run_in_threadpool(self._desk.corrections.undo, part, laid)
        except Conflict as conflict:
            return await run_in_threadpool(self._shown, part, laid, conflict)
        self._desk.live.changed()
        return RedirectResponse(f"/frame/{laid.key}", 303)

    def _shown(self, part: Part, laid: Laid, conflict: Conflict | None = None) -> Response:
        shown = self._page(part, laid)
        now = None if conflict is None else conflict.now
        status = 200 if conflict is None else 409
        return render.page("frame.html", status, view="frames", page=shown, conflict=now)

    def _page(self, part: Part, laid: Laid) -> FramePage:
        desk, formats = self._desk, formats_of(part, laid)
        hands = [desk.hands.of(each, formats) for each in series_around(part, laid)]
        photo = desk.table.photo(laid)
        found = part.crops(laid, photo) if photo is not None else None
        crops = (found.crops, found.no_crops) if found is not None else ((), ())
        step = desk.corrections.last(laid)
        undo = "" if step is None else in_words(step.correction)
        return frame_page(desk.table.spread, part, laid, hands, crops, undo)


def correction_of(fields: dict[str, str]) -> Correction:
    """The correction that a form asks for. Raises ValueError for what is none."""
    if "stars" in fields:
        return Correction(stars=int(fields["stars"]))
    if "add" in fields:
        return Correction(add_words=(fields["add"],))
    if "out" in fields:
        return Correction(take_out_words=(fields["out"],))
    raise ValueError("nothing is asked for")


def in_words(correction: Correction) -> str:
    """What a step did, in a few words."""
    if correction.stars is not None:
        return f"{correction.stars} stars" if correction.stars > 1 else "1 star"
    if correction.add_words:
        return f"“{printable(correction.add_words[0])}” added"
    if correction.take_out_words:
        return f"“{printable(correction.take_out_words[0])}” taken out"
    return f"crop {correction.crop_format}"
