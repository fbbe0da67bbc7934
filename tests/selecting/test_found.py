"""Which frames an answer means among those that there are."""

from __future__ import annotations

from pathlib import PurePath

from eyeline.selecting.answer import answer_in
from eyeline.selecting.found import frames_meant

MONDAY = [PurePath(f"/jobs/monday/NL1_{number:04}.jpg") for number in (213, 217, 218, 219, 220, 231)]
TUESDAY = [PurePath(f"/jobs/tuesday/NL1_{number:04}.jpg") for number in (213, 300)]


def names(text: str, photos: list[PurePath]) -> list[str]:
    return [path.stem for path, _ in frames_meant(answer_in(text), photos).frames]


def test_a_number_finds_a_frame_with_or_without_zeros_and_a_name_with_any_ending() -> None:
    for text in ("213", "0213", "NL1_0213.CR3", "nl1_213", "NL1_0213-final.tif"):
        assert names(text, MONDAY) == ["NL1_0213"], text


def test_a_span_is_what_lies_there_less_what_is_refused() -> None:
    assert names("217-220, not 218", MONDAY) == ["NL1_0217", "NL1_0219", "NL1_0220"]
    assert names("all except 217-231", MONDAY) == ["NL1_0213"]


def test_a_number_in_two_folders_is_ambiguous_until_somebody_says_which() -> None:
    both = [*MONDAY, *TUESDAY]
    answer = answer_in("213 and 300")
    found = frames_meant(answer, both)
    (doubt,) = found.ambiguous
    assert doubt.words == "213"
    assert doubt.candidates == ((MONDAY[0],), (TUESDAY[0],))
    settled = frames_meant(answer, both, [("213", (TUESDAY[0],))])
    assert [path for path, _ in settled.frames] == [TUESDAY[0], TUESDAY[1]]
    assert not settled.ambiguous


def test_versions_of_one_frame_are_ambiguous_and_a_whole_name_is_not() -> None:
    versions = [PurePath("/job/NL1_0213.jpg"), PurePath("/job/NL1_0213-2.jpg")]
    assert frames_meant(answer_in("213"), versions).ambiguous
    assert [path for path, _ in frames_meant(answer_in("NL1_0213.jpg"), versions).frames] == versions[:1]


def test_the_camera_s_count_is_found_behind_folder_or_day() -> None:
    photos = [PurePath("/job/P1020213.jpg"), PurePath("/job/P1020217.jpg")]
    assert names("213 and 0217", photos) == ["P1020213", "P1020217"]


def test_what_fits_no_frame_is_told_by_the_client_s_words() -> None:
    found = frames_meant(answer_in("213 and 999 and DSC_0217"), MONDAY)
    assert found.unknown == ("999", "DSC_0217")
    assert len(found.frames) == 1
