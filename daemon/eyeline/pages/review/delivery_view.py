"""A delivery: what is selected and what is missing shown, the files ordered, followed, stopped."""

from __future__ import annotations

import threading
import time
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from eyeline.deciding.mark_selected import SELECTED
from eyeline.errors import EyelineError, printable
from eyeline.pages.delivery_report import delivery_report
from eyeline.pages.review import render
from eyeline.pages.review.delivery_form import Typed, path_in, typed_in
from eyeline.pages.review.delivery_page import DeliveryPage, delivery_page, homes_in
from eyeline.pages.review.desk import Desk
from eyeline.pages.review.own_hands import formats_of
from eyeline.pages.review.spread import Laid, Spread, key_of
from eyeline.run.delivery_missing import Selected, named_in_vain, selected_in
from eyeline.run.delivery_order import words_of
from eyeline.run.final_candidates import with_finals_by_name

REPORT = "eyeline-delivery.html"

LOOK_SECONDS = 2.0
"""Between two looks at the sidecars of all frames: while files are made, the page is asked for with each."""


class DeliveryView:
    """Answers for the selected frames of one folder at a time. What they lack is worked out once for each
    spread and selection."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._typed = Typed()
        self._lock = threading.Lock()
        self._last: tuple[tuple[object, ...], Selected] | None = None
        self._looked_s = float("-inf")

    async def delivery(self, request: Request) -> Response:
        """The page."""
        spread = self._desk.table.spread
        if not spread.frames:
            return render.page("waiting.html", view="delivery", spread=spread)
        page = await run_in_threadpool(self._page, spread, request.query_params.get("of", ""), self._typed)
        return render.page("delivery.html", view="delivery", page=page)

    async def start(self, request: Request) -> Response:
        """Order a delivery, or with `look` see what it would make."""
        fields = await render.form(request)
        return await run_in_threadpool(self._start, fields)

    async def stop(self, request: Request) -> Response:
        """Have no other file begun."""
        await render.form(request)
        self._desk.delivery.stop()
        return RedirectResponse("/delivery", 303)

    async def report(self, _: Request) -> Response:
        """The report of the last delivery, to be saved: it opens anywhere."""
        progress = self._desk.delivery.progress
        if progress.plan is None or progress.order is None or progress.is_under_way:
            raise HTTPException(404, "no delivery has ended here yet")
        title = f"Delivered to {printable(progress.order.out.name)}"
        words, now = words_of(progress.done, progress.plan), datetime.now().astimezone()
        content = await run_in_threadpool(delivery_report, title, words, progress.done, progress.plan, now)
        headers = {"Content-Disposition": f'attachment; filename="{REPORT}"'}
        return Response(content, media_type="text/html", headers=headers)

    def _start(self, fields: Mapping[str, str]) -> Response:
        spread, key, typed = self._desk.table.spread, fields.get("of", ""), typed_in(fields)
        homes = self._homes(spread)
        if key not in homes:
            raise HTTPException(404, "no folder here has frames of this name")
        try:
            order = typed.order(homes[key], dry_run="look" in fields)
            self._desk.delivery.start(order)
        except EyelineError as error:
            page = self._page(spread, key, typed, str(error))
            return render.page("delivery.html", 409, view="delivery", page=page)
        self._typed = typed
        return RedirectResponse(f"/delivery?of={key}", 303)

    def _page(self, spread: Spread, key: str, typed: Typed, mistake: str = "") -> DeliveryPage:
        decider, homes = self._desk.decider(), self._homes(spread)
        assert spread.latest is not None
        home = homes.get(key) or self._home(spread.latest.path.parent)
        laid = [each for each in self._selected(spread) if each.path.is_relative_to(home)]
        selected = self._known(spread, home, laid)
        with_final = with_finals_by_name([each.path for each in laid], _finals(typed))
        in_vain = named_in_vain(decider, [home])
        shown = homes_in(homes, home)
        progress = self._desk.delivery.progress
        return delivery_page(
            len(spread.frames), shown, laid, selected, with_final, in_vain, progress, typed, mistake
        )

    def _selected(self, spread: Spread) -> list[Laid]:
        """The selected frames, also those that `eyeline select` or another program has marked meanwhile."""
        hands, now_s = self._desk.hands, time.monotonic()
        looks = now_s - self._looked_s >= LOOK_SECONDS
        if looks:
            self._looked_s = now_s
        records = hands.records()
        found = []
        for part in spread.parts:
            formats = formats_of(part)
            for laid in part.laid:
                hand = hands.renewed(laid, formats, records) if looks else hands.known(laid)
                if hand is not None and SELECTED in {word.casefold() for word in hand.words}:
                    found.append(laid)
        return found

    def _homes(self, spread: Spread) -> dict[str, Path]:
        homes = dict.fromkeys(self._home(part.folder) for part in spread.parts if part.laid)
        return {key_of(home): home for home in homes}

    def _home(self, folder: Path) -> Path:
        return self._desk.decider().home_of_brief(folder)

    def _known(self, spread: Spread, home: Path, laid: Sequence[Laid]) -> Selected:
        with self._lock:
            asked = (spread.version, home, tuple(each.key for each in laid))
            if self._last is None or self._last[0] != asked:
                photos = [photo for each in laid if (photo := self._desk.table.photo(each)) is not None]
                self._last = asked, selected_in(self._desk.decider(), home, photos)
            return self._last[1]


def _finals(typed: Typed) -> tuple[Path, ...]:
    """The folder of finals that was typed, if it is one."""
    try:
        path = path_in(typed.finals, "the finals") if typed.finals else None
    except EyelineError:
        path = None
    return (path,) if path is not None and path.is_dir() else ()
