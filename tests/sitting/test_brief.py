from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from eyeline.sitting.brief import BriefLine, LineReport, Offered, brief_report, too_small
from eyeline.sitting.lacks import WANTED, lacks
from eyeline.terms.measurement import Measurement
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop, NoCrop, Verdict
from tests.judging.photos import judged, photo, sitter
from tests.judging.shipped import QUANTITIES

HEADSHOT, COPY, TEAM = "corporate headshot", "copy space right", "team page"

Measured = dict[str, Measurement]


def headshot(**changed: float) -> Measured:
    return photo(**changed)


def looking_right(eye_x: float) -> Measured:
    """A landscape frame, the sitter looking camera right with room for copy there."""
    return photo(
        sitter(0.34, 0.36, eye_x, 3000, 2000),
        3000,
        2000,
        gaze="right",
        gaze_yaw_deg=25.0,
        head_yaw_deg=22.0,
        copy_space="right",
        copy_space_right=0.3,
        copy_space_contrast=9.0,
    )


def reports(
    lines: Sequence[BriefLine], photos: Sequence[Measured], series: Sequence[str | None] | None = None
) -> tuple[LineReport, ...]:
    """The report on `photos`, judged by the shipped rules."""
    together = judged(photos, [line.genre for line in lines])
    frames = [
        Offered(f"{row}.jpg", series[row] if series else None, 3000, 2000, together.verdict(row))
        for row in range(len(photos))
    ]
    return brief_report(lines, frames, [judged(photos, [line.genre]) for line in lines], QUANTITIES)


def test_what_is_there_and_what_is_missing() -> None:
    head, copy = reports(
        [BriefLine(HEADSHOT, 2), BriefLine(COPY, 2)], [headshot(), headshot(), looking_right(0.3)]
    )
    assert head.there == ("0.jpg", "1.jpg") and head.missing == 0
    assert copy.there == ("2.jpg",) and copy.missing == 1


def test_what_the_nearest_frame_lacks_is_said_with_its_numbers() -> None:
    """The issue's own example: too little room ahead of the look."""
    (copy,) = reports(
        [BriefLine(COPY, 2, called="looking camera right with copy space right")], [looking_right(0.62)]
    )
    assert copy.there == () and copy.nearest == "0.jpg"
    said = "; ".join(copy.lacks)
    assert "more room wanted ahead of the look" in said and "scores" not in said


def test_frames_of_one_series_are_one_picture() -> None:
    lines = [BriefLine(HEADSHOT, 2)]
    photos = [headshot(), headshot(), headshot()]
    (one,) = reports(lines, photos, ["s", "s", "s"])
    assert len(one.there) == 1 and one.missing == 1 and one.nearest is None
    (two,) = reports(lines, photos, ["s", "s", None])
    assert two.missing == 0


def test_a_dud_does_not_count_and_its_fault_is_named() -> None:
    (head,) = reports([BriefLine(HEADSHOT)], [photo(gaze="closed", eyes_open=0.01)])
    assert head.there == () and "the eyes are closed" in head.lacks
    assert not any("wants at least" in each for each in head.lacks), "no chance in per cent helps a sitter"


def test_a_frame_that_is_not_needed_fills_the_line_on_which_it_is_as_good() -> None:
    team = photo(sitter(0.40, 0.50), 1600, 2000)
    lines = [BriefLine(TEAM, 1), BriefLine(HEADSHOT, 1)]
    alone = reports(lines, [team])
    assert sum(len(each.there) for each in alone) == 1  # never counted twice
    other = next(each for each in alone if each.missing)
    assert other.lacks
    both = reports(lines, [team, replace_exposure(team)])
    assert [each.missing for each in both] == [0, 0]


def replace_exposure(measured: Measured) -> Measured:
    return {**measured, "exposure_off_stops": Measurement("exposure_off_stops", 0.1)}


def test_a_set_without_a_face_has_nothing_near() -> None:
    (head,) = reports([BriefLine(HEADSHOT)], [photo(people=0)])
    assert head.nearest is None


