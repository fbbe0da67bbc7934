"""Leaving without a trace, by the real command line: undo, forget, and the ledger's own verbs."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Eyeline, copy_frames, environment, in_one_line
from tests.sidecar.examples import edit

FRAMES = ("NL1_1000.jpg", "NL1_1030.jpg")
FOREIGN = b"""<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>
 <rdf:Description rdf:about='' xmlns:v='http://example.net/v/'><v:p>mine</v:p></rdf:Description></rdf:RDF></x:xmpmeta>"""


@pytest.fixture(scope="module")
def judged(tmp_path_factory: pytest.TempPathFactory, eyeline: Eyeline) -> Path:
    folder = tmp_path_factory.mktemp("sitting")
    copy_frames(folder, *FRAMES)
    (folder / "NL1_1000.xmp").write_bytes(FOREIGN)
    ran = eyeline("run", folder)
    assert ran.returncode == 0, ran.stderr
    return folder


def test_learn_says_when_there_is_too_little_to_learn_from(judged: Path, eyeline: Eyeline) -> None:
    said = eyeline("learn", judged)
    assert said.returncode == 0, said.stderr
    assert "0 ratings of yours to learn from" in said.stdout
    assert "not used: 2 with eyeline's own stars left as they were" in said.stdout


def test_undo_shows_first_then_does_then_finds_nothing(judged: Path, eyeline: Eyeline) -> None:
    written = {path.name: path.read_bytes() for path in judged.iterdir()}
    shown = eyeline("undo", judged)
    assert shown.returncode == 0, shown.stderr
    assert "2 sidecars would be taken back, 2 of them to the byte" in shown.stdout
    assert f"eyeline undo --yes {judged}" in shown.stdout
    assert {path.name: path.read_bytes() for path in judged.iterdir()} == written
    done = eyeline("undo", "--yes", judged)
    assert done.returncode == 0, done.stderr
    assert sorted(path.name for path in judged.iterdir()) == ["NL1_1000.jpg", "NL1_1000.xmp", "NL1_1030.jpg"]
    assert (judged / "NL1_1000.xmp").read_bytes() == FOREIGN
    assert "nothing of eyeline's" in eyeline("undo", judged).stdout


def test_undo_is_done_to_the_end_though_nobody_reads_on(judged: Path, home: Path, eyeline: Eyeline) -> None:
    """`eyeline undo --yes FOLDER | head -n 1`, whose reader is gone from the start here."""
    assert eyeline("run", judged).returncode == 0
    reads, writes = os.pipe()
    os.close(reads)
    words = [sys.executable, "-m", "eyeline", "undo", "--yes", judged]
    done = subprocess.run(words, stdout=writes, stderr=subprocess.PIPE, env=environment(home), check=False)
    os.close(writes)
    assert (done.returncode, done.stderr) == (0, b"")
    assert not (judged / "NL1_1030.xmp").exists() and (judged / "NL1_1000.xmp").read_bytes() == FOREIGN


def test_the_ledger_is_checked_backed_up_and_exported(judged: Path, eyeline: Eyeline, tmp_path: Path) -> None:
    assert "is sound" in in_one_line(eyeline("ledger", "check").stdout)
    target = tmp_path / "copy.sqlite3"
    assert eyeline("ledger", "backup", target).returncode == 0
    assert target.stat().st_mode & 0o077 == 0
    rows = [json.loads(line) for line in eyeline("ledger", "export").stdout.splitlines()]
    assert str(judged / FRAMES[0]) in {row.get("path") for row in rows}
    assert eyeline("ledger", "backup", target).returncode == 1, "no backup is written over"


def test_take_back_finds_no_doubt(judged: Path, eyeline: Eyeline) -> None:
    assert "No sidecar is in doubt" in eyeline("take-back", judged).stdout


def test_forget_leaves_nothing_anywhere(judged: Path, eyeline: Eyeline, home: Path) -> None:
    kept = home / ".local" / "share" / "eyeline"
    assert eyeline("ledger", "backup").returncode == 0
    pictures = home / ".cache" / "eyeline" / "previews"
    assert [*pictures.rglob("*.jpg")]
    assert "small versions of" in eyeline("status").stdout
    shown = eyeline("forget", judged)
    assert "Nothing was done" in shown.stdout
    assert b"NL1_1030" in b"".join(path.read_bytes() for path in kept.rglob("*") if path.is_file())
    assert eyeline("forget", "--yes", judged).returncode == 0
    everything = b"".join(path.read_bytes() for path in kept.rglob("*") if path.is_file())
    assert bytes(judged) not in everything
    assert b"NL1_1030" not in everything
    assert not [path for path in pictures.rglob("*") if path.is_file()]
    assert (judged / "NL1_1030.jpg").exists()


def test_a_damaged_ledger_is_told_kept_and_replaced(tmp_path: Path, eyeline: Eyeline, home: Path) -> None:
    (photo,) = copy_frames(tmp_path / "card", FRAMES[0])
    assert eyeline("run", photo).returncode == 0
    ledger = home / ".local" / "share" / "eyeline" / "ledger.sqlite3"
    shutil.rmtree(ledger.parent / "backups", ignore_errors=True)
    ledger.write_bytes(b"this was a ledger once" * 500)
    written = photo.with_suffix(".xmp").read_bytes()
    ran = eyeline("run", photo)
    assert ran.returncode == 0, ran.stderr
    assert "kept as" in ran.stderr
    assert "rebuilt from the history in sidecars" in ran.stderr
    assert photo.with_suffix(".xmp").read_bytes() == written, "measured anew, it comes to the same"
    assert "eye_line" in eyeline("why", photo, "--numbers").stdout
    assert "is sound" in in_one_line(eyeline("ledger", "check").stdout)


def test_a_rating_that_a_person_set_outlives_a_second_run_and_undo(tmp_path: Path, eyeline: Eyeline) -> None:
    (photo,) = copy_frames(tmp_path / "card", FRAMES[0])
    sidecar = photo.with_suffix(".xmp")
    assert eyeline("run", photo).returncode == 0
    edit(sidecar, "-XMP-xmp:Rating=2")
    assert eyeline("run", photo).returncode == 0, "it looks, and leaves the file as the person has it"
    assert eyeline("undo", "--yes", photo).returncode == 0
    assert sidecar.exists() and b"2" in _rating(sidecar)


def _rating(sidecar: Path) -> bytes:
    return subprocess.run(
        ["exiftool", "-s3", "-XMP-xmp:Rating", str(sidecar)], capture_output=True, check=True
    ).stdout
