"""Who sits in which frame: by slates, codes, pauses, folders, sayings and corrections, never by faces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from eyeline.sitting.seats import Chair, Parting, Said, Seats, following, label_of, seated
from eyeline.sitting.shot import Shot
from eyeline.terms.measurement import Measurement
from tests.sitting.invented import no_face, shot

HOME = Path("/job")
LIST = tuple(Chair(str(number), name) for number, name in enumerate(("Alva", "Bo", "Cleo", "Dag"), start=1))


def sequence(pattern: str, codes: Sequence[str] = (), serial: str = "1") -> dict[Path, Shot]:
    """Frames in order: f a face, s a slate, c a slate with the next of `codes`, _ a pause of ten minutes."""
    found: dict[Path, Shot] = {}
    seconds, left = 0.0, list(codes)
    for sign in pattern:
        if sign == "_":
            seconds += 600
            continue
        seconds += 5
        frame = shot(len(found), seconds, serial=serial) if sign == "f" else no_face(len(found), seconds)
        frame = replace(frame, serial=serial)
        if sign == "c":
            code = Measurement("slate_code", left.pop(0))
            frame = replace(frame, measurements={**frame.measurements, "slate_code": code})
        found[HOME / serial / frame.name] = frame
    return found


def walked(
    frames: Mapping[Path, Shot],
    parted_by: Parting = "slates",
    chairs: Sequence[Chair] = LIST,
    said: Mapping[int, Said] | None = None,
) -> str:
    """Labels of the frames in their order, - for none."""
    paths = list(frames)
    told = {paths[place]: each for place, each in (said or {}).items()}
    labels = seated(frames, told, Seats(HOME, parted_by, tuple(chairs)))
    return "".join(labels.get(path, "-") for path in paths)


@pytest.mark.parametrize(
    ("parted_by", "pattern", "expected"),
    [
        ("slates", "sffsffsf", "-11-22-3"),
        ("slates", "ffsff", "---11"),  # a light test before the first slate is nobody's
        ("slates", "ssfssf", "--1--2"),  # two frames of one slate part once
        ("slates", "sff_ff", "-1111"),
        ("slates", "sfsfsfsfsf", "-1-2-3-4-5"),  # more sit than are listed: the next free number
        ("pauses", "ff_ff_sf", "1122-3"),
        ("pauses", "f_s_f", "1-2"),
        ("said", "sffsff", "------"),
    ],
)
def test_slates_and_pauses_part_the_sitters_in_the_order_of_the_list(
    parted_by: Parting, pattern: str, expected: str
) -> None:
    assert walked(sequence(pattern), parted_by) == expected


def test_a_code_names_the_sitter_and_the_list_goes_on_after_it() -> None:
    assert walked(sequence("cfsf", ["3"])) == "-3-4"
    assert walked(sequence("cfsf", ["Cleo"])) == "-3-4"
    assert walked(sequence("scsf", ["2"])) == "---2", "a slate without a code beside one with it"


def test_a_late_sitter_sits_where_the_code_says_and_the_list_goes_on_where_it_was() -> None:
    """Two comes after four: who has sat is passed over."""
    assert walked(sequence("sfcfsfcfsf", ["3", "2"])) == "-1-3-4-2-5"


def test_what_is_said_holds_until_the_next_slate() -> None:
    said = {2: Said("4", "10:00"), 3: Said("4", "10:00"), 5: Said("4", "10:00")}
    assert walked(sequence("sfffsf"), said=said) == "-144-2"
    assert walked(sequence("ffff"), "said", said={1: Said("2", "a"), 3: Said("3", "b")}) == "-223"


def test_a_frame_that_is_moved_goes_alone() -> None:
    assert walked(sequence("sffsf"), said={1: Said("3")}) == "-31-2"


def test_where_a_whole_sitting_is_moved_the_list_follows_on() -> None:
    """Number two is ill: what was taken for hers is the third's, and the fourth follows by itself."""
    frames = sequence("sfsffsf")
    assert walked(frames) == "-1-22-3"
    assert walked(frames, said={3: Said("3"), 4: Said("3")}) == "-1-33-4"


def test_where_a_slate_was_forgotten_the_list_follows_on_after_who_was_moved() -> None:
    frames = sequence("sfffffsf")
    assert walked(frames) == "-11111-2"
    assert walked(frames, said={place: Said("2") for place in (3, 4, 5)}) == "-11222-3"


def test_a_stray_before_the_slate_takes_nobodys_place() -> None:
    """The first frame of the second sitter, taken before her slate."""
    assert walked(sequence("sffffsf"), said={4: Said("2")}) == "-1112-2"


def test_each_camera_is_walked_through_alone() -> None:
    """Their clocks differ; a slate before one says nothing to the other."""
    frames = sequence("sfsf", serial="a") | sequence("sfsf", serial="b")
    assert walked(frames) == "-1-2-1-2"


def test_folders_name_their_sitters_by_number_or_name() -> None:
    frames = {
        HOME / "01" / "a.jpg": shot(1, 1),
        HOME / "Bo" / "RAW" / "a.nef": shot(2, 2),
        HOME / "guest" / "inner" / "a.jpg": shot(3, 3),
        HOME / "a.jpg": shot(4, 4),
    }
    labels = seated(frames, {}, Seats(HOME, "folders", LIST))
    assert [labels.get(path) for path in frames] == ["1", "2", "guest", None]


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("3", "3"),
        ("003", "3"),
        ("  bo ", "2"),
        ("17", "17"),
        ("Eve  Example", "Eve Example"),
        ("00000031", "3"),  # EAN-8, the last digit checks the others (GS1 General Specifications, 7.9)
        ("0000000000031", "3"),  # EAN-13
    ],
)
def test_a_number_or_a_name_means_a_chair(text: str, label: str) -> None:
    assert label_of(text, LIST) == label


def test_who_follows() -> None:
    assert following(None, LIST, ()) == "1"
    assert following("2", LIST, {"1", "2"}) == "3"
    assert following("4", LIST, {"1", "3", "4"}) == "2", "who was passed over comes last"
    assert following("4", LIST, {"1", "2", "3", "4"}) == "5"
    assert following(None, (), ()) == "1" and following("7", (), {"7"}) == "8"


def test_a_sitter_whom_the_list_does_not_have_is_doubted() -> None:
    seats = Seats(Path("/job"), "said", (Chair("1", "Alva Example"), Chair("3", "Cleo Sample")))
    assert seats.doubt(seats.label("Cleo")) == seats.doubt("1") == ""
    assert seats.doubt("Clio") == "Clio is not in the list: did you mean 3 Cleo Sample?"
    assert seats.doubt("7") == "7 is not in the list: it has 2."
    assert Seats(Path("/job"), "said").doubt("7") == "", "without a list nobody is missing in it"
