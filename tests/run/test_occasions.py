"""When the photographer is told of something: in time, and each once."""

from __future__ import annotations

from pathlib import Path

from eyeline.run.announcements import Announcement, CardIn, DiskNearlyFull, EyesSoft, FlashMissed, LineEmpty
from eyeline.run.brief import FolderBrief, SitterBrief
from eyeline.run.occasions import CARD_FRAMES, LITTLE_ROOM_BYTES, ROOM_AGAIN, Occasions
from eyeline.sitting.brief import BriefLine, LineReport

CARD = Path("/job")
GOOD, DARK, SOFT = frozenset[str](), frozenset({"flash_misfire"}), frozenset({"eye_soft"})
HEAD, SQUARE = BriefLine("corporate headshot", per="sitter"), BriefLine("team page", per="sitter")


class Job:
    """Frames that come one after the other, and all that was told."""

    def __init__(self) -> None:
        self.occasions = Occasions()
        self.told: list[Announcement] = []
        self.frames = 0

    def frame(
        self,
        faults: frozenset[str] = GOOD,
        stars: int | None = 3,
        is_dark: bool = False,
        taken_s: float | None = None,
        now_s: float | None = None,
    ) -> None:
        self.frames += 1
        at_s = 5.0 * self.frames
        path = CARD / f"{self.frames}.jpg"
        taken_s, now_s = at_s if taken_s is None else taken_s, at_s if now_s is None else now_s
        self.told += self.occasions.judged(path, faults, stars, is_dark, taken_s, now_s)

    def pause(self, *sitters: SitterBrief, lines: tuple[LineReport, ...] = ()) -> None:
        brief = FolderBrief(self.frames, CARD / "eyeline.toml", lines, sitters)
        self.told += self.occasions.paused(CARD, brief)


def sitter(number: str, *lines: LineReport, frames: int = 12) -> SitterBrief:
    return SitterBrief(number, f"{number} Alva", None, frames, 0, lines)


def test_a_flash_that_did_not_fire_twice_running_is_told_once() -> None:
    job = Job()
    for faults in (GOOD, DARK, GOOD, DARK, DARK, DARK, GOOD, DARK, DARK):
        job.frame(faults)
    assert job.told == [FlashMissed(CARD, ("4.jpg", "5.jpg")), FlashMissed(CARD, ("8.jpg", "9.jpg"))]


def test_a_frame_that_is_black_all_over_is_a_flash_and_a_slate_is_none() -> None:
    job = Job()
    job.frame(stars=None, is_dark=True)
    job.frame(stars=None)  # a slate between says nothing of the flash
    job.frame(stars=None, is_dark=True)
    assert job.told == [FlashMissed(CARD, ("1.jpg", "3.jpg"))]


def test_soft_eyes_are_told_at_the_third() -> None:
    job = Job()
    for faults in (SOFT, SOFT, GOOD, SOFT, SOFT, SOFT, SOFT):
        job.frame(faults)
    assert job.told == [EyesSoft(CARD, ("4.jpg", "5.jpg", "6.jpg"))]


def test_a_line_that_is_empty_when_the_sitting_pauses_is_told_once_for_each_sitter() -> None:
    job = Job()
    gap = LineReport(SQUARE, (), "0213.jpg", ("4 % more room wanted over the head",))
    there = LineReport(HEAD, ("0214.jpg",))
    for _ in range(3):
        job.pause(sitter("1", there, gap), sitter("2", frames=0))
    told = LineEmpty(CARD, "team page", "1 Alva", "0213.jpg", ("4 % more room wanted over the head",))
    assert job.told == [told], "who has not sat yet misses nothing yet"
    job.pause(sitter("1", there, gap), sitter("2", there, gap))
    assert [each.sitter for each in job.told if isinstance(each, LineEmpty)] == ["1 Alva", "2 Alva"]


def test_a_line_that_has_some_but_not_all_frames_is_not_empty() -> None:
    job = Job()
    job.pause(lines=(LineReport(BriefLine("team page", 3), ("1.jpg",)),))
    assert job.told == []


def test_a_card_is_many_frames_that_come_faster_than_they_were_taken() -> None:
    job = Job()
    for number in range(CARD_FRAMES):
        job.frame(stars=1 if number < 2 else 3, taken_s=60.0 * number, now_s=0.2 * number)
    job.occasions.unreadable(CARD / "x.jpg", 3.0)
    job.pause(sitter("1", LineReport(HEAD, ()), frames=0))
    assert job.told == [CardIn(CARD, CARD_FRAMES, 3, ("1 Alva: 1 of corporate headshot",))]
    job.pause()
    assert len(job.told) == 1


def test_what_a_card_brings_is_told_as_one_and_nobody_is_called_back_to_the_camera() -> None:
    job = Job()
    gap = LineReport(HEAD, (), "1.jpg", ("turn the camera",))
    for number in range(CARD_FRAMES):
        faults = (DARK | SOFT) if number > 3 else GOOD
        job.frame(faults, taken_s=60.0 * number, now_s=0.2 * number)
    job.pause(sitter("1", gap), sitter("2", gap))
    assert [type(each) for each in job.told] == [CardIn]
    job.pause(sitter("1", gap), sitter("2", gap))
    assert len(job.told) == 1


def test_a_card_of_one_sitter_who_may_still_be_there_has_its_gaps_told() -> None:
    job = Job()
    for number in range(CARD_FRAMES):
        job.frame(taken_s=60.0 * number, now_s=0.2 * number)
    brief = FolderBrief(12, CARD / "eyeline.toml", (), (sitter("1", LineReport(HEAD, ())),))
    job.told += job.occasions.paused(CARD, brief, is_one_sitter=True)
    assert [type(each) for each in job.told] == [CardIn, LineEmpty]


def test_a_clump_of_frames_from_a_slow_cable_is_told_when_the_next_one_comes() -> None:
    job = Job()
    for number in range(4):
        job.frame(SOFT, taken_s=20.0 * number, now_s=1.0)
    assert job.told == []
    for number in range(4, 8):
        job.frame(SOFT, taken_s=20.0 * number, now_s=20.0 * number)
    assert [type(each) for each in job.told] == [EyesSoft]


def test_frames_as_fast_as_they_are_taken_are_no_card() -> None:
    job = Job()
    for _ in range(3 * CARD_FRAMES):
        job.frame()
    job.pause()
    few = Job()
    for number in range(CARD_FRAMES - 1):
        few.frame(taken_s=60.0 * number, now_s=0.2 * number)
    few.pause()
    assert job.told == few.told == []


def test_a_full_disk_is_told_once_until_there_was_room_again() -> None:
    occasions = Occasions()
    free = [9, LITTLE_ROOM_BYTES - 1, LITTLE_ROOM_BYTES + 1, 9, round(ROOM_AGAIN * LITTLE_ROOM_BYTES), 8]
    told = [each for bytes_ in free for each in occasions.room(CARD, bytes_)]
    assert told == [DiskNearlyFull(CARD, 9), DiskNearlyFull(CARD, 8)]
