from __future__ import annotations

from eyeline.sitting.shot import in_order, natural, seconds_of
from tests.sitting.invented import shot


def test_sub_seconds_are_a_decimal_fraction() -> None:
    """SubSecTimeOriginal '07' is .07 s and '7' is .7 s (CIPA DC-008, EXIF 2.32)."""
    early, late = seconds_of("2024-05-01T10:00:00.07+02:00"), seconds_of("2024-05-01T10:00:00.7")
    assert early is not None and late is not None
    assert round(late - early, 6) == 0.63


def test_no_fraction_is_the_whole_second() -> None:
    assert seconds_of("2024-05-01T10:00:01") == seconds_of("2024-05-01T10:00:01.000Z")


def test_the_offset_does_not_move_the_cameras_own_clock() -> None:
    assert seconds_of("2024-05-01T10:00:01+02:00") == seconds_of("2024-05-01T10:00:01")


def test_what_is_no_time_is_none() -> None:
    for text in (None, "", "yesterday", "2024-13-41T99:00:00", "2024:05:01 10:00:00"):
        assert seconds_of(text) is None


def test_names_sort_as_people_count() -> None:
    assert sorted(["a10.jpg", "A9.jpg", "a1.jpg", "b.jpg"], key=natural) == [
        "a1.jpg",
        "A9.jpg",
        "a10.jpg",
        "b.jpg",
    ]
    assert sorted(["9.jpg", "x.jpg", "²"], key=natural)  # any name sorts, whatever digits it has


def test_shots_of_one_moment_sort_by_name_and_those_without_a_time_come_last() -> None:
    shots = [shot(3, None), shot(10, 5), shot(9, 5), shot(11, 0.7), shot(12, 0.07)]
    assert [each.name for each in sorted(shots, key=in_order)] == [
        "A_12.jpg",
        "A_11.jpg",
        "A_9.jpg",
        "A_10.jpg",
        "A_3.jpg",
    ]
