"""The page's addresses and what each answers. Nothing is changed by GET."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from importlib.resources import files
from typing import Any
from urllib.parse import parse_qs

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from eyeline.deciding.correct import Conflict, Correction
from eyeline.errors import EyelineError, printable
from eyeline.pages.review.corrections import Corrections, formats_of
from eyeline.pages.review.frame_page import FramePage, frame_page, series_around
from eyeline.pages.review.live import Live
from eyeline.pages.review.own_hands import OwnHands
from eyeline.pages.review.pictures import Pictures
from eyeline.pages.review.spread import Laid, Part
from eyeline.pages.review.table import LightTable
from eyeline.previews.drawing import Kind

A_YEAR = 31_536_000
STATIC_TYPES = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"} | {
    ".woff2": "font/woff2",
    ".otf": "font/otf",
}
MOST_FIELDS = 32


@dataclass(frozen=True)
class Review:
    """What the page is about: the table, the photographer's hand, pictures, and the way to correct."""

    table: LightTable
    hands: OwnHands
    corrections: Corrections
    pictures: Pictures
    live: Live

    def app(self) -> Starlette:
        """The application, without its gate."""
        routes = [
            Route("/", self.brief),
            Route("/frames", self.frames),
            Route("/frame/{key}", self.frame),
            Route("/frame/{key}/correct", self.correct, methods=["POST"]),
            Route("/frame/{key}/undo", self.undo, methods=["POST"]),
            Route("/picture/{key}/{kind}", self.picture),
            Route("/live", self.live.stream),
            Route("/static/{name}", self.static),
        ]
        return Starlette(routes=routes, exception_handlers={EyelineError: said, HTTPException: said})

    @cached_property
    def _templates(self) -> Environment:
        return Environment(
            loader=PackageLoader("eyeline.pages"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )

    @cached_property
    def _static(self) -> dict[str, tuple[bytes, str]]:
        """Every file that may be asked for, read once: no address leads to any other."""
        found = {}
        static = files("eyeline.pages") / "static"
        for file in (*static.iterdir(), *(static / "fonts").iterdir()):
            kind = STATIC_TYPES.get("." + file.name.rpartition(".")[2])
            if kind is not None:
                found[file.name] = file.read_bytes(), kind
        return found

    def page(self, template: str, status: int = 200, **shown: Any) -> HTMLResponse:
        """A page made of `template`."""
        return HTMLResponse(self._templates.get_template(template).render(**shown), status)

    async def static(self, request: Request) -> Response:
        """Style, script, fonts."""
        found = self._static.get(request.path_params["name"])
        if found is None:
            raise HTTPException(404)
        is_font = found[1].startswith("font/")
        kept = f"private, max-age={A_YEAR}, immutable" if is_font else "no-cache"
        return Response(found[0], media_type=found[1], headers={"Cache-Control": kept})

    async def brief(self, request: Request) -> Response:
        """The brief."""
        return await self.frames(request)

    async def frames(self, _: Request) -> Response:
        """The frame taken last."""
        latest = self.table.spread.latest
        if latest is None:
            return self.page("waiting.html", view="frames", spread=self.table.spread)
        return RedirectResponse(f"/frame/{latest.key}", 303)

    async def frame(self, request: Request) -> Response:
        """One frame."""
        part, laid = self.found(request)
        return await run_in_threadpool(self._frame, part, laid)

    async def picture(self, request: Request) -> Response:
        """A small version of a frame on the table."""
        _, laid = self.found(request)
        kind = request.path_params["kind"]
        if kind not in list(Kind):
            raise HTTPException(404)
        path = await run_in_threadpool(self.pictures.file, laid, Kind(kind))
        if path is None:
            raise HTTPException(404)
        headers = {"Cache-Control": f"private, max-age={A_YEAR}, immutable"}
        return FileResponse(path, media_type="image/jpeg", headers=headers)

    async def correct(self, request: Request) -> Response:
        """Write what the photographer sets."""
        part, laid = self.found(request)
        fields = await form(request)
        try:
            correction = correction_of(fields)
            await run_in_threadpool(self.corrections.make, part, laid, correction, fields.get("state", ""))
        except Conflict as conflict:
            return await run_in_threadpool(self._conflict, part, laid, conflict, fields)
        except ValueError as error:
            raise HTTPException(422, str(error)) from error
        self.live.changed()
        return RedirectResponse(f"/frame/{laid.key}", 303)

    async def undo(self, request: Request) -> Response:
        """Undo the last step on a frame."""
        part, laid = self.found(request)
        try:
            await run_in_threadpool(self.corrections.undo, part, laid)
        except Conflict as conflict:
            return await run_in_threadpool(self._conflict, part, laid, conflict, {})
        self.live.changed()
        return RedirectResponse(f"/frame/{laid.key}", 303)

    def found(self, request: Request) -> tuple[Part, Laid]:
        """The frame that the address names. Raises HTTPException."""
        found = self.table.spread.find(request.path_params["key"])
        if found is None:
            raise HTTPException(404)
        return found

    def frame_page(self, part: Part, laid: Laid) -> FramePage:
        """Everything about one frame."""
        formats = formats_of(part, laid)
        hands = [self.hands.of(each, formats) for each in series_around(part, laid)]
        photo = self.table.photo(laid)
        found = part.crops(laid, photo) if photo is not None else None
        crops = (found.crops, found.no_crops) if found is not None else ((), ())
        step = self.corrections.last(laid)
        undo = "" if step is None else in_words(step.correction)
        return frame_page(self.table.spread, part, laid, hands, crops, undo)

    def _frame(self, part: Part, laid: Laid) -> Response:
        return self.page("frame.html", view="frames", page=self.frame_page(part, laid), conflict=None)

    def _conflict(self, part: Part, laid: Laid, conflict: Conflict, fields: dict[str, str]) -> Response:
        shown = self.frame_page(part, laid)
        return self.page("frame.html", 409, view="frames", page=shown, conflict=conflict.now, asked=fields)


async def form(request: Request) -> dict[str, str]:
    """The fields of a form, each once. Raises HTTPException for what is none."""
    if not request.headers.get("content-type", "").startswith("application/x-www-form-urlencoded"):
        raise HTTPException(415)
    try:
        text = (await request.body()).decode("ascii")
        fields = parse_qs(text, keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict")
    except ValueError as error:
        raise HTTPException(400) from error
    return {name: values[-1] for name, values in fields.items()}


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
    if correction.crop_format is not None:
        return f"crop {correction.crop_format}"
    return "the last step"


async def said(request: Request, error: Exception) -> Response:
    """An error in words, for people and for the page's script."""
    status = error.status_code if isinstance(error, HTTPException) else 409
    text = str(error.detail) if isinstance(error, HTTPException) else str(error)
    if request.headers.get("accept", "").startswith("application/json"):
        return JSONResponse({"said": text}, status)
    return Response(f"{text}\n", status, media_type="text/plain")
