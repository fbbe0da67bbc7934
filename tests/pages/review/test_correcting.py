"""Corrections over the page: in the sidecar as two readers see it, and two pages that lose nothing."""

from __future__ import annotations

import html
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.pages.review.conftest import OTHERS, SERIES, Page, reviewed
from tests.sidecar.readers import by_exiftool, by_exiv2
from tests.waiting import wait_until


@pytest.fixture(scope="module")
def own_page(measured_shoot: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """A page over a copy that may be changed: measured and written under its new names by the daemon."""
    home = tmp_path_factory.mktemp("own")
    shutil.copytree(measured_shoot / "shoot", home / "shoot", ignore=shutil.ignore_patterns("*.xmp"))
    shutil.copy(measured_shoot / "ledger.sqlite3", home)
    with reviewed(home / "shoot", home) as page:
        page.enter()
        wait_until(
            lambda: all((page.folder / name).with_suffix(".xmp").exists() for name in (*SERIES, *OTHERS))
        )
        yield page


def sidecar(page: Page, name: str) -> Path:
    return (page.folder / name).with_suffix(".xmp")


def correct(page: Page, name: str, **fields: str) -> int:
    sent = {"state": page.state(name), **fields}
    return page.ask("POST", page.frame(name) + "/correct", sent)[0]


def test_stars_and_words_stand_in_the_sidecar(own_page: Page) -> None:
    name = SERIES[2]
    assert correct(own_page, name, stars="5") == 303
    assert correct(own_page, name, add="cover") == 303
    assert correct(own_page, name, out="headshot") == 303
    for read in (by_exiftool, by_exiv2):
        seen = read(sidecar(own_page, name))
        assert seen.rating == "5"
        assert "cover" in seen.keywords
        assert "headshot" not in seen.keywords
    shown = own_page.ask("GET", own_page.frame(name))[2].decode()
    assert "yours; eyeline gave" in shown


def test_undo_of_every_step_leads_back(own_page: Page) -> None:
    name = OTHERS[0]
    before = sidecar(own_page, name).read_bytes()
    for fields in ({"stars": "1"}, {"add": "mine"}, {"stars": "2"}):
        assert correct(own_page, name, **fields) == 303
    for _ in range(3):
        assert own_page.ask("POST", own_page.frame(name) + "/undo", {})[0] == 303
    assert sidecar(own_page, name).read_bytes() == before
    assert b"Undo: nothing yet" in own_page.ask("GET", own_page.frame(name))[2]


def test_of_two_pages_the_second_is_told(own_page: Page) -> None:
    name = OTHERS[1]
    both_saw = own_page.state(name)
    for stars, expected in (("3", 303), ("5", 409)):
        fields = {"state": both_saw, "stars": stars}
        status, _, body = own_page.ask("POST", own_page.frame(name) + "/correct", fields)
        assert status == expected
    assert b"has 3 stars of yours" in body
    assert by_exiftool(sidecar(own_page, name)).rating == "3"


@pytest.mark.parametrize(
    "fields",
    [{"stars": "6"}, {"stars": "x"}, {"stars": ""}, {"add": ""}, {"add": "a\nb"}, {}, {"nothing": "1"}],
)
def test_what_makes_no_sense_is_said_and_not_written(own_page: Page, fields: dict[str, str]) -> None:
    name = OTHERS[2]
    before = sidecar(own_page, name).read_bytes()
    assert correct(own_page, name, **fields) == 422
    assert sidecar(own_page, name).read_bytes() == before


def test_a_hostile_keyword_is_text_wherever_it_is_shown(own_page: Page) -> None:
    name = OTHERS[2]
    word = '"><script>alert(1)</script>&{{7*7}}'
    assert correct(own_page, name, add=word) == 303
    shown = own_page.ask("GET", own_page.frame(name))[2].decode()
    assert word not in shown
    assert html.escape(word, quote=False) in shown or html.escape(word) in shown.replace("&#34;", "&quot;")
    assert word in by_exiftool(sidecar(own_page, name)).keywords
    assert own_page.ask("POST", own_page.frame(name) + "/undo", {})[0] == 303


def test_a_body_that_is_no_form_is_refused(own_page: Page) -> None:
    address = own_page.frame(OTHERS[2]) + "/correct"
    assert own_page.ask("POST", address, {"stars": "1"}, Content_Type="application/json")[0] == 415


def test_a_crop_is_kept_in_the_format_s_shape_and_given_back(own_page: Page) -> None:
    name = SERIES[1]
    before = sidecar(own_page, name).read_bytes()
    assert correct(own_page, name, crop="4:5", left="10", top="10", width="60", height="60") == 303
    seen = by_exiftool(sidecar(own_page, name)).regions["own-crop-4x5"]
    # The file is stored lying, 1800 by 1200: there 4:5 upright is 5:4.
    assert seen.area[2] * 1800 / (seen.area[3] * 1200) == pytest.approx(5 / 4, abs=0.002)
    assert "eyeline-crop-4x5" not in by_exiftool(sidecar(own_page, name)).regions
    address = own_page.frame(name).replace("/frame/", "/crop/") + "/4x5"
    assert b"Back to eyeline" in own_page.ask("GET", address)[2].replace(b"<u>B</u>", b"B")
    assert own_page.ask("POST", own_page.frame(name) + "/undo", {})[0] == 303
    assert sidecar(own_page, name).read_bytes() == before


@pytest.mark.parametrize(
    "fields",
    [
        {"crop": "4:5"},
        {"crop": "9:99", "left": "0", "top": "0", "width": "50", "height": "50"},
        {"crop": "4:5", "left": "nan", "top": "0", "width": "50", "height": "50"},
        {"crop": "4:5", "left": "60", "top": "0", "width": "50", "height": "50"},
        {"crop": "4:5", "left": "0", "top": "0", "width": "-1", "height": "50"},
    ],
)
def test_a_crop_that_lies_nowhere_is_refused(own_page: Page, fields: dict[str, str]) -> None:
    assert correct(own_page, OTHERS[2], **fields) == 422


def test_a_crop_that_is_moved_is_judged_by_the_framing_of_its_window(own_page: Page) -> None:
    address = own_page.frame(SERIES[1]).replace("/frame/", "/crop/") + "/4x5"
    whole = own_page.ask("GET", address + "/judged?left=0&top=6&width=100&height=83.33")
    assert (whole[0], b"1200" in whole[2] or b"px left" in whole[2]) == (200, True)
    small = own_page.ask("GET", address + "/judged?left=30&top=20&width=20&height=20")
    assert b"too few" in small[2]
    assert own_page.ask("GET", address + "/judged?left=x&top=20&width=20&height=20")[0] == 422
    assert own_page.ask("GET", address.replace("4x5", "9x99"))[0] == 404
