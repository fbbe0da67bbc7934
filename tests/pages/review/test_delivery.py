"""The delivery on the page: what is selected, what is missing; ordered, followed, stopped, refused."""

from __future__ import annotations

import shutil
import subprocess
import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PIL import Image

from eyeline.ledger.ledger import Ledger
from eyeline.run import deliver
from tests.pages.review.conftest import OTHERS, SERIES, Page, reviewed
from tests.waiting import PATIENCE_SECONDS, wait_until

BRIEF = """\
[[brief]]
genre = "corporate headshot"
sizes = ["400x500", "300x300"]

[[brief]]
genre = "tight close crop"
called = "close, for the cover"
"""
SELECTS = (SERIES[2], OTHERS[0])


@pytest.fixture(scope="module")
def own_page(measured_shoot: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """A page over a copy of which two frames are selected."""
    home = tmp_path_factory.mktemp("delivery")
    (home / "shoot").mkdir()
    for name in SELECTS:
        shutil.copy(measured_shoot / "shoot" / name, home / "shoot")
    shutil.copy(measured_shoot / "ledger.sqlite3", home)
    (home / "shoot" / "eyeline.toml").write_text(BRIEF)
    with reviewed(home / "shoot", home) as page:
        page.enter()
        wait_until(lambda: all((page.folder / name).with_suffix(".xmp").exists() for name in SELECTS))
        yield page


def shown(page: Page) -> str:
    status, _, body = page.ask("GET", "/delivery")
    assert status == 200
    return body.decode()


def order(page: Page, to: Path | str, **fields: str) -> tuple[int, str]:
    of = shown(page).partition('name="of" value="')[2].partition('"')[0]
    status, _, body = page.ask("POST", "/delivery/start", {"of": of, "to": str(to), **fields})
    return status, body.decode()


def test_selects_hang_from_the_eyes_and_what_is_missing_is_named(own_page: Page) -> None:
    assert "No frame is selected yet." in shown(own_page)
    here, elsewhere = SELECTS
    sent = {"state": own_page.state(here), "add": "selected"}
    assert own_page.ask("POST", own_page.frame(here) + "/correct", sent)[0] == 303
    sidecar = (own_page.folder / elsewhere).with_suffix(".xmp")
    command = ["exiftool", "-q", "-overwrite_original", "-XMP-dc:Subject+=selected", str(sidecar)]
    subprocess.run(command, check=True)
    wait_until(lambda: "2 frames are selected." in shown(own_page))
    with Ledger(own_page.configuration.ledger, datetime.now(UTC)) as ledger:
        for words in ("9999", "1040"):
            ledger.choices.add_in_vain(own_page.folder, words, "answer.txt", datetime.now(UTC))
    text = shown(own_page)
    assert text.count('class="eye-line"') == 2
    for name in SELECTS:
        assert own_page.frame(name) in text
    missing = text.partition("Still missing")[2].partition("</dl>")[0]
    assert "close, for the cover" in missing and "corporate headshot" not in missing
    assert "9999" in missing and "1040" in missing.partition("Lines without")[0]
    assert "1040" not in missing.partition("not there")[2], "by now there is a frame of this name"
    (own_page.folder / "NL1_1040-final.png").write_bytes(b"somebody is still writing it")
    assert ">final<" in shown(own_page)
    (own_page.folder / "NL1_1040-final.png").unlink()


def test_a_target_that_is_none_is_refused_and_nothing_is_started(own_page: Page, tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(own_page.folder)
    for to in ("", "out", "../out", f"{tmp_path}/../out", "~nobody-here/out", f"{tmp_path}/a\0b", "/a\nb"):
        assert order(own_page, to)[0] == 409, to
    for to in (own_page.folder, own_page.folder / "out", tmp_path / "link" / "out"):
        status, text = order(own_page, to)
        assert status == 409 and "the target" in text
    for name in ("none", "n" * 300):
        assert order(own_page, tmp_path / "out", settings=str(tmp_path / f"{name}.toml"))[0] == 409
        assert order(own_page, tmp_path / "out", finals=str(tmp_path / name))[0] == 409
    fields = {"of": "0" * 16, "to": str(tmp_path / "out")}
    assert own_page.ask("POST", "/delivery/start", fields)[0] == 404
    assert own_page.ask("GET", "/delivery/start")[0] == 405
    assert own_page.ask("POST", "/delivery/start", fields, Origin="http://example.org")[0] == 403
    assert own_page.ask("GET", "/delivery/report")[0] == 404
    assert not (tmp_path / "out").exists() and 'aria-label="The delivery"' not in shown(own_page)


def test_files_are_looked_at_made_and_told_and_another_s_stays(own_page: Page, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert order(own_page, out, look="1")[0] == 303
    wait_until(lambda: "4 would be written." in shown(own_page))
    assert not out.exists()
    out.mkdir()
    theirs = out / "shoot_corporate headshot_400x500_NL1_1040.jpg"
    theirs.write_bytes(b"somebody's")
    assert order(own_page, out, zip="on")[0] == 303
    wait_until(lambda: "3 written, 1 not made." in shown(own_page))
    text = shown(own_page)
    assert "another file has this name" in text and str(out.with_suffix(".zip")) in text
    assert theirs.read_bytes() == b"somebody's" and len(list(out.iterdir())) == 4
    with Image.open(out / "shoot_corporate headshot_300x300_NL1_1000.jpg") as picture:
        assert picture.size == (300, 300)
    status, headers, report = own_page.ask("GET", "/delivery/report")
    assert (status, headers["content-disposition"].split(";")[0]) == (200, "attachment")
    assert b"3 written, 1 not made." in report and report.count(b"data:image/jpeg") == 3
    assert f'value="{out}"' in text, "what was typed is still there"


def test_one_at_a_time_and_stopped_between_two_files(
    own_page: Page, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, begun, go_on = deliver.made, threading.Event(), threading.Event()

    def slowly(*arguments: object) -> object:
        begun.set()
        assert go_on.wait(PATIENCE_SECONDS)
        return real(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(deliver, "made", slowly)
    assert order(own_page, tmp_path / "out")[0] == 303
    assert begun.wait(PATIENCE_SECONDS)
    assert "0 of 4 files." in shown(own_page)
    status, text = order(own_page, tmp_path / "other")
    assert status == 409 and "a delivery is under way" in text
    assert own_page.ask("POST", "/delivery/stop", {})[0] == 303
    assert "It stops" in shown(own_page)
    go_on.set()
    wait_until(lambda: "Stopped. 1 file of 2 frames: 1 written." in shown(own_page))
    assert len(list((tmp_path / "out").iterdir())) == 1 and not (tmp_path / "other").exists()
