"""Server-sent events: each open page hears within a moment that something has changed, and asks for it."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from contextlib import suppress

from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from eyeline.pages.review.spread import Spread
from eyeline.pages.review.table import LightTable

ALIVE_SECONDS = 15.0
"""A comment is sent as often, so that a page that has gone is noticed."""

MOST_LISTENING = 24
"""Pages that listen at a time; a browser opens six to one host at most."""


class Live:
    """Tells pages of new spreads. Everything but `changed` runs in the server's loop."""

    def __init__(self, table: LightTable) -> None:
        self._table = table
        self._loop: asyncio.AbstractEventLoop | None = None
        self._waiting: set[asyncio.Event] = set()
        self._count = 0
        self._stopping = False
        self._note = ""
        table.subscribe(lambda _: self.changed())

    @property
    def is_heard(self) -> bool:
        """Whether a page is open."""
        return bool(self._waiting)

    def changed(self) -> None:
        """Something that pages show has changed; may be called from any thread."""
        if self._loop is not None:
            with suppress(RuntimeError):  # the loop is closed: nobody listens any more
                self._loop.call_soon_threadsafe(self._tell)

    def say(self, note: str) -> None:
        """Have every page show `note` until another is said; "" takes it away. From any thread."""
        self._note = note
        self.changed()

    def stop(self) -> None:
        """End every stream; may be called from any thread."""
        self._stopping = True
        self.changed()

    def _tell(self) -> None:
        self._count += 1
        for each in self._waiting:
            each.set()

    async def stream(self, _: Request) -> Response:
        """The stream of one page."""
        self._loop = asyncio.get_running_loop()
        if len(self._waiting) >= MOST_LISTENING:
            return Response("Too many pages are open.\n", 503, media_type="text/plain")
        headers = {"X-Accel-Buffering": "no"}
        return StreamingResponse(self._events(), media_type="text/event-stream", headers=headers)

    async def _events(self) -> AsyncIterator[str]:
        wake = asyncio.Event()
        self._waiting.add(wake)
        try:
            yield self._event(self._table.spread)
            while not self._stopping:
                try:
                    await asyncio.wait_for(wake.wait(), ALIVE_SECONDS)
                except TimeoutError:
                    yield ": still here\n\n"
                    continue
                wake.clear()
                yield self._event(self._table.spread)
        finally:
            self._waiting.discard(wake)

    def _event(self, spread: Spread) -> str:
        latest = spread.latest
        told = {
            "count": self._count,
            "frames": len(spread.frames),
            "note": self._note,
            "latest": latest.key if latest is not None else None,
        }
        return f"event: changed\ndata: {json.dumps(told)}\n\n"
