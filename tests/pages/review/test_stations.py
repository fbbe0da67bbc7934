"""Who does what where several machines measure: how fast, on what, and why one is refused."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from eyeline.errors import EyelineError
from eyeline.pages.review import stations_watch
from eyeline.pages.review.stations_watch import AtWork, StationsWatch, a_minute, shown_of
from eyeline.stations.overview import Doing
from tests.pages.review.conftest import KEPT, SERIES, SETTINGS, Page, reviewed
from tests.waiting import wait_until

ADDRESS = "tcp://127.0.0.1:9"  # the discard service (RFC 863), which nobody runs
STATIONS = f'[workers]\ncount = 1\nengine = "dask"\nscheduler = "{ADDRESS}"\n'
CHAIR_2 = Doing("chair-2", 4, 120, ("/volumes/shoot/<b>.jpg",), "", "tls://10.0.0.2:1")
CHAIR_3 = Doing("chair-3", 4, 7, (), "the clock of the station chair-3 is 90 s off", "tls://10.0.0.3:1")


@pytest.mark.parametrize(
    ("counts", "rate"),
    [
        ([], None),
        ([(0.0, 5)], None),
        ([(0.0, 5), (1.0, 9)], None),
        ([(0.0, 5), (30.0, 25)], 40),
        ([(10.0, 0), (40.0, 30), (70.0, 90)], 90),
    ],
)
def test_photos_a_minute_are_counted_over_the_moments_known(
    counts: list[tuple[float, int]], rate: int | None
) -> None:
    assert a_minute(counts) == rate


@pytest.mark.parametrize(
    ("stations", "sentence"),
    [
        ([], "No station is there; photos wait."),
        ([AtWork(CHAIR_2, None)], "One station measures, 4 photos at a time."),
        ([AtWork(CHAIR_2, 80), AtWork(CHAIR_2, 40)],
         "2 stations measure, 8 photos at a time; 120 photos a minute."),
        ([AtWork(CHAIR_2, 80), AtWork(CHAIR_3, 0)],
         "1 of 2 stations measure, 4 photos at a time; 80 photos a minute."),
    ],
)  # fmt: skip
def test_one_sentence_says_how_it_goes(stations: list[AtWork], sentence: str) -> None:
    assert shown_of(stations, ADDRESS).sentence == sentence


def test_they_are_asked_while_somebody_looks_and_a_change_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stations_watch, "LOOK_SECONDS", 0.01)
    answers: list[Sequence[Doing] | EyelineError] = [[CHAIR_2], [CHAIR_2], EyelineError("no scheduler")]
    asked, told, looks = [], [], [False]

    def ask() -> Sequence[Doing]:
        asked.append(1)
        answer = answers[min(len(asked), len(answers)) - 1]
        if isinstance(answer, EyelineError):
            raise answer
        return answer

    watch = StationsWatch(ADDRESS, ask, lambda: looks[0], lambda: told.append(watch.shown.sentence))
    watch.start()
    try:
        assert not asked, "nobody looks"
        looks[0] = True
        wait_until(lambda: len(asked) > 4)
        assert told == ["One station measures, 4 photos at a time.", "No scheduler."]
    finally:
        watch.stop()


@pytest.mark.slow
def test_the_page_shows_each_station_and_leads_there_from_the_brief(
    measured_shoot: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stations_watch, "_asked", lambda *_: [CHAIR_2, CHAIR_3])
    settings = SETTINGS.replace("workers = 1\n", "") + KEPT + STATIONS
    with reviewed(measured_shoot / "shoot", measured_shoot, settings) as page:
        page.enter()
        wait_until(lambda: page.ask("GET", page.frame(SERIES[0]))[0] == 200)
        status, _, body = page.ask("GET", "/stations")
        assert status == 200
        shown = body.decode()
        assert "1 of 2 stations measure, 4 photos at a time" in shown
        for word in ("chair-2", "120", "chair-3", "Refused: the clock of the station chair-3 is 90 s off"):
            assert word in shown
        assert "/volumes/shoot/&lt;b&gt;.jpg" in shown
        brief = page.ask("GET", "/")[2].decode()
        assert 'href="/stations"' in brief and "1 of 2 stations measure" in brief


@pytest.mark.slow
def test_one_machine_alone_has_no_such_view(page: Page) -> None:
    assert page.ask("GET", "/stations")[0] == 404
    assert "/stations" not in page.ask("GET", "/")[2].decode()
