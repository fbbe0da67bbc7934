"""The sheet as PDF, read by poppler: paper, pages, fonts, words; a proof says no more than numbers."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from eyeline.pages.sheet_look import PAPER_MM, Look
from eyeline.pages.sheet_pdf import sheet_pdf
from eyeline.run.brief import FolderBrief, SitterBrief
from eyeline.sitting.brief import BriefLine, LineReport
from tests.pages.invented import jpegs, sheet, sheet_frame, usual

POINT_MM = 25.4 / 72


def poppler(tool: str, path: Path, *words: str) -> str:
    end = ["-"] if tool == "pdftotext" else []
    command = [tool, *words, str(path), *end]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A sheet on A4, and a proof on Letter."""
    folder = tmp_path_factory.mktemp("pdf")
    shown = usual(80, 2)
    looks = {"sheet": Look(geometry=True), "proof": Look(paper="letter", client=True)}
    for name, look in looks.items():
        (folder / f"{name}.pdf").write_bytes(sheet_pdf(shown, look, jpegs(shown)).content)
    return {name: folder / f"{name}.pdf" for name in looks}


@pytest.mark.parametrize(("name", "paper"), [("sheet", "a4"), ("proof", "letter")])
def test_every_page_has_the_size_of_the_paper(written: dict[str, Path], name: str, paper: str) -> None:
    info = poppler("pdfinfo", written[name], "-f", "1", "-l", "99")
    sizes = re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+) pts", info)
    assert len(sizes) == int(re.findall(r"Pages: +(\d+)", info)[0]) >= 2
    for size in sizes:
        assert [float(side) * POINT_MM for side in size] == pytest.approx(PAPER_MM[paper], abs=0.2)


def test_all_fonts_are_embedded_and_known_to_readers(written: dict[str, Path]) -> None:
    rows = poppler("pdffonts", written["sheet"]).splitlines()[2:]
    assert len(rows) == 4
    assert all(row.split()[-5:-2] == ["yes", "yes", "yes"] for row in rows), rows


def test_every_picture_is_in_it_as_jpeg(written: dict[str, Path]) -> None:
    rows = poppler("pdfimages", written["sheet"], "-list").splitlines()[2:]
    assert len(rows) == 80
    assert {row.split()[8] for row in rows} == {"jpeg"}


def test_a_row_that_begins_a_page_repeats_the_sitters_number(written: dict[str, Path]) -> None:
    pages = poppler("pdftotext", written["sheet"], "-layout").split("\f")[:-1]
    assert len(pages) > 2
    for page in pages[1:]:
        first = next(line for line in page.splitlines() if line.strip())
        assert re.match(r"\s*[12]\b", first) or "continued" in "\n".join(page.splitlines()[:12])


def test_it_says_what_the_sheet_says(written: dict[str, Path]) -> None:
    said = " ".join(poppler("pdftotext", written["sheet"]).split())
    for words in (
        "80 frames of 2 sitters.",
        "the eyes are closed",
        "headshot, check gaze",
        "crops 4:5",
        "page 1 of",
    ):
        assert words in said


def test_a_proof_says_numbers_and_no_more(written: dict[str, Path]) -> None:
    said = poppler("pdftotext", written["proof"]) + poppler("pdfinfo", written["proof"])
    assert {str(frame.number) for frame in usual(80, 2).frames} <= set(said.split())
    for word in ("star", "gaze", "closed", "crop", "headshot", "continued", "series"):
        assert word not in said.casefold()
    assert b"headshot" not in written["proof"].read_bytes()


BRIEF = FolderBrief(
    1,
    None,
    (LineReport(BriefLine("corporate headshot", called="封面"), ()),),
    (SitterBrief("1", "1 李雷", None, 1, 0, (LineReport(BriefLine("loose keeper", called="会社"), ()),)),),
)


def test_words_in_letters_that_no_face_has_are_told() -> None:
    """Wherever they stand: in names, keywords, one's own rules, lines of the brief; a proof shows fewer."""
    frame = sheet_frame(1, words=("headshot", "撮影"), own_words=("Żółć Ωμέγα",), binds="头部 headroom 6 %")
    shown = replace(sheet((frame,), title="王小明 monday"), brief=BRIEF)
    told = sheet_pdf(shown, Look(), {}).boxes
    assert set(told) == {"王小明", "撮影", "头部", "封面", "会社", "李雷"}
    assert sheet_pdf(shown, Look(client=True), {}).boxes == ("王小明",)


def test_what_is_told_of_nothing_comes_back_from_the_pdf(tmp_path: Path) -> None:
    title = "Žofie Łódź, Ærø"
    made = sheet_pdf(sheet((sheet_frame(1),), title=title), Look(geometry=True), {})
    assert made.boxes == ()
    (tmp_path / "a.pdf").write_bytes(made.content)
    assert title in " ".join(poppler("pdftotext", tmp_path / "a.pdf").split())
