"""The sheet of what lies on the table, as a file to keep, send or print."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from eyeline.errors import EyelineError
from eyeline.ledger.records import Photo
from eyeline.pages.pictures import pictures
from eyeline.pages.review import render
from eyeline.pages.review.desk import Desk
from eyeline.pages.sheet_frames import sheet_of
from eyeline.pages.sheet_html import sheet_html
from eyeline.pages.sheet_look import Look

NAME = "eyeline-sheet.html"


class SheetView:
    """Answers with the whole shoot at once."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    async def sheet(self, _: Request) -> Response:
        """What the sheet is, and the way to it."""
        spread = self._desk.table.spread
        if not spread.frames:
            return render.page("waiting.html", view="sheet", spread=spread)
        return render.page("sheet.html", view="sheet", frames=len(spread.frames), name=NAME)

    async def file(self, _: Request) -> Response:
        """The sheet itself, to be saved: it opens anywhere, and without eyeline."""
        try:
            content = await run_in_threadpool(self._made)
        except EyelineError as error:
            raise HTTPException(409, str(error)) from error
        headers = {"Content-Disposition": f'attachment; filename="{NAME}"'}
        return Response(content, media_type="text/html", headers=headers)

    def _made(self) -> bytes:
        decider, look = self._desk.decider(), Look()
        configuration = decider.configuration
        title = ", ".join(root.name for root in decider.roots)
        sheet = sheet_of(decider.roots, decider.ledger, configuration, decider.rules, title)
        photos = [frame.photo for frame in sheet.frames]
        kept = configuration.small_versions
        shown = pictures(photos, look.scale.kind, kept, configuration.workers, _as_kept)
        return sheet_html(sheet, look, shown.of)


def _as_kept(_: Photo, jpeg: bytes) -> bytes:
    return jpeg
