"""Which frames a sheet shows, in which order, and what they are called."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from eyeline.errors import BadConfiguration
from eyeline.ledger.records import Photo
from eyeline.pages.choice import Choice, chosen, stars_range
from eyeline.pages.numbers import numbers
from eyeline.pages.sheet_words import sentence
from eyeline.terms.frame import Capture
from tests.pages.invented import photo, sheet, sheet_frame


@pytest.mark.parametrize(
    ("text", "means"), [("3", (3, 3)), ("3..", (3, 5)), ("..2", (1, 2)), ("2..4", (2, 4)), (" 5 ", (5, 5))]
)
def test_stars_are_a_number_or_a_range(text: str, means: tuple[int, int]) -> None:
    assert stars_range(text) == means


@pytest.mark.parametrize("text", ["", "..", "0", "6", "4..2", "3...", "three", "-1"])
def test_anything_else_is_a_mistake_that_says_what_to_write(text: str) -> None:
    with pytest.raises(BadConfiguration) as caught:
        stars_range(text)
    assert caught.value.cure


def test_frames_are_taken_by_stars_and_by_every_keyword() -> None:
    frames = (
        sheet_frame(1, stars=4, words=("headshot", "alternate")),
        sheet_frame(2, stars=4, words=("headshot",), own_words=("Alternate",)),
        sheet_frame(3, stars=2, words=("headshot", "alternate")),
        sheet_frame(4, stars=None, words=("headshot", "alternate")),
    )
    shown = chosen(sheet(frames), Choice(3, 5, ("ALTERNATE", "headshot")))
    assert [frame.number for frame in shown.frames] == ["1", "2"]
    assert (
        sentence(shown)[0] == "2 of 4 frames of 1 sitter: 3 to 5 stars, keyword ALTERNATE, keyword headshot."
    )


def test_sitters_of_whom_nothing_is_left_go() -> None:
    shown = chosen(sheet((sheet_frame(1, stars=1),), (sheet_frame(2, stars=4),)), Choice(4, 5))
    assert [sitter.label for sitter in shown.sitters] == ["2"]


def test_order_is_as_asked_within_a_sitter() -> None:
    frames = (sheet_frame(10, stars=2), sheet_frame(9, stars=4), sheet_frame(11, stars=None))
    for order, wanted in (("taken", "10 9 11"), ("name", "9 10 11"), ("stars", "9 10 11")):
        shown = chosen(sheet(frames), Choice(order=order))  # type: ignore[arg-type]
        assert " ".join(frame.number for frame in shown.frames) == wanted


def test_by_the_clock_no_series_is_kept_together() -> None:
    """So is a proof ordered, which is to tell nothing of what was found alike."""
    times = ((1, 3), (3, 5), (2, 4), (4, None))
    frames = tuple(sheet_frame(number, photo=taken_at(number, second)) for number, second in times)
    shown = chosen(sheet(frames), Choice(order="clock"))
    assert [frame.number for frame in shown.frames] == ["1", "2", "3", "4"]


def taken_at(number: int, second: int | None) -> Photo:
    taken = photo(number)
    at = None if second is None else f"2026-09-14T10:00:{second:02}"
    return replace(taken, frame=replace(taken.frame, capture=Capture(taken_at=at)))


def test_the_sentence_counts_stars_in_words() -> None:
    frames = tuple(sheet_frame(number, stars=stars) for number, stars in enumerate((4, 4, 3, 1, None)))
    assert sentence(sheet(frames)) == (
        "5 frames of 1 sitter.",
        "2 with four stars, 1 with three, 1 with one, 1 without.",
    )


def test_a_frame_is_called_by_the_number_of_its_camera() -> None:
    one, other, same = Path("/a/NL1_0213.jpg"), Path("/a/portrait.jpg"), Path("/b/NL1_0213.jpg")
    assert numbers([one, other]) == {one: "0213", other: "portrait"}
    assert numbers([one, same]) == {one: "a/NL1_0213.jpg", same: "b/NL1_0213.jpg"}
    assert numbers([one, Path("/a/X_0213.jpg")])[one] == "NL1_0213"
