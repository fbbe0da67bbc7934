"""Many people and one camera: every frame at the right sitter, every gap told before the next sits down."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from eyeline.errors import BadConfiguration
from eyeline.exiftool import ExifTool
from eyeline.run.announcements import CardIn, FlashMissed, FrameJudged, LineEmpty, SitterSeated
from eyeline.run.brief import own_brief
from tests.run.day import BANNER, Day, day
from tests.run.test_learn import SIDECAR

PER_SITTER = """\
sitters = "{}"
sitter_list = "list.csv"
[[brief]]
genre = "corporate headshot"
per = "sitter"
[[brief]]
genre = "copy space right"
per = "sitter"
"""
LISTED = 10
"""Sitters; the full day of forty, with pictures, is `python -m tests.run.volume_day`."""

LIST = "".join(f"{number},Sitter {number} Example\n" for number in range(1, LISTED + 1))
FRAMES = 4


def sits(one: Day, sitter: str, frames: int = FRAMES, banner: bool = True) -> list[Path]:
    """So many frames of one sitter: headshots, then banners, unless those are forgotten."""
    return [
        one.frame(sitter, **(BANNER if banner and number >= frames // 2 else {})) for number in range(frames)
    ]


def gaps(one: Day) -> list[tuple[str | None, str]]:
    return [(each.sitter, each.line) for each in one.told(LineEmpty) if isinstance(each, LineEmpty)]


def test_many_sitters_by_slates_codes_and_a_list(tmp_path: Path, exiftool: ExifTool) -> None:
    """Number 3 is late and comes after 8, by a code; whose banner is forgotten is
    told of before the next one sits."""
    forgets = {"5", "9"}
    with day(tmp_path, exiftool, PER_SITTER.format("slates"), LIST) as one:
        order = [*"12", *"45678", "3", *map(str, range(9, LISTED + 1))]
        for sitter in order:
            one.slate(sitter if sitter in ("3", "4") else None)
            before = len(gaps(one))
            sits(one, sitter, banner=sitter not in forgets)
            assert len(gaps(one)) == before, "nobody is told while frames are being taken"
            one.pause()
            told = gaps(one)[before:]
            words = f"{sitter} Sitter {sitter} Example"
            assert told == ([(words, "copy space right")] if sitter in forgets else []), (
                "told before the next slate"
            )
        assert one.seated() == one.meant and len(one.meant) == LISTED * FRAMES
        assert set(Counter(one.meant.values()).values()) == {FRAMES}

        decider = one.decider
        report = own_brief(one.folder, decider.ledger, decider.configuration, decider.rules, decider.roots)
        assert report is not None and [each.sitter for each in report.sitters] == [
            *map(str, range(1, LISTED + 1))
        ]
        missing = {
            each.sitter: [line.line.genre for line in each.lines if line.missing] for each in report.sitters
        }
        assert {sitter: lines for sitter, lines in missing.items() if lines} == {
            sitter: ["copy space right"] for sitter in forgets
        }
        assert report.nobodys == ()


def test_each_frame_gets_its_sitters_number_as_a_keyword_and_moves_with_a_correction(
    tmp_path: Path, exiftool: ExifTool
) -> None:
    with day(tmp_path, exiftool, PER_SITTER.format("slates"), LIST) as one:
        moved = []
        for sitter in ("1", "2", "3"):
            one.slate()
            moved += sits(one, sitter, 2)
        one.written()
        sidecar = moved[0].with_suffix(".xmp")
        assert "<rdf:li>sitter 1</rdf:li>" in sidecar.read_text()
        one.attention.move("3", moved[:2])
        assert one.rejudged == [one.folder]
        one.written()
        text = sidecar.read_text()
        assert "<rdf:li>sitter 3</rdf:li>" in text and "sitter 1" not in text.split("<xmpMM:History>")[0]
        labels = one.seated()
        assert [labels[path.name] for path in moved] == ["3", "3", "4", "4", "5", "5"], (
            "a whole sitting was moved: the list follows on after it"
        )


def test_no_keyword_and_no_name_unless_asked_for(tmp_path: Path, exiftool: ExifTool) -> None:
    with day(tmp_path, exiftool, PER_SITTER.format("slates"), LIST, keyword="none") as one:
        one.slate()
        (path,) = sits(one, "1", 1)
        one.written()
        text = path.with_suffix(".xmp").read_text()
        assert "<rdf:li>sitter" not in text and "Example" not in text


def test_who_sits_is_said(tmp_path: Path, exiftool: ExifTool) -> None:
    """A frame belongs to who sat when it began to arrive, however long it takes to be measured."""
    with day(tmp_path, exiftool, PER_SITTER.format("said"), LIST) as one:
        sits(one, "nobody", 1)
        assert one.attention.say("next")["called"] == "1 Sitter 1 Example"
        sits(one, "1", 3)
        under_way = one.folder / f"NL1_{one.count + 1:04}.jpg"
        one.attention.noticed(under_way)
        assert one.attention.say("7")["sitter"] == "7"
        late = one.frame("1")
        sits(one, "7", 2)
        assert one.attention.say("next", one.folder)["sitter"] == "8"
        sits(one, "8", 2)
        assert one.attention.seated()["sitter"] == "8"
        labels = one.seated()
        assert late == under_way and labels[late.name] == "1"
        assert [*labels.values()] == [None, "1", "1", "1", "1", "7", "7", "8", "8"]
        said = [each.sitter for each in one.told(SitterSeated) if isinstance(each, SitterSeated)]
        assert said == ["1 Sitter 1 Example", "7 Sitter 7 Example", "8 Sitter 8 Example"]
        early = [each for each in one.told(FrameJudged) if isinstance(each, FrameJudged)]
        assert all(each.early for each in early) and early[1].sitter == "1"


def test_stars_of_one_s_own_are_told_with_the_verdict(tmp_path: Path, exiftool: ExifTool) -> None:
    """A camera that rates, or another program that was quicker."""
    with day(tmp_path, exiftool, 'genres = ["corporate headshot"]\n') as one:
        (one.folder / "NL1_0002.xmp").write_text(SIDECAR.format(2))
        for _ in range(2):
            one.frame("1")
        told = [each for each in one.told(FrameJudged) if isinstance(each, FrameJudged)]
        assert [each.own_stars for each in told] == [None, 2] and told[1].stars != 2


def test_the_gap_of_who_stands_up_is_told_when_the_next_is_said(tmp_path: Path, exiftool: ExifTool) -> None:
    with day(tmp_path, exiftool, PER_SITTER.format("said"), LIST) as one:
        one.attention.say("1", one.folder)
        sits(one, "1", 3, banner=False)
        assert gaps(one) == []
        one.attention.say("2")
        one.turn()
        assert gaps(one) == [("1 Sitter 1 Example", "copy space right")]


def test_what_a_correction_leaves_empty_is_told_though_frames_came_like_a_card(
    tmp_path: Path, exiftool: ExifTool
) -> None:
    """A slate was forgotten, the frames are moved before anybody pauses."""
    with day(tmp_path, exiftool, PER_SITTER.format("slates"), LIST) as one:
        one.slate()
        sits(one, "1")
        one.pause()
        frames = []
        for _ in range(12):
            one.camera_ahead_s += 60.0  # a card is faster than a camera
            frames.append(one.frame("2", 0.1))
        one.move("2", frames)
        one.pause()
        assert len(one.told(CardIn)) == 1
        assert gaps(one) == [("2 Sitter 2 Example", "copy space right")]


def test_nothing_is_told_of_nobody_while_only_a_slate_is_in(tmp_path: Path, exiftool: ExifTool) -> None:
    with day(tmp_path, exiftool, PER_SITTER.format("slates"), LIST) as one:
        one.slate()
        one.pause()
        assert gaps(one) == []


def test_nothing_is_told_of_nobody_while_the_light_is_tried(tmp_path: Path, exiftool: ExifTool) -> None:
    with day(tmp_path, exiftool, PER_SITTER.format("said"), LIST) as one:
        sits(one, "nobody", 1)
        one.pause()
        assert gaps(one) == []


def test_where_no_brief_counts_per_sitter_nobody_can_sit(tmp_path: Path, exiftool: ExifTool) -> None:
    with day(tmp_path, exiftool, 'genres = ["copy space right"]\n') as one:
        (path,) = sits(one, "1", 1)
        for ask in (lambda: one.attention.say("1"), lambda: one.attention.move("1", [path])):
            with pytest.raises(BadConfiguration):
                ask()


def test_a_card_is_told_with_what_is_missing(tmp_path: Path, exiftool: ExifTool) -> None:
    with day(tmp_path, exiftool, PER_SITTER.format("slates"), "1\n2\n") as one:
        one.slate()
        for number in range(14):
            one.camera_ahead_s += 60.0  # a card is faster than a camera
            one.frame("1", 0.1, **({"eye_blur_iris": 0.2, "eye_blur_px": 9.0} if number < 3 else {}))
        one.pause()
        (card,) = one.told(CardIn)
        assert isinstance(card, CardIn) and (card.frames, card.set_aside) == (15, 3)
        assert card.missing == (
            "1: 1 of copy space right",
            "2: 1 of corporate headshot, 1 of copy space right",
        )


def test_a_flash_that_does_not_fire_is_told_and_is_no_slate(tmp_path: Path, exiftool: ExifTool) -> None:
    with day(tmp_path, exiftool, PER_SITTER.format("slates"), LIST) as one:
        one.slate()
        sits(one, "1", 3)
        for _ in range(2):
            one.frame(None, people=0, background_lightness=2.0)
        sits(one, "1", 2)
        assert len(one.told(FlashMissed)) == 1
        assert set(one.seated().values()) == {"1"}
