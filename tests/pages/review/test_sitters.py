"""The brief by sitter: who sits in the chair, who sat before, who sits next."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.conftest import SHOOT
from tests.pages.review.conftest import OTHERS, SERIES, Page, reviewed
from tests.waiting import wait_until

BRIEF = """sitters = "pauses"
[[brief]]
genre = "corporate headshot"
per = "sitter"
[[brief]]
genre = "tight close crop"
per = "sitter"
"""


@pytest.fixture(scope="module")
def sitting(measured_shoot: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    home = tmp_path_factory.mktemp("sitters")
    (home / "shoot").mkdir()
    (home / "shoot" / "eyeline.toml").write_text(BRIEF)
    for name in (SERIES[0], SERIES[2], OTHERS[0], OTHERS[1]):
        shutil.copy(SHOOT / name, home / "shoot" / name)
    shutil.copy(measured_shoot / "ledger.sqlite3", home)
    with reviewed(home / "shoot", home) as page:
        page.enter()
        wait_until(lambda: '<span class="num">4</span> frames' in shown(page))
        yield page


def shown(page: Page) -> str:
    return page.ask("GET", "/")[2].decode()


def sentence(text: str) -> str:
    found = re.search(r"<h1>(.+?)</h1>", text)
    return found[1] if found else ""


def test_the_last_sitter_is_in_the_chair_and_the_one_before_a_row(sitting: Page) -> None:
    text = shown(sitting)
    assert sentence(text).startswith("Number 2: ")
    assert 'aria-label="2, in the chair"' in text
    rows = re.findall(r'<h2 class="f"><b>(\d+)</b>', text)
    assert rows == ["1"]
    chair, _, before = text.partition('aria-label="Sitters before"')
    assert 'corporate headshot <span class="num">1 of 1</span>' in chair
    assert "come" in before or "head" in before or "wanted" in before  # what the nearest frame lacks


def test_the_next_sitter_is_asked_for_and_what_the_one_before_lacks_is_said(sitting: Page) -> None:
    assert sitting.ask("POST", "/sitter/next", {})[0] == 303
    wait_until(lambda: "please" in sentence(shown(sitting)))
    text = shown(sitting)
    assert sentence(text) == "Number 3, please."
    assert "Number 2 still lacks" in text
    assert sitting.ask("GET", "/sitter/next")[0] == 405
