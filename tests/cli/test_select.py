"""A client's answer by the real command line: marked, kept, taken back."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from io import StringIO
from pathlib import Path

import pytest

from eyeline.cli import select as command
from tests.cli.conftest import SHOOT, Eyeline, copy_frames, opened_once
from tests.sidecar.readers import by_exiftool, by_exiv2

FRAMES = ("NL1_1002.jpg", "NL1_1007.jpg", "NL1_1030.jpg")


@pytest.fixture(scope="module", autouse=True)
def one_session() -> Iterator[None]:
    with opened_once(command):
        yield


@pytest.fixture(scope="module")
def shoots(tmp_path_factory: pytest.TempPathFactory, eyeline: Eyeline) -> Path:
    folder = tmp_path_factory.mktemp("shoots")
    copy_frames(folder / "monday", *FRAMES)
    (folder / "tuesday").mkdir()
    shutil.copy(SHOOT / "NL1_1000.jpg", folder / "tuesday" / "NL1_1002.jpg")
    ran = eyeline("run", folder)
    assert ran.returncode == 0, ran.stderr
    return folder


def keywords(photo: Path) -> set[str]:
    found = by_exiftool(photo.with_suffix(".xmp")).keywords
    assert found == by_exiv2(photo.with_suffix(".xmp")).keywords
    return set(found)


def test_an_answer_is_marked_outlives_another_judging_and_is_taken_back(
    shoots: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    monday = shoots / "monday"
    answer = tmp_path / "answer.txt"
    answer.write_text("Hi, 1002 - 1007 please, not 1030.\n> 1030?\n")
    before = {name: (monday / name).with_suffix(".xmp").read_bytes() for name in FRAMES}
    shown = eyeline("select", monday, "--from", answer, "--dry-run")
    assert shown.returncode == 0, shown.stderr
    assert "The answer names 2 frames." in shown.stdout
    assert {name: (monday / name).with_suffix(".xmp").read_bytes() for name in FRAMES} == before

    done = eyeline("select", monday, "--from", answer)
    assert (done.returncode, done.stderr) == (0, "")
    assert "2 frames marked 'selected'." in done.stdout
    assert eyeline("judge", monday).returncode == 0
    assert ["selected" in keywords(monday / name) for name in FRAMES] == [True, True, False]
    rows = [json.loads(line) for line in eyeline("ledger", "export").stdout.splitlines()]
    chosen = [row for row in rows if row.get("table") == "choices"]
    assert [(row["words"], row["source"]) for row in chosen] == [("1002-1007", str(answer))] * 2

    assert eyeline("undo", "--yes", monday).returncode == 0
    assert keywords(monday / FRAMES[0]) == {"selected"}, "undo takes back eyeline's, not the photographer's"
    assert eyeline("select", monday, "--undo").returncode == 0
    left = [(monday / name).with_suffix(".xmp") for name in FRAMES]
    assert not any(sidecar.exists() and "selected" in by_exiftool(sidecar).keywords for sidecar in left)
    assert "nothing was done" in eyeline("select", monday, "--undo").stdout


def test_a_number_in_two_folders_lists_the_candidates_and_marks_nothing(
    shoots: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    (tmp_path / "a.txt").write_text("1002 and 1030")
    said = eyeline("select", shoots, "--from", tmp_path / "a.txt")
    assert said.returncode == 1
    assert "monday/NL1_1002.jpg or " in said.stderr and "tuesday/NL1_1002.jpg" in said.stderr
    assert eyeline("select", shoots / "tuesday", "--from", tmp_path / "a.txt").returncode == 1, (
        "no 1030 there"
    )
    known = eyeline("select", shoots / "tuesday", "--from", tmp_path / "a.txt", "--known", "--dry-run")
    assert "The answer names 1 frame." in known.stdout and "no such frame: 1030" in known.stdout


class Terminal(StringIO):
    """A terminal at which somebody has typed."""

    def isatty(self) -> bool:
        return True


def test_at_a_terminal_a_number_in_two_folders_is_asked(
    shoots: Path, eyeline: Eyeline, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a.txt").write_text("1002 and 1030")
    answer = ("select", shoots, "--from", tmp_path / "a.txt", "--dry-run")
    monkeypatch.setattr("sys.stdin", Terminal("perhaps\n2\n"))
    asked = eyeline(*answer)
    assert asked.returncode == 0 and asked.stdout.count("Which? A number, all, or none: ") == 2
    assert "2  shoots" in asked.stdout and "The answer names 2 frames." in asked.stdout
    monkeypatch.setattr("sys.stdin", Terminal("none\n"))
    assert "The answer names 1 frame." in eyeline(*answer).stdout
    monkeypatch.setattr("sys.stdin", Terminal(""))
    assert "nobody said which" in eyeline(*answer).stderr


def test_what_went_out_is_what_an_answer_can_mean(shoots: Path, eyeline: Eyeline, tmp_path: Path) -> None:
    assert "Nothing is known to have gone out" in eyeline("proof", shoots).stdout
    assert "1 frame went out" in eyeline("proof", shoots / "tuesday", "--sent").stdout
    (tmp_path / "a.txt").write_text("1002")
    assert (
        "The answer names 1 frame."
        in eyeline("select", shoots, "--from", tmp_path / "a.txt", "--dry-run").stdout
    )
    table = eyeline("proof", shoots, "--csv").stdout
    assert table == "number,file,choice\n1002,NL1_1002.jpg,\n"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1002 or 1007", "which of them"),
        ("We love them all!", "no frame in this answer"),
        ("4711", "no such frame: 4711"),
    ],
)
def test_what_is_not_clear_marks_nothing_and_says_why(
    shoots: Path, eyeline: Eyeline, tmp_path: Path, text: str, says: str
) -> None:
    (tmp_path / "a.txt").write_text(text)
    said = eyeline("select", shoots / "monday", "--from", tmp_path / "a.txt")
    assert said.returncode == 1 and says in said.stderr
