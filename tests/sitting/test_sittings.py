from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as some

from eyeline.sitting.shot import Shot
from eyeline.sitting.sittings import LONG_PAUSE_SECONDS, sittings
from tests.sitting.invented import no_face, shot


def names(shots: list[Shot]) -> list[list[str]]:
    return [[shots[row].name for row in each.rows] for each in sittings(shots)]


def test_one_folder_without_a_pause_is_one_sitting() -> None:
    shots = [shot(2, 30), shot(1, 0), shot(3, 200)]
    assert names(shots) == [["A_1.jpg", "A_2.jpg", "A_3.jpg"]]


def test_a_long_pause_parts() -> None:
    shots = [shot(1, 0), shot(2, LONG_PAUSE_SECONDS - 1), shot(3, 2 * LONG_PAUSE_SECONDS + 60)]
    assert names(shots) == [["A_1.jpg", "A_2.jpg"], ["A_3.jpg"]]
    assert sittings(shots)[1].begins == "after a pause of 6 min"


def test_a_frame_without_a_face_parts_and_belongs_to_nobody() -> None:
    shots = [no_face(1, 0), shot(2, 10), shot(3, 20), no_face(4, 30), no_face(5, 31), shot(6, 40)]
    assert names(shots) == [["A_2.jpg", "A_3.jpg"], ["A_6.jpg"]]
    assert sittings(shots)[1].begins == "after a frame without a face, A_5.jpg"


def test_folders_and_cameras_part() -> None:
    shots = [shot(1, 0), shot(2, 1, folder="other"), shot(3, 2), shot(4, 3, serial="1002")]
    assert names(shots) == [["A_1.jpg", "A_3.jpg"], ["A_2.jpg"], ["A_4.jpg"]]


def test_a_named_sitting_is_one_whatever_lies_between() -> None:
    shots = [
        shot(1, 0, sitting="Reyes"),
        no_face(2, 10),
        shot(3, 5000, folder="other", serial="1002", sitting="Reyes"),
    ]
    assert names(shots)[0] == ["A_1.jpg", "A_3.jpg"]


def test_frames_without_a_time_keep_the_order_of_their_names() -> None:
    assert names([shot(10, None), shot(9, None)]) == [["A_9.jpg", "A_10.jpg"]]


@given(some.lists(some.tuples(some.one_of(some.none(), some.floats(0, 5000)), some.booleans()), max_size=20))
def test_every_face_is_in_exactly_one_sitting(frames: list[tuple[float | None, bool]]) -> None:
    shots = [
        shot(number, seconds) if face else no_face(number, seconds or 0.0)
        for number, (seconds, face) in enumerate(frames)
    ]
    rows = [row for each in sittings(shots) for row in each.rows]
    assert sorted(rows) == [row for row, each in enumerate(shots) if not each.shows_no_face]
