"""The brief, and what is set aside: shown."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from eyeline.deciding.seating import sitters_in
from eyeline.errors import EyelineError
from eyeline.pages.eye_windows import window_row
from eyeline.pages.review import render
from eyeline.pages.review.aside_page import Aside, set_aside
from eyeline.pages.review.brief_page import BriefPage, brief_page
from eyeline.pages.review.desk import Desk
from eyeline.pages.review.own_hands import formats_of, stars_of
from eyeline.pages.review.spread import Laid, Spread
from eyeline.run.brief import FolderBrief, brief_of

AT_A_TIME = 60
"""Frames of one reason that are shown before one asks for more."""

SMALL_SIDE = 240.0
"""Longer side of a frame that is set aside, pixels."""


class BriefView:
    """Answers for the shoot as a whole. A brief is compared once for each spread."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._lock = threading.Lock()
        self._last: tuple[int, Path, FolderBrief] | None = None

    async def brief(self, _: Request) -> Response:
        """The brief of the folder in which the last frame lies."""
        spread = self._desk.table.spread
        if spread.latest is None:
            return render.page("waiting.html", view="brief", spread=spread)
        page = await run_in_threadpool(self._page, spread)
        stations = None if self._desk.stations is None else self._desk.stations.shown.sentence
        return render.page("brief.html", view="brief", page=page, stations=stations)

    async def aside(self, _: Request) -> Response:
        """What is set aside, by reason."""
        spread = self._desk.table.spread
        asides = await run_in_threadpool(self._asides, spread)
        return render.page("aside.html", view="aside", asides=asides, frames=len(spread.frames))

    async def one_aside(self, request: Request) -> Response:
        """The frames of one reason, a part at a time."""
        asides = await run_in_threadpool(self._asides, self._desk.table.spread)
        number, start = request.path_params["number"], request.query_params.get("from", "0")
        if number >= len(asides) or not (start.isascii() and start.isdecimal()):
            raise HTTPException(404)
        laid = asides[number].laid[int(start) : int(start) + AT_A_TIME]
        scales = [SMALL_SIDE / max(each.frame.width, each.frame.height) for each in laid]
        hung = window_row([(each.frame, each.points) for each in laid], scales, [None] * len(laid))
        following = int(start) + AT_A_TIME
        return render.page(
            "aside_frames.html",
            stave=hung,
            laid=laid,
            states=[self._hand_state(each) for each in laid],
            more=f"/aside/{number}?from={following}" if following < len(asides[number].laid) else "",
        )

    def _hand_state(self, laid: Laid) -> str:
        found = self._desk.table.spread.find(laid.key)
        return self._desk.hands.of(laid, formats_of(found[0])).state if found is not None else ""

    def _asides(self, spread: Spread) -> tuple[Aside, ...]:
        return set_aside(spread, lambda laid: stars_of(self._desk.hands.known(laid)))

    def _page(self, spread: Spread) -> BriefPage:
        assert spread.latest is not None
        home, brief = self._brief(spread, spread.latest.path.parent)
        decider = self._desk.decider()
        lines = [*brief.lines, *(line for sitter in brief.sitters for line in sitter.lines)]
        rulebooks = {each.line.genre: decider.rules.rules.genre(each.line.genre) for each in lines}
        names = _names(spread, home)
        now = datetime.now(UTC)
        chair = self._chair(spread.latest, home) if brief.sitters else None
        return brief_page(spread, brief, names, rulebooks, self._asides(spread), chair, now)

    def _chair(self, latest: Laid, home: Path) -> tuple[str, str] | None:
        """Label and words of who sits: as was said after the last frame, else who sits in that one."""
        decider = self._desk.decider()
        seats = decider.folder_rules(latest.path.parent).seats
        if seats is None:
            return None
        said = decider.ledger.sitters.seated_now(seats.home)
        if said is not None and datetime.fromisoformat(said[1]) > latest.measured_at:
            return said[0], seats.words(said[0])
        label = sitters_in(seats, decider.ledger).get(latest.path)
        return None if label is None else (label, seats.words(label))

    async def next_sitter(self, request: Request) -> Response:
        """Note that the next sitter sits from now on."""
        await render.form(request)
        latest = self._desk.table.spread.latest
        if latest is not None:
            await run_in_threadpool(self._desk.sit, "next", latest.path.parent)
            self._desk.live.changed()
        return RedirectResponse("/", 303)

    def _brief(self, spread: Spread, folder: Path) -> tuple[Path, FolderBrief]:
        """The brief that holds for `folder`, with the folder that it is about."""
        decider = self._desk.decider()
        home = decider.home_of_brief(folder)
        with self._lock:
            if self._last is None or self._last[:2] != (spread.version, home):
                try:
                    known = {part.folder: part.table for part in spread.parts if part.table is not None}
                    brief = brief_of(home, decider.ledger, decider.configuration, decider.rules, known=known)
                except EyelineError:  # nothing is measured yet, or its file has a fault
                    brief = FolderBrief(0, None, ())
                self._last = spread.version, home, brief
            return home, self._last[2]


def _names(spread: Spread, home: Path) -> Mapping[str, Laid]:
    """Frames by what a brief calls them: the path from its folder, or the name alone."""
    found: dict[str, Laid] = {}
    for laid in spread.frames:
        if laid.path.is_relative_to(home):
            found[str(laid.path.relative_to(home))] = laid
            found.setdefault(laid.path.name, laid)
    return found
