"""What own crops and keywords teach, said in words and as a record: part of `eyeline learn`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from eyeline.agreement.own_crops import LEAST_SERIES, CropHabit
from eyeline.agreement.own_words import WordHabit
from eyeline.cli.lines import say
from eyeline.cli.words import counted
from eyeline.judging.wording import ideal_in_words, value_in_words
from eyeline.run.own_hand_lessons import HandLesson
from eyeline.terms.measurement import Quantity

Quantities = Mapping[str, Quantity]


def say_hand(lesson: HandLesson, quantities: Quantities) -> None:
    """Say what the photographer's crops and words do, where there are enough of them."""
    if lesson.crops:
        say(f"\n{lesson.genre}, {counted(lesson.crops, 'crop')} of yours on {lesson.series} series:")
    elif lesson.words:
        say(f"\n{lesson.genre}:")
    if lesson.crops and lesson.series < LEAST_SERIES:
        say(f"  Nothing is told from them yet: {LEAST_SERIES} series are the least.", 4)
    elsewhere = [each for each in lesson.habits if each.is_elsewhere]
    for habit in elsewhere:
        say(f"  {_crops(habit, quantities)}", 4)
    if alike := len(lesson.habits) - len(elsewhere):
        say(f"  In {counted(alike, 'measure')} of framing they are as this genre wants them.", 4)
    for word in lesson.words:
        say(f"  {_words(word, quantities)}", 4)
    if elsewhere:
        say("  With the ideal where your crops have it, the genre would say:", 4)


def _crops(habit: CropHabit, quantities: Quantities) -> str:
    ideal = habit.criterion.ideals[0]
    quantity = quantities.get(ideal.measure)
    name, crops = habit.criterion.name.replace("_", " "), counted(habit.crops, "crop")
    return (
        f"{name}: your {crops} have {value_in_words(habit.median, quantity)}, surely "
        f"{_span((habit.low, habit.high), quantity)}; this genre wants {ideal_in_words(ideal, quantity)}"
    )


def _words(habit: WordHabit, quantities: Quantities) -> str:
    done = []
    if habit.out:
        done.append(f"you took it out of {counted(habit.out, 'frame')} and left it in {habit.left}")
    if habit.added:
        done.append(f"you wrote it on {counted(habit.added, 'frame')} where eyeline did not")
    said = f"{habit.word}: {', and '.join(done)}."
    if habit.measures:
        said += f" What decides it: {', '.join(each.replace('_', ' ') for each in habit.measures)}"
        if habit.limit is not None and habit.out_span is not None and habit.left_span is not None:
            quantity = quantities.get(habit.measures[0])
            out, left = (_span(each, quantity) for each in (habit.out_span, habit.left_span))
            limit = value_in_words(habit.limit, quantity)
            said += f", {out} where you took it out, {left} where you left it: a limit of {limit} parts them"
        said += "."
    return said


def _span(ends: tuple[float, float], quantity: Quantity | None) -> str:
    """From one value to the other, with their unit once."""
    low, high = (value_in_words(each, quantity) for each in ends)
    number, blank, unit = low.rpartition(" ")
    return f"{number if blank and high.endswith(f' {unit}') else low} to {high}"


def hand_record(lesson: HandLesson) -> dict[str, Any]:
    """The same for `--json`."""
    return {
        "genre": lesson.genre,
        "crops": lesson.crops,
        "series": lesson.series,
        "framing": [
            {
                "criterion": each.criterion.name,
                "measure": each.criterion.ideals[0].measure,
                "crops": each.crops,
                "series": each.series,
                "median": each.median,
                "median_between": [each.low, each.high],
                "is_elsewhere": each.is_elsewhere,
            }
            for each in lesson.habits
        ],
        "keywords": [
            {
                "word": each.word,
                "taken_out": each.out,
                "left": each.left,
                "added": each.added,
                "measures": [*each.measures],
                "limit": each.limit,
            }
            for each in lesson.words
        ],
    }
