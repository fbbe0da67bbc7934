"""The brief and what is set aside, as the page says them."""

from __future__ import annotations

import re

from tests.pages.review.conftest import SERIES, Page


def shown(page: Page, address: str) -> str:
    status, _, body = page.ask("GET", address)
    assert status == 200
    return body.decode()


def test_the_brief_says_one_sentence_and_draws_what_is_missing(page: Page) -> None:
    text = shown(page, "/")
    sentence = re.search(r"<h1>(.+?)</h1>", text)
    assert sentence is not None
    assert sentence[1].endswith(".")
    assert 'tight close crop <span class="num">0 of 1</span>' in text
    assert "Empty place for tight close crop" in text
    assert 'corporate headshot <span class="num">1 of 1</span>' in text


def test_what_is_set_aside_is_counted_by_reason_and_opened_on_demand(page: Page) -> None:
    text = shown(page, "/aside")
    assert "The eyes are closed" in text
    number = re.search(r'data-src="(/aside/\d+)"><summary><h2>The eyes are closed', text)
    assert number is not None
    assert "/picture/" not in text
    opened = shown(page, number[1])
    assert page.frame(SERIES[3]) in opened
    assert "keep it" in opened.replace("<u>k</u>", "k")
    assert page.ask("GET", "/aside/99")[0] == 404
    assert page.ask("GET", number[1] + "?from=-1")[0] == 404


def test_a_frame_shows_its_series_its_reasons_and_what_cost_first(page: Page) -> None:
    pages = [shown(page, page.frame(name)) for name in SERIES]
    text = next(each for each in pages if "Best of its four." in each)
    for name in SERIES:
        assert page.frame(name).removeprefix("/frame/") in text
    costs = [match[1] for match in re.finditer(r'<li( class="cost")?><svg', text)]
    assert costs == sorted(costs, key=lambda each: each is None)
    assert "style=" not in text
    assert "<script>" not in text


def test_the_sheet_is_a_file_to_keep(page: Page) -> None:
    assert "/sheet/file" in shown(page, "/sheet")
    status, headers, body = page.ask("GET", "/sheet/file")
    assert (status, headers["content-disposition"].split(";")[0]) == (200, "attachment")
    assert b"1040" in body
    assert b"data:image/jpeg" in body
