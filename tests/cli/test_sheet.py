"""`eyeline sheet` by the real command line, on frames of the bundled shoot."""

from __future__ import annotations

import io
import re
import shutil
from pathlib import Path

import pytest
from PIL import Image

from tests.cli.conftest import Eyeline, copy_frames
from tests.pages.reading import Page

FRAMES = ("NL1_1000.jpg", "NL1_1004.jpg", "NL1_1012.jpg")


@pytest.fixture(scope="module")
def judged(eyeline: Eyeline, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sheets") / "monday"
    copy_frames(folder, *FRAMES)
    assert eyeline("run", folder).returncode == 0
    return folder


def test_a_sheet_shows_every_frame_upright_and_says_where_it_is(
    judged: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    ran = eyeline("sheet", judged, cwd=tmp_path)
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.startswith("The sheet of 3 frames is written: monday-sheet.html")
    assert "drawn" not in ran.stdout
    page = Page((tmp_path / "monday-sheet.html").read_bytes())
    assert [each.attributes["alt"].split(",")[0] for each in page.all("img")] == [
        "Frame 1000",
        "Frame 1004",
        "Frame 1012",
    ]
    sizes = [Image.open(io.BytesIO(each)).size for each in page.pictures()]
    assert [width > height for width, height in sizes] == [True, False, True]
    assert "3 frames of 2 sitters." in page.text and "the eyes are closed" in page.text
    assert len(page.all("section")) == 2


def test_what_was_pruned_is_drawn_again_and_said(
    judged: Path, eyeline: Eyeline, home: Path, tmp_path: Path
) -> None:
    shutil.rmtree(home / ".cache" / "eyeline" / "previews")
    ran = eyeline("sheet", judged, "--stars", "1", "--out", tmp_path / "blinks.html")
    assert ran.returncode == 0, ran.stderr
    assert "Of 1 frame no picture was kept" in ran.stdout
    assert len(Page((tmp_path / "blinks.html").read_bytes()).all("img")) == 1
    again = eyeline("sheet", judged, "--stars", "1", "--out", tmp_path / "blinks.html")
    assert "no picture" not in again.stdout


def test_a_proof_is_kept_as_sent(judged: Path, eyeline: Eyeline, tmp_path: Path) -> None:
    ran = eyeline("sheet", judged, "--client", "--title", "Northlight", "--out", tmp_path / "proof.html")
    assert ran.returncode == 0, ran.stderr
    assert "eyeline select" in ran.stdout
    body = (tmp_path / "proof.html").read_text().split("</style>", 1)[1]
    said = re.sub(r"base64,[^\"]*", "", body)
    assert not re.search(r"stars|blink|headshot|crop|monday|eyeline", said)
    assert "3 frames went out" in eyeline("proof", judged).stdout


def test_stars_and_keywords_choose(judged: Path, eyeline: Eyeline, tmp_path: Path) -> None:
    out = tmp_path / "few.html"
    assert eyeline("sheet", judged, "--keyword", "blink", "--out", out).returncode == 0
    page = Page(out.read_bytes())
    assert len(page.all("img")) == 1 and "1 of 3 frames" in page.text
    none = eyeline("sheet", judged, "--keyword", "nothing of the kind", "--out", out)
    assert none.returncode == 1 and "no frame has keyword nothing of the kind" in none.stderr


@pytest.mark.parametrize(
    "words",
    [
        ("--client", "--geometry"),
        ("--client", "--sort", "stars"),
        ("--watermark", "x"),
        ("--stars", "9"),
        ("--out", "photo.jpg"),
        ("--pdf", "--out", "a.html"),
    ],
)
def test_what_cannot_be_meant_is_refused_and_writes_nothing(
    judged: Path, eyeline: Eyeline, tmp_path: Path, words: tuple[str, ...]
) -> None:
    ran = eyeline("sheet", judged, *words, cwd=tmp_path)
    assert ran.returncode == 2 and ran.stderr.startswith("eyeline: ")
    assert not list(tmp_path.iterdir())


def test_a_folder_without_measures_says_what_to_do(eyeline: Eyeline, judged: Path, tmp_path: Path) -> None:
    ran = eyeline("sheet", tmp_path)
    assert ran.returncode == 1 and "eyeline run" in ran.stderr
