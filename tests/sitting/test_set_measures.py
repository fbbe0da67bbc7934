from __future__ import annotations

import pytest

from eyeline.sitting.quantities import SET_QUANTITIES
from eyeline.sitting.set_measures import set_measures
from eyeline.terms.measurement import Value
from tests.sitting.invented import darker, no_face, shot

LONG = 3600.0


def test_every_measure_of_the_set_is_answered_for_every_frame() -> None:
    shots = [no_face(0, 0), shot(1, 1), shot(2, 2), shot(3, None), shot(4, 3, face_luminance=None)]
    names = {quantity.name for quantity in SET_QUANTITIES}
    for found in set_measures(shots):
        assert set(found) == names
        assert all(name == each.name for name, each in found.items())


@pytest.mark.parametrize("stops", [-1.5, -0.5, 0.7, 1.5, 3.0])
def test_exposure_is_off_by_the_stops_that_were_taken(stops: float) -> None:
    shots = [shot(1, 0), shot(2, 10), shot(3, 20, **darker(stops)), shot(4, 30), shot(5, 40)]
    found = [each["exposure_off_stops"].value for each in set_measures(shots)]
    assert found == pytest.approx([0, 0, -stops, 0, 0], abs=0.01)


def test_two_misfires_in_a_row_are_both_found() -> None:
    shots = [shot(n, 10 * n, **(darker(2) if n in (3, 4) else {})) for n in range(8)]
    dark = [n for n, each in enumerate(set_measures(shots)) if (each["exposure_off_stops"].value or 0) < -1]
    assert dark == [3, 4]


def test_a_lone_frame_is_compared_with_nobody() -> None:
    (found,) = set_measures([shot(1, 0)])
    assert all(each.value is None and each.missing for each in found.values())


def test_faces_are_never_compared_across_sittings() -> None:
    """A dark-skinned sitter after a light-skinned one: an even exposure of each is no misfire."""
    light = [shot(n, 10 * n, face_luminance=0.4) for n in range(4)]
    dark = [shot(10 + n, LONG + 10 * n, face_luminance=0.05) for n in range(4)]
    assert all(abs(each["exposure_off_stops"].value or 0) < 0.01 for each in set_measures(light + dark))


def test_nor_across_looks_when_the_next_sitter_comes_without_a_pause() -> None:
    light = [shot(n, 10 * n, face_luminance=0.4) for n in range(4)]
    for many in (1, 2, 3, 5):
        dark = [shot(10 + n, 50 + 10 * n, face_luminance=0.05) for n in range(many)]
        assert all(abs(each["exposure_off_stops"].value or 0) < 0.01 for each in set_measures(light + dark))


@pytest.mark.parametrize("stops", [-2.0, -1.2, 1.2, 2.0])
@pytest.mark.parametrize("place", [0, 3, 6])
def test_another_skin_between_two_frames_is_no_misfire(stops: float, place: int) -> None:
    """A team day: the next sitter sits down within seconds, before the same paper, in other clothes."""
    other: dict[str, Value] = {"face_luminance": 0.15 * 2.0**stops, "clothes_lightness": 36.0}
    usual: dict[str, Value] = {"face_luminance": 0.15}
    shots = [shot(n, 20 * n, **(other if n == place else usual)) for n in range(7)]
    found = [each["exposure_off_stops"] for each in set_measures(shots)]
    assert found[place].value is None and found[place].missing
    assert [each.value for n, each in enumerate(found) if n != place] == pytest.approx([0] * 6, abs=0.01)


@pytest.mark.parametrize("paper", [4.0, 99.0])
def test_a_misfire_before_black_or_burnt_out_paper_shows_in_the_clothes(paper: float) -> None:
    dark = darker(1.5) | {"background_lightness": paper}
    shots = [shot(n, 20 * n, **(dark if n == 3 else {"background_lightness": paper})) for n in range(7)]
    assert set_measures(shots)[3]["exposure_off_stops"].value == pytest.approx(-1.5, abs=0.01)


def test_a_burst_of_light_is_told_though_the_paper_burns_out() -> None:
    bright = darker(-1.5) | {"background_lightness": 100.0, "clothes_lightness": None}
    shots = [shot(n, 20 * n, **(bright if n == 3 else {"clothes_lightness": None})) for n in range(7)]
    assert set_measures(shots)[3]["exposure_off_stops"].value == pytest.approx(1.5, abs=0.01)


def test_frames_without_a_time_are_compared_only_within_a_named_sitting() -> None:
    """A folder of portraits without capture data may hold as many people as frames."""
    alike = [shot(n, None) for n in range(6)]
    assert all(each["exposure_off_stops"].value is None for each in set_measures(alike))
    named = [shot(n, None, sitting="chair") for n in range(6)]
    assert all(each["exposure_off_stops"].value == 0 for each in set_measures(named))


def test_nor_are_eyelids_of_frames_without_a_time() -> None:
    narrow: dict[str, Value] = {"eye_opening_left": 0.17, "eye_opening_right": 0.17, "eyes_open": 0.97}
    wide: dict[str, Value] = {"eye_opening_left": 0.34, "eye_opening_right": 0.34, "eyes_open": 0.99}
    shots = [shot(n, None, **(narrow if n == 3 else wide)) for n in range(12)]
    assert "eyes_open" not in set_measures(shots)[3]


def test_nor_those_of_the_next_sitter_who_comes_without_a_pause() -> None:
    wide: dict[str, Value] = {"eye_opening_left": 0.34, "eye_opening_right": 0.34, "eyes_open": 0.99}
    narrow: dict[str, Value] = {"eye_opening_left": 0.17, "eye_opening_right": 0.17, "eyes_open": 0.97}
    other_clothes: dict[str, Value] = {"clothes_a": 12.0, "clothes_b": 14.0}
    shots = [shot(n, 20 * n, **(wide if n < 12 else narrow | other_clothes)) for n in range(15)]
    assert "eyes_open" not in set_measures(shots)[13]


def test_white_balance_and_backdrop_tell_light_from_colour() -> None:
    warm: dict[str, Value] = {"background_b": 6.5}
    shots = [shot(n, 10 * n, **({1: darker(1), 2: warm}.get(n, {}))) for n in range(6)]
    found = set_measures(shots)
    white = [each["white_balance_off"].value or 0 for each in found]
    backdrop = [each["backdrop_off"].value or 0 for each in found]
    assert white[0] == pytest.approx(0, abs=0.01) and white[1] < 0.2 and white[2] > 4
    assert backdrop[0] == pytest.approx(0, abs=0.01) and backdrop[1] > 10 and backdrop[2] > 4


def test_frames_of_a_series_share_an_id_that_names_the_first() -> None:
    shots = [shot(1, 0), shot(2, 60), shot(3, 63), shot(4, 66)]
    assert [each["series"].value for each in set_measures(shots)] == [None, "A_2.jpg", "A_2.jpg", "A_2.jpg"]


def test_a_series_keeps_its_id_when_more_frames_arrive() -> None:
    shots = [shot(n, 3 * n) for n in range(4)]
    assert set_measures(shots[:2])[0]["series"] == set_measures(shots)[3]["series"]
