"""What own crops and words teach, as a photographer reads it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from eyeline.agreement.own_crops import crop_habits
from eyeline.agreement.own_words import WordHabit
from eyeline.cli.hand_words import say_hand
from eyeline.cli.lines import COLUMNS
from eyeline.judging.columns import Columns
from eyeline.judging.condition import Comparison
from eyeline.run.own_hand_lessons import HandLesson
from tests.judging.shipped import QUANTITIES, rules

BLINK = WordHabit("blink", 6, 1, 0, (Comparison("eyes_open", "below", low=0.5, shown="0.5"),))


def said(lesson: HandLesson, capsys: pytest.CaptureFixture[str]) -> str:
    say_hand(lesson, QUANTITIES)
    printed = capsys.readouterr().out
    assert max(map(len, printed.splitlines())) <= COLUMNS
    return " ".join(printed.split())


def test_crops_that_hold_the_eyes_elsewhere_are_told_with_the_ideal(
    capsys: pytest.CaptureFixture[str],
) -> None:
    genre = rules().genre("corporate headshot")
    columns = Columns(9, {"eye_line": np.full(9, 0.5)}, {}, {})
    (habit,) = crop_habits(genre, columns, np.arange(9), ("eye_line",))
    told = said(HandLesson(genre.name, 9, 9, (habit,), ()), capsys)
    assert "9 crops of yours" in told
    assert "eye line: your 9 crops have 50 %, surely 50 to 50 %; this genre wants 30 to 38 %" in told


@pytest.mark.parametrize(
    ("habit", "words"),
    [
        (BLINK, "blink: you took it out of 6 frames and left it in 1"),
        (
            replace(BLINK, out=1, left=0, added=5),
            "you took it out of 1 frame and left it in 0, and you wrote it",
        ),
        (
            replace(BLINK, left=5, out_span=(0.4, 0.48), left_span=(0.1, 0.2), limit=0.3),
            "eyes open, 40 to 48 % where you took it out, 10 to 20 % where you left it: a limit of 30 %",
        ),
        (replace(BLINK, out=0, left=0, added=5), "you wrote it on 5 frames where eyeline did not"),
    ],
)
def test_words_are_counted_as_they_are(
    habit: WordHabit, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert words in said(HandLesson("corporate headshot", 0, 0, (), (habit,)), capsys)