def offered(width: int, height: int, crops: tuple[Crop, ...] = (), none: tuple[NoCrop, ...] = ()) -> Offered:
    verdict = Verdict(HEADSHOT, 0.9, 4, (), (), (), "0", crops, none)
    return Offered("a.jpg", None, width, height, verdict)


def test_sizes_are_asked_of_the_crop_that_would_be_delivered() -> None:
    crop = Crop("4:5", Rectangle(0.1, 0.1, 0.5, 0.5), 0.9, 0.8, 1600, 2000, "")
    frame = offered(6000, 4000, (crop,), (NoCrop("1:1", "the head would touch the edge"),))
    assert too_small(frame, [(1600, 2000)]) is None
    assert too_small(frame, [(2400, 3000)]) == "yields 1600 × 2000 px, wants 2400 × 3000"
    assert too_small(frame, [(500, 500)]) == "no good crop for 500 × 500 px"
    assert too_small(frame, [(6000, 4000)]) is None  # the frame as shot
    assert too_small(frame, [(6000, 3000)]) is None  # nobody looked for 2:1: what the frame holds
    assert too_small(frame, [(6001, 3000)]) == "yields 6000 × 3000 px, wants 6001 × 3000"


def test_a_frame_too_small_does_not_count() -> None:
    photos = [headshot()]
    (report,) = reports([BriefLine(HEADSHOT, 1, ((3600, 2400),))], photos)
    assert report.there == () and report.lacks[0] == "yields 3000 × 2000 px, wants 3600 × 2400"
    (fits,) = reports([replace(report.line, sizes=((3000, 2000),))], photos)
    assert fits.missing == 0


def test_the_nearest_meets_what_the_line_requires_before_it_scores() -> None:
    """An upright frame into the lens, fine as it is, is no near miss of a landscape one that looks aside."""
    landscape = {**looking_right(0.75), "lead_room": Measurement("lead_room", -0.6)}
    (copy,) = reports([BriefLine(COPY)], [headshot(), landscape])
    assert copy.nearest == "1.jpg" and "wants a landscape frame" not in "; ".join(copy.lacks)
    (only,) = reports([BriefLine(COPY)], [headshot()])
    assert "this genre wants a landscape frame" in only.lacks


def test_how_much_is_wanted_is_said_in_words_that_help() -> None:
    """The issue's own example: room over the head; never that a frame scores too low."""
    together = judged([photo(sitter(0.26, 0.54), headroom=0.02, gaze="left", gaze_yaw_deg=-20.0)], [HEADSHOT])
    said = lacks(together.reasons(0), together.rulebooks[0], QUANTITIES)
    assert "4 % more room wanted over the head" in said
    assert said[0] == "the eyes look past the lens, and this genre wants them in it"
    assert "score" not in "; ".join(said)


def test_what_is_missing_by_less_than_is_told_is_a_little_never_nothing() -> None:
    together = judged([photo(sitter(0.26, 0.54), headroom=0.0599)], [HEADSHOT])
    short = [replace(each, cost=0.5) for each in together.reasons(0) if each.name == "headroom"]
    assert lacks(short, together.rulebooks[0], QUANTITIES) == ["a little more room wanted over the head"]
    for words in (each for pair in WANTED.values() for each in pair if each):
        assert "{by}" in words or words in ("the eyes wanted sharper", "the eyes wanted open")


def test_a_frame_to_look_at_fills_a_line_last_and_not_unsaid() -> None:
    together = judged([headshot(), headshot()], [HEADSHOT])
    frames = [
        Offered("doubt.jpg", None, 3000, 2000, together.verdict(0), ("check gaze",)),
        Offered("sure.jpg", None, 3000, 2000, together.verdict(1)),
    ]
    (two,) = brief_report(
        [BriefLine(HEADSHOT, 2)], frames, [judged([headshot()] * 2, [HEADSHOT])], QUANTITIES
    )
    assert two.there == ("sure.jpg", "doubt.jpg") and two.doubts == {"doubt.jpg": ("check gaze",)}
