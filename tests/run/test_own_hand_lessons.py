"""From crops that were dragged on the page, and words taken out, to what `learn` says and writes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from eyeline.agreement.own_crops import LEAST_SERIES
from eyeline.deciding.correct import Correction, make
from eyeline.deciding.decide import Decider
from eyeline.exiftool import ExifTool
from eyeline.ledger import Photo
from eyeline.measuring.framing import framing
from eyeline.run.own_hand_lessons import all_changes, hand_lessons
from eyeline.settings.own_genre import edit_what_fits
from eyeline.settings.rules import rules_in_force
from eyeline.terms.rectangle import Rectangle
from tests.deciding.decider import measured, open_decider

GENRE = "corporate headshot"
FORMAT = "4:5"
CROP = Rectangle(0.1, 0.0, 0.8, 0.65)
"""Nearer than the genre has it, the eyes lower."""


def shoot(decider: Decider, home: Path, count: int) -> list[Photo]:
    return [measured(decider, home / f"sitting {number}" / f"IMG_{number}.jpg") for number in range(count)]


def corrected(decider: Decider, photos: list[Photo], correction: Correction) -> None:
    for photo, verdict in decider.verdicts(photos):
        make(decider, [photo], verdict, correction, None, (FORMAT,))


def test_own_crops_move_the_ideal_to_where_they_hold_it(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photos = shoot(decider, tmp_path, LEAST_SERIES)
        judged = [*decider.verdicts(photos)]
        assert {verdict.genre for _, verdict in judged} == {GENRE}
        assert hand_lessons(decider, judged) == []
        corrected(decider, photos, Correction(crop_format=FORMAT, crop=CROP))
        (lesson,) = hand_lessons(decider, judged)
        assert (lesson.crops, lesson.series) == (LEAST_SERIES, LEAST_SERIES)
        habit = next(each for each in lesson.habits if each.criterion.name == "eye_line")
        assert photos[0].points is not None
        window = np.array([[CROP.left, CROP.top, CROP.width, CROP.height]])
        frame = photos[0].frame
        expected = framing(photos[0].points, window, frame.width, frame.height)["eye_line"][0]
        assert habit.median == pytest.approx(float(expected), abs=0.002), "the page's own formula"
        rules = decider.configuration.rules
        rules.mkdir()
        own = rules / "corporate-headshot.toml"
        own.write_text(f'# mine\nname = "{GENRE}"\n')
        wanted = all_changes([], [lesson])
        assert all(habit.moved in attempt for attempt in wanted[GENRE])
        made, left = edit_what_fits(GENRE, wanted[GENRE], decider.configuration)
        assert made is not None and left == ()
        made.apply()
        assert own.read_text().startswith("# mine\n"), "comments stay"
        learned, _ = rules_in_force(decider.configuration)
        assert learned.mistakes == ()
        ideal = next(each for each in learned.rules.genre(GENRE).criteria if each.name == "eye_line").ideals[
            0
        ]
        assert ideal.ideal_low < habit.median < ideal.ideal_high


def test_crops_of_genres_that_one_genre_frames_are_one_lesson(exiftool: ExifTool, tmp_path: Path) -> None:
    """Each genre that served keeps its words; its crops are judged by another, whose ranges may move."""
    served, by = ("loose keeper", "somebody's keeper"), "headshot from a loose frame"
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "heir.toml").write_text(f'name = "{served[1]}"\ninherits = "{served[0]}"\n')
    with open_decider(tmp_path, exiftool) as decider:
        photos = shoot(decider, tmp_path, LEAST_SERIES)
        corrected(decider, photos, Correction(crop_format=FORMAT, crop=CROP, add_words=("blink",)))
        judged = [
            (photo, replace(verdict, genre=served[row < 5]))
            for row, (photo, verdict) in enumerate(decider.verdicts(photos))
        ]
        framed, other = hand_lessons(decider, judged)
        assert (framed.genre, framed.crops, framed.series) == (by, LEAST_SERIES, LEAST_SERIES)
        assert (other.genre, other.crops, other.words[0].added) == (served[1], 0, 5)
        wanted = all_changes([], [framed, other])
        assert [*wanted] == [by]
        made, _ = edit_what_fits(by, wanted[by], decider.configuration)
        assert made is not None


def test_too_few_crops_are_counted_and_nothing_follows(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photos = shoot(decider, tmp_path, 2)
        corrected(decider, photos, Correction(crop_format=FORMAT, crop=CROP))
        (lesson,) = hand_lessons(decider, [*decider.verdicts(photos)])
        assert (lesson.crops, lesson.habits) == (2, ())
        assert all_changes([], [lesson]) == {}


def test_a_word_set_on_several_frames_is_told(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photos = shoot(decider, tmp_path, 5)
        word = "blink"
        corrected(decider, photos, Correction(add_words=(word,)))
        (lesson,) = hand_lessons(decider, [*decider.verdicts(photos)])
        (habit,) = lesson.words
        assert (habit.word, habit.added, habit.out) == (word, 5, 0)
        assert habit.measures[0] == "gaze"
