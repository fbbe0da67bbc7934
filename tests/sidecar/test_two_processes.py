"""Another process edits a sidecar while eyeline writes it, stopped at the worst moment too: none is lost."""

import dataclasses
import multiprocessing
import os
import random
import signal
import sys
import time
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.sidecar.outcome import Result
from eyeline.system import renaming
from tests.sidecar.examples import EXAMPLE, edit, names, write
from tests.sidecar.readers import by_exiftool
from tests.waiting import PATIENCE_SECONDS


def annotate_for_ever(photo: Path) -> None:
    """What the process under attack does: a changing verdict, again and again."""
    with ExifTool() as tool:
        stars = 1
        while True:
            stars = stars % 5 + 1
            verdict = dataclasses.replace(EXAMPLE, stars=stars, keywords=(f"verdict {stars}",))
            write(tool, photo, verdict, attests=lambda _: True)  # as a ledger that knows its own words


def add_keyword(sidecar: Path, word: str) -> None:
    """Another program: reads the sidecar, adds one keyword, puts the new file in its place by rename."""
    text = sidecar.read_text(encoding="utf-8")
    if "<rdf:li>base</rdf:li>" not in text:
        raise AssertionError(f"the other program's first keyword is gone before {word}")
    new = sidecar.with_name("other-program.tmp")
    new.write_text(text.replace("<rdf:li>base</rdf:li>", f"<rdf:li>base</rdf:li><rdf:li>{word}</rdf:li>", 1))
    new.replace(sidecar)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere the window is documented")
@pytest.mark.parametrize("edits", [30, pytest.param(100, marks=pytest.mark.slow)])
def test_edits_by_another_process_and_none_lost(photo: Path, edits: int) -> None:
    """Each edit of the other program is looked for before its next: what it wrote is never undone by us."""
    sidecar = photo.with_suffix(".xmp")
    edit(sidecar, "-XMP-dc:Subject=base")
    ours = multiprocessing.get_context("fork").Process(target=annotate_for_ever, args=(photo,), daemon=True)
    ours.start()
    chance = random.Random(7)
    came_through = 0
    words = [f"w{number:03}" for number in range(edits)]
    try:
        theirs = sidecar.read_bytes()
        for number, word in enumerate(words):
            if chance.random() < 0.5:  # at a moment of chance, or on the heels of a write of ours
                time.sleep(chance.uniform(0, 0.05))
            else:
                until = time.monotonic() + PATIENCE_SECONDS
                while sidecar.read_bytes() == theirs and time.monotonic() < until:
                    time.sleep(0.001)
            content = sidecar.read_bytes()
            came_through += content != theirs
            missing = [old for old in words[:number] if f"<rdf:li>{old}</rdf:li>".encode() not in content]
            assert not missing, f"lost before {word}: {missing}"
            add_keyword(sidecar, word)
            theirs = sidecar.read_bytes()
    finally:
        ours.kill()
        ours.join()
    assert set(words) <= by_exiftool(sidecar).keywords
    assert came_through > edits / 10, "hardly any of our writes came between: the race was not run"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere the window is documented")
def test_stopped_inside_the_window_edited_and_let_go(photo: Path) -> None:
    """SIGSTOP while the working copy is there, an edit, SIGCONT: the edit must survive every time."""
    sidecar = photo.with_suffix(".xmp")
    edit(sidecar, "-XMP-dc:Subject=base")
    ours = multiprocessing.get_context("fork").Process(target=annotate_for_ever, args=(photo,), daemon=True)
    ours.start()
    assert ours.pid is not None
    inside = 0
    try:
        for number in range(200):
            if inside == 10:
                break
            while not any(name.startswith(".eyeline-") for name in names(photo.parent)):
                time.sleep(0.0005)
            os.kill(ours.pid, signal.SIGSTOP)
            caught = any(name.startswith(".eyeline-") for name in names(photo.parent))
            inside += caught
            add_keyword(sidecar, f"w{number:03}")
            os.kill(ours.pid, signal.SIGCONT)
            time.sleep(0.1)
            assert f"<rdf:li>w{number:03}</rdf:li>" in sidecar.read_text()
        assert inside == 10
    finally:
        os.kill(ours.pid, signal.SIGCONT)
        ours.kill()
        ours.join()


def annotate_and_stop_itself(photo: Path, when: str) -> None:
    """Writes once, and stops itself at the exchange of the two files: just before it, or just after."""
    real = renaming.rename
    stops = iter([True])

    def stopping(source: Path, goal: Path, flag: int) -> int:
        stop = next(stops, False)
        if stop and when == "before":
            os.kill(os.getpid(), signal.SIGSTOP)
        outcome = real(source, goal, flag)
        if stop and when == "after":
            os.kill(os.getpid(), signal.SIGSTOP)
        return outcome

    renaming.rename = stopping
    with ExifTool() as tool:
        assert write(tool, photo).result is Result.WRITTEN


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere the window is documented")
@pytest.mark.parametrize("when", ["before", "after"])
@pytest.mark.parametrize("is_there", [True, False], ids=["a sidecar is there", "there is none"])
def test_stopped_at_the_very_exchange_edited_and_let_go(photo: Path, when: str, is_there: bool) -> None:
    """Between the last look at the sidecar and its exchange, or between that and the look at what was
    displaced: both the other program's keyword and what eyeline writes must be there afterwards."""
    sidecar = photo.with_suffix(".xmp")
    if is_there:
        edit(sidecar, "-XMP-dc:Subject=theirs before")
    ours = multiprocessing.get_context("fork").Process(target=annotate_and_stop_itself, args=(photo, when))
    ours.start()
    assert ours.pid is not None
    try:
        _, status = os.waitpid(ours.pid, os.WUNTRACED)
        assert os.WIFSTOPPED(status), "it never came to the exchange"
        edit(sidecar, "-XMP-dc:Subject+=theirs meanwhile")
    finally:
        os.kill(ours.pid, signal.SIGCONT)
        ours.join(PATIENCE_SECONDS)
    assert ours.exitcode == 0
    theirs = {"theirs before", "theirs meanwhile"} if is_there else {"theirs meanwhile"}
    seen = by_exiftool(sidecar)
    assert seen.keywords == theirs | set(EXAMPLE.keywords)
    assert seen.rating == "4"
    assert names(photo.parent) == ["IMG_1.jpg", "IMG_1.xmp"]
