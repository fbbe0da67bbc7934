"""The real command line with a home of its own: in this process, or in another where that is the point."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import (
    AbstractContextManager,
    ExitStack,
    chdir,
    contextmanager,
    redirect_stderr,
    redirect_stdout,
)
from io import BytesIO, TextIOWrapper
from pathlib import Path
from types import ModuleType
from typing import Any
from unittest import mock

import pytest

from eyeline.cli.main import main
from eyeline.run.session import Session

SHOOT = Path(__file__).resolve().parents[2] / "shoot"

Eyeline = Callable[..., "subprocess.CompletedProcess[str]"]


def environment(home: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("XDG_")}
    return kept | {"HOME": str(home), "COLUMNS": "200"}


def run_here(home: Path, *words: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """`eyeline WORDS` in this process: exit code and words are the same, and nothing is imported anew."""
    out, err = _stream(), _stream()
    arguments = [*map(os.fspath, words)]
    with _only(environment(home)), chdir(cwd or home), redirect_stdout(out), redirect_stderr(err):
        try:
            code = main(arguments)
        except SystemExit as ended:  # argparse ends the program after --help and usage errors
            code = ended.code if isinstance(ended.code, int) else 1
    return subprocess.CompletedProcess(arguments, code, _text(out), _text(err))


def in_one_line(said: str) -> str:
    """What was said, whatever the width at which its lines were folded."""
    return " ".join(said.split())


def _stream() -> TextIOWrapper:
    return TextIOWrapper(BytesIO(), encoding="utf-8", errors="surrogateescape", write_through=True)


def _text(stream: TextIOWrapper) -> str:
    buffer = stream.buffer
    assert isinstance(buffer, BytesIO)
    return buffer.getvalue().decode("utf-8", "surrogateescape")


@contextmanager
def _only(variables: dict[str, str]) -> Iterator[None]:
    with mock.patch.dict(os.environ, variables, clear=True):
        yield


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("home")


@pytest.fixture(scope="module")
def eyeline(home: Path) -> Eyeline:
    """The command line as a function of its words."""
    return lambda *words, **options: run_here(home, *words, **options)


def copy_frames(folder: Path, *names: str) -> list[Path]:
    """Copies of frames of the bundled shoot; whoever watches `folder` meets each of them whole."""
    folder.mkdir(parents=True, exist_ok=True)
    return [Path(shutil.copy(SHOOT / name, folder / f".{name}.part")).rename(folder / name) for name in names]


@contextmanager
def opened_once(command: ModuleType) -> Iterator[None]:
    """Rules, ledger and workers are opened once for all calls of `command`: most of what a call takes."""
    opened: list[Session] = []
    real: Callable[..., AbstractContextManager[Session]] = vars(command)["open_session"]
    with ExitStack() as stack:

        @contextmanager
        def once(*arguments: Any) -> Iterator[Session]:
            if not opened:
                opened.append(stack.enter_context(real(*arguments)))
            yield opened[0]

        with mock.patch.object(command, "open_session", once):
            yield
