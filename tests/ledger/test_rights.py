"""Rights that are missing: a ledger or its folder that may not be read or written, told as that."""

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from eyeline.ledger import Ledger
from tests.ledger.invented import NOW

NOBODY = 65534  # the unprivileged user of Debian and Ubuntu


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that any user can reach, unlike pytest's own."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)


def as_nobody(action: Callable[[], object]) -> str:
    """What `action` answers, or the error it raises, in a process without the powers of root."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if os.getuid() == 0:
                os.setgroups([])
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            answer = repr(action())
        except BaseException as error:
            answer = f"{type(error).__name__}: {error}"
        os.write(writing, answer.encode())
        os._exit(0)
    os.close(writing)
    with open(reading, "rb") as answer_of_child:
        told = answer_of_child.read().decode()
    os.waitpid(child, 0)
    return told


def test_a_ledger_that_may_only_be_read_is_told(open_folder: Path) -> None:
    path = open_folder / "ledger.sqlite3"
    Ledger(path, NOW).close()
    path.chmod(0o444)
    told = as_nobody(lambda: Ledger(path, NOW))
    assert told.startswith("LedgerFailed") and "ledger.sqlite3" in told and "writable" in told


def test_a_folder_that_may_not_be_written_is_told(open_folder: Path) -> None:
    open_folder.chmod(0o555)
    told = as_nobody(lambda: Ledger(open_folder / "new" / "ledger.sqlite3", NOW))
    assert told.startswith("LedgerFailed") and "Permission denied" in told and "writable" in told
    assert list(open_folder.iterdir()) == []


def test_an_unreadable_ledger_is_no_new_ledger(open_folder: Path) -> None:
    path = open_folder / "ledger.sqlite3"
    Ledger(path, NOW).close()
    path.chmod(0o000)
    before = path.read_bytes() if os.getuid() == 0 else None
    told = as_nobody(lambda: Ledger(path, NOW))
    assert told.startswith("LedgerFailed")
    assert before is None or path.read_bytes() == before
