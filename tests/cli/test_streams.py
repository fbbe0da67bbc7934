"""What commands print: strangers' text steers no terminal, and a stream that is gone ends nothing."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import pytest

from eyeline.cli.exit_codes import DONE, MISUSED, NOT_SAID
from eyeline.cli.streams import PlainStream, plain_streams
from eyeline.errors import EyelineError
from tests.cli.conftest import environment

# ECMA-48: C0, C1 and the sequences they begin; Unicode 6.3 UAX 9: marks that turn what follows around.
STEERING = [
    "\x1b]0;PWNED\x07",
    "\x1b[2J",
    "\x9b2J",
    "\x08" * 9,
    "\r",
    "\x85",
    "\u202e",
    "\u2028",
    "\ud800",
    "\0",
]


@pytest.mark.parametrize("text", STEERING)
def test_nothing_that_steers_a_terminal_is_printed(text: str) -> None:
    written = io.StringIO()
    print(f"a{text}b", file=PlainStream(written))  # type: ignore[arg-type]
    shown = written.getvalue().removesuffix("\n")
    assert shown.isprintable()
    assert shown.startswith("a\\") and shown.endswith("b")


@pytest.mark.parametrize("text", STEERING)
def test_a_message_is_one_line_whatever_a_file_says(text: str) -> None:
    error = EyelineError(f"it says {text}\nFAKE LINE", Path("a\nb.jpg"), f"Look at {text}")
    assert str(error).isprintable()


def test_layout_and_other_letters_are_kept() -> None:
    written = io.StringIO()
    print("★ größer\t日本\n  next", file=PlainStream(written))  # type: ignore[arg-type]
    assert written.getvalue() == "★ größer\t日本\n  next\n"


def test_streams_are_as_before_afterwards() -> None:
    before = sys.stdout, sys.stderr
    with plain_streams():
        assert sys.stdout is not before[0]
    assert (sys.stdout, sys.stderr) == before


def command(home: Path, shell: str, *words: str) -> subprocess.CompletedProcess[str]:
    """`eyeline WORDS` with a redirection that only a shell can make."""
    return subprocess.run(
        ["sh", "-c", f'"$@" {shell}', "sh", sys.executable, "-m", "eyeline", *words],
        capture_output=True,
        text=True,
        env=environment(home),
        check=False,
    )


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="left out: this system has no /dev/full")
@pytest.mark.parametrize("shell", [">&-", ">/dev/full"])
def test_words_that_cannot_be_written_are_told_by_the_exit_code(tmp_path: Path, shell: str) -> None:
    done = command(tmp_path, shell, "genres")
    assert done.returncode == NOT_SAID
    assert done.stderr.splitlines() == [
        "eyeline: done, but its words could not be written: stdout is closed or full"
    ]


def test_a_failure_keeps_its_own_exit_code(tmp_path: Path) -> None:
    assert command(tmp_path, ">&-", "genres", "show", "no such genre").returncode == MISUSED
    assert command(tmp_path, "2>&-", "genres", "show", "no such genre").returncode == MISUSED
    assert command(tmp_path, "| head -n 1", "genres").returncode == DONE


def test_a_run_whose_words_go_nowhere_ends_by_itself(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    done = command(tmp_path, ">&-", "run", str(tmp_path / "empty"))
    assert "Traceback" not in done.stderr
    assert done.returncode == NOT_SAID
