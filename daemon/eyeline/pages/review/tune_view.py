"""Tuning: tried while the page asks, saved into the photographer's own rule file, put back."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import blake2b

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from eyeline.errors import BadConfiguration
from eyeline.judging.rulebook import Rulebook
from eyeline.pages.review import render
from eyeline.pages.review.desk import Desk
from eyeline.pages.review.own_hands import stars_of
from eyeline.pages.review.spread import Spread
from eyeline.pages.review.tune_page import TunePage, tune_page
from eyeline.pages.review.tune_rows import wishes_of
from eyeline.pages.review.tuning import changes, judges, trial, tuned
from eyeline.settings.own_genre import TUNED, Edit, edit, own_file

DIGEST_BYTES = 8


@dataclass(frozen=True, slots=True)
class _Asked:
    spread: Spread
    genre: str
    saved: Rulebook
    now: Rulebook
    mistake: str


class TuneView:
    """Answers for one genre at a time."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._saved: list[Edit] = []
        self._one_at_a_time = threading.Lock()

    async def tune(self, request: Request) -> Response:
        """The page of a genre; with fields, of the genre as they wish it."""
        if not self._desk.table.spread.frames:
            return render.page("waiting.html", view="tune", spread=self._desk.table.spread)
        page = await run_in_threadpool(self._page, dict(request.query_params))
        return render.page("tune.html", view="tune", page=page)

    async def judged(self, request: Request) -> Response:
        """What the wishes come to, without the rest of the page."""
        page = await run_in_threadpool(self._page, dict(request.query_params))
        return render.page("tune_judged.html", page=page)

    async def save(self, request: Request) -> Response:
        """Put the wishes into the photographer's own rule file."""
        fields = await render.form(request)
        return await run_in_threadpool(self._save, fields)

    async def put_back(self, request: Request) -> Response:
        """Make the rule file what it was before the last save."""
        await render.form(request)
        return await run_in_threadpool(self._put_back)

    def _asked(self, fields: Mapping[str, str]) -> _Asked:
        spread = self._desk.table.spread
        names = [name for name, _ in judges(spread)]
        genre = fields.get("genre") or (names[0] if names else "")
        if genre not in names:
            raise HTTPException(404, "no frame here is judged on a genre of this name")
        saved = next(each for part in spread.parts for each in part.brief if each.name == genre)
        try:
            return _Asked(spread, genre, saved, tuned(saved, wishes_of(saved, fields, spread)), "")
        except ValueError as error:
            return _Asked(spread, genre, saved, saved, str(error))

    def _page(self, fields: Mapping[str, str], mistake: str = "") -> TunePage:
        asked = self._asked(fields)
        spread, decider = asked.spread, self._desk.decider()
        known = self._desk.hands.known
        own = {each.key: stars for each in spread.frames if (stars := stars_of(known(each))) is not None}
        five_stars = decider.configuration.five_stars
        found = trial(spread, asked.genre, asked.now, own, five_stars)
        file, text = own_file(asked.genre, decider.configuration.rules)
        return tune_page(
            spread,
            judges(spread),
            asked.saved,
            asked.now,
            found,
            len(own),
            _state(text),
            file.name,
            bool(self._saved),
            mistake or asked.mistake,
        )

    def _save(self, fields: Mapping[str, str]) -> Response:
        asked = self._asked(fields)
        if asked.mistake:
            raise HTTPException(422, asked.mistake)
        wanted, configuration = changes(asked.saved, asked.now), self._desk.decider().configuration
        with self._one_at_a_time:
            try:
                file, text = own_file(asked.genre, configuration.rules)
                if _state(text) != fields.get("state"):
                    return self._refused(fields, f"{file.name} was changed elsewhere; look, then save")
                if wanted:
                    made = edit(asked.genre, wanted, configuration, TUNED, all_or_nothing=True)
                    made.apply()
                    self._saved.append(made)
            except BadConfiguration as error:
                return self._refused(fields, str(error))
        self._desk.reload()
        return RedirectResponse(f"/tune?genre={asked.genre.replace(' ', '+')}", 303)

    def _put_back(self) -> Response:
        with self._one_at_a_time:
            if self._saved:
                last = self._saved[-1]
                if last.is_as_left():
                    last.take_back()
                    self._saved.pop()
                else:
                    return self._refused({}, f"{last.file.name} was changed since; it stays as it is")
        self._desk.reload()
        return RedirectResponse("/tune", 303)

    def _refused(self, fields: Mapping[str, str], why: str) -> Response:
        return render.page("tune.html", 409, view="tune", page=self._page(fields, why))


def _state(text: str) -> str:
    """Hex digits that change with the text of the rule file."""
    return blake2b(text.encode(), digest_size=DIGEST_BYTES).hexdigest()
