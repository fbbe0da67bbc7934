"""`eyeline sitter` beside a daemon that is busy with a card, and without any."""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from eyeline.ledger import Ledger
from tests.cli.conftest import SHOOT, copy_frames, run_here
from tests.cli.test_watch import daemon, stop
from tests.crashes.ingest import children
from tests.waiting import wait_until

SETTINGS = """\
workers = 1
sitting_quiet_seconds = 2
sitter_keyword = "number"
[tell]
desktop = false
file = "told.jsonl"
"""
BRIEF = """\
sitters = "said"
sitter_list = "list.csv"
[[brief]]
genre = "corporate headshot"
per = "sitter"
"""
CARD = [path.name for path in sorted(SHOOT.glob("*.jpg"))[10:20]]
MEASURED_BEFORE = 2
"""Of the card, so that a worker has started."""


def told(home: Path) -> list[dict[str, Any]]:
    file = home / "told.jsonl"
    lines = [json.loads(line) for line in file.read_text().splitlines()] if file.exists() else []
    return [line for line in lines if line["kind"] == "frame judged"]


def is_known(home: Path, photo: Path) -> bool:
    """Whether the daemon has taken the photo in."""
    with Ledger.reader(home / ".local" / "share" / "eyeline" / "ledger.sqlite3") as ledger:
        return ledger.files.known(photo) is not None


@contextmanager
def held_up(daemon: int) -> Iterator[None]:
    """The daemon's workers stand still meanwhile, as with a photo that takes long: SIGSTOP."""
    workers = list(children(daemon, "worker"))
    for worker in workers:
        os.kill(worker, signal.SIGSTOP)
    yield
    for worker in workers:
        os.kill(worker, signal.SIGCONT)


def test_a_frame_that_somebody_waits_for_comes_before_a_card_and_belongs_to_who_sits(tmp_path: Path) -> None:
    card, studio = tmp_path / "card", tmp_path / "studio"
    for folder in (card, studio):
        folder.mkdir()
    (studio / "eyeline.toml").write_text(BRIEF)
    (studio / "list.csv").write_text("1,Alva Example\n2,Bo Example\n")
    config = tmp_path / "config.toml"
    config.write_text(SETTINGS)
    frame = studio / "NL1_1005.jpg"
    with daemon(tmp_path, card, studio) as process:
        said = run_here(tmp_path, "sitter", "bo", "--folder", studio, "--config", config)
        assert said.stdout.startswith("2 Bo Example sits from now on"), said.stderr
        copy_frames(card, *CARD[:MEASURED_BEFORE])
        wait_until(lambda: len(told(tmp_path)) >= MEASURED_BEFORE)
        with held_up(process.pid):
            rest = copy_frames(card, *CARD[MEASURED_BEFORE:])
            wait_until(lambda: all(is_known(tmp_path, photo) for photo in rest))
            copy_frames(studio, frame.name)
            wait_until(lambda: is_known(tmp_path, frame))
        everything = {str(each) for each in (*(card / name for name in CARD), frame)}
        wait_until(lambda: {each["file"] for each in told(tmp_path) if not each["early"]} == everything)
        assert stop(process) == 0
    early = [each for each in told(tmp_path) if each["early"]]
    files = [each["file"] for each in early]
    assert sorted(files) == sorted(everything)
    assert files.index(str(frame)) < len(CARD) - 2, "most of the card waits meanwhile"
    assert early[files.index(str(frame))]["sitter"] == "2"
    of_frame = [each["early"] for each in told(tmp_path) if each["file"] == str(frame)]
    assert of_frame == [True, False], "the sidecar waits for the sitting"
    assert "<rdf:li>sitter 2</rdf:li>" in frame.with_suffix(".xmp").read_text()

    nobody = run_here(tmp_path, "sitter", "next", "--config", config)
    assert nobody.returncode == 1 and "no daemon runs" in nobody.stderr
    moved = run_here(tmp_path, "sitter", "1", frame, "--config", config)
    assert moved.stdout == "1 frame of 1 Alva Example. 1 verdict changed.\n", moved.stderr
    text = frame.with_suffix(".xmp").read_text()
    assert "<rdf:li>sitter 1</rdf:li>" in text and "<rdf:li>sitter 2</rdf:li>" not in text
    elsewhere = run_here(tmp_path, "sitter", "1", card / CARD[0], "--config", config)
    assert elsewhere.returncode == 2 and "does not count per sitter" in elsewhere.stderr
