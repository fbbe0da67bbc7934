"""Who does what where several machines measure: shown."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from eyeline.pages.review import render
from eyeline.pages.review.desk import Desk


class StationsView:
    """Answers for the stations."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    async def stations(self, _: Request) -> Response:
        """Each station, how fast it measures, and what it has in hand. Without stations, nothing is here."""
        watch = self._desk.stations
        if watch is None:
            raise HTTPException(404, "one machine measures alone here")
        shown = await run_in_threadpool(watch.looked)
        frames = len(self._desk.table.spread.frames)
        return render.page("stations.html", view="stations", shown=shown, frames=frames)
