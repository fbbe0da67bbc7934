"""The commands on a page of the docs run as they stand there and print what it says.

Where they print something else: `python -m tests.docs` writes it into the pages; read what it wrote.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import pytest

from eyeline.cli.parsers import VERBS
from tests.accuracy.pipeline import Pair
from tests.docs.desk import CTRL_C, Desk, desk
from tests.docs.transcript import Step, blocks, says, settled, with_printed

CHECKOUT = Path(__file__).resolve().parents[2]
PAGES = [
    page
    for page in (CHECKOUT / "README.md", *sorted((CHECKOUT / "docs").rglob("*.md")))
    if "```console" in page.read_text("utf-8")
]


def printed_by(made: Desk, page: str) -> list[list[str]]:
    """What each command of each block prints, one after the other at one desk."""
    return [[made.run(step.command, until(step)) for step in steps] for steps in blocks(page)]


def until(step: Step) -> Callable[[str], bool] | None:
    """When the page says that somebody stops the command: once all that stands before that is printed."""
    before, stopped, _ = step.printed.partition(CTRL_C)
    return partial(says, before) if stopped else None


def is_to_be_copied(line: str) -> bool:
    """A path or a command stays on one line, however long."""
    return len(line.split()) == 1 or Path(line.split()[0]).name == "eyeline"


def is_eyelines(step: Step) -> bool:
    return Path(step.command.split()[0]).name == "eyeline"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_prints_what_it_says(page: Path, shoot_pairs: Sequence[Pair]) -> None:
    text = page.read_text("utf-8")
    with desk([pair.examined for pair in shoot_pairs]) as made:
        printed = printed_by(made, text)
    for steps, now in zip(blocks(text), printed, strict=True):
        for step, said in zip(steps, now, strict=True):
            assert says(step.printed, said), f"$ {step.command}\n{settled(said)}"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_what_is_shown_of_a_terminal_is_eighty_columns_wide(page: Path) -> None:
    lines = [
        line
        for steps in blocks(page.read_text("utf-8"))
        for step in steps
        if is_eyelines(step)
        for line in step.printed.splitlines()
    ]
    assert [line for line in lines if len(line) > 80 and not is_to_be_copied(line)] == []


SHOWN_ELSEWHERE = {
    "demo": "it waits for the clock",
}


def test_every_command_is_shown_on_some_page() -> None:
    shown = {
        words[1]
        for page in PAGES
        for steps in blocks(page.read_text("utf-8"))
        for step in steps
        if is_eyelines(step) and len(words := step.command.split()) > 1
    }
    assert set(VERBS) - shown - set(SHOWN_ELSEWHERE) == set()


@pytest.mark.parametrize(
    ("shown", "printed", "right"),
    [
        ("61 photos", "61 photos\n", True),
        ("61 photos", "60 photos\n", False),
        ("a\n...\nb", "a\nx\ny\nb\n", True),
        ("a\n...", "a\nx\n", True),
        ("a\n...\nb", "a\nx\n", False),
        ("a ... c", "a b c\n", True),
        ("Decided 2026-01-01 10:00 UTC", "Decided 2026-11-30 07:44 UTC\n", True),
        ("", "something\n", False),
    ],
)
def test_a_page_is_right_or_wrong(shown: str, printed: str, right: bool) -> None:
    assert says(shown, printed) is right


def test_what_is_wrong_is_written_anew_and_what_is_right_stays() -> None:
    page = "Text\n```console\n$ one\n...\n$ two\n> more\nold\n```\nText\n"
    assert with_printed(page, [["first\n", "new\n"]]) == page.replace("old", "new")
