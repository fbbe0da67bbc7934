from __future__ import annotations

import json
import threading
from pathlib import Path

import pytest

from eyeline.run import announcements as told
from eyeline.run.announcements import Announcement, Announcements, CardIn, FrameJudged, record_of
from tests.waiting import PATIENCE_SECONDS

CARD = CardIn(Path("/card"), 61, 4, ("copy space left: 1",))


def test_all_who_listen_hear_everything_in_its_order(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(told, "LAST_WORDS_SECONDS", PATIENCE_SECONDS)
    news = Announcements()
    one: list[Announcement] = []
    other: list[Announcement] = []
    news.subscribe(one.append)
    news.subscribe(other.append)
    said = [FrameJudged(Path(f"/card/{number}.jpg"), "loose keeper", 3, ()) for number in range(20)]
    for each in said:
        news.tell(each)
    news.close()
    assert one == other == said


def test_a_listener_that_hangs_or_fails_holds_up_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(told, "LAST_WORDS_SECONDS", 0.01)
    news = Announcements()
    let_go = threading.Event()
    hears = threading.Event()
    heard: list[Announcement] = []

    def fails(_: Announcement) -> None:
        raise RuntimeError

    news.subscribe(lambda _: let_go.wait())
    news.subscribe(fails)

    def listen(each: Announcement) -> None:
        heard.append(each)
        hears.set()

    stop = news.subscribe(listen)
    for _ in range(3 * told.MOST_UNHEARD):  # of a listener that hangs the oldest are dropped
        news.tell(CARD)
    assert hears.wait(PATIENCE_SECONDS)
    stop()
    news.tell(CARD)
    news.close()
    let_go.set()
    assert 0 < len(heard) <= 3 * told.MOST_UNHEARD


@pytest.mark.parametrize("kind", told.KINDS)
def test_every_kind_has_a_name_of_its_own(kind: type[Announcement]) -> None:
    assert kind.kind and [each.kind for each in told.KINDS].count(kind.kind) == 1


def test_an_announcement_is_plain_json() -> None:
    assert json.loads(json.dumps(record_of(CARD))) == {
        "kind": "card in",
        "folder": "/card",
        "frames": 61,
        "set_aside": 4,
        "missing": ["copy space left: 1"],
    }
