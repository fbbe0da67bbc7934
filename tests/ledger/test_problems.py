"""Problems: kept with their cure, found by time and file, gone after a season."""

from datetime import timedelta
from pathlib import Path

from eyeline.errors import ExifToolFailed, UnreadablePhoto
from eyeline.ledger import Ledger, Problem
from eyeline.ledger.problems import KEPT
from tests.ledger.invented import FOLDER, NOW

BROKEN = Problem(FOLDER / "a\n\udcff.jpg", "it ends before its last row", "Copy it again", NOW)


def test_problems_by_time_and_by_file(ledger: Ledger) -> None:
    nobody = Problem(None, "ExifTool is missing", "Install it", NOW + timedelta(seconds=1))
    for problem in (BROKEN, nobody):
        ledger.problems.add(problem)
    assert ledger.problems.since(NOW) == (BROKEN, nobody)
    assert ledger.problems.since(NOW + timedelta(milliseconds=1)) == (nobody,)
    assert ledger.problems.on(FOLDER / "a\n\udcff.jpg") == (BROKEN,)
    assert ledger.problems.on(FOLDER) == ()


def test_an_error_becomes_a_problem_with_all_it_says() -> None:
    error = UnreadablePhoto("it ends before its last row", BROKEN.path, "Copy it again")
    assert Problem.of(error, NOW) == BROKEN
    assert Problem.of(ExifToolFailed("dead"), NOW) == Problem(None, "dead", "", NOW)


def test_text_that_is_no_text_is_escaped(ledger: Ledger) -> None:
    ledger.problems.add(Problem(Path("/a"), "no file \udcff", "look at \udcfe", NOW))
    assert ledger.problems.since(NOW) == (Problem(Path("/a"), "no file \\udcff", "look at \\udcfe", NOW),)


def test_old_problems_go_at_upkeep(ledger: Ledger) -> None:
    ledger.problems.add(BROKEN)
    ledger.upkeep(NOW + KEPT)
    assert ledger.problems.since(NOW) == (BROKEN,)
    ledger.upkeep(NOW + KEPT + timedelta(seconds=1))
    assert ledger.problems.since(NOW) == ()
