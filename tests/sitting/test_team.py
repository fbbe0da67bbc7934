from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from eyeline.judging.rulebook import Rulebook
from eyeline.sitting.shot import Shot
from eyeline.sitting.team import Team, TeamFrame, team
from eyeline.sitting.team_crop import HeadPlace, crop_to
from eyeline.terms.measurement import Measurement, Value
from eyeline.terms.points import Points
from tests.judging.photos import judged, photo, sitter
from tests.judging.shipped import rules

WIDTH, HEIGHT = 4000, 3000
PLACE = HeadPlace(0.40, 0.50, 0.5, 1.0)
GREY: dict[str, Value] = {"background_lightness": 80.0, "background_a": 1.0, "background_b": -0.5}


def page() -> Rulebook:
    return rules().genre("team page")


def candidate(
    number: int,
    eye_line: float = 0.4,
    head_height: float = 0.35,
    eye_x: float = 0.5,
    width: int = WIDTH,
    height: int = HEIGHT,
    **changed: Value,
) -> TeamFrame:
    """Sitter `number` in a frame that leaves room for the team's crop unless a test takes it away."""
    points = sitter(eye_line, head_height, eye_x, width, height)
    measured = photo(points, width, height, **changed) | {
        name: Measurement(name, value) for name, value in {**GREY, **changed}.items() if name in GREY
    }
    verdict = judged([measured], ["team page"]).verdict(0)
    shot = Shot(f"{number}.jpg", "team", None, None, measured, points)
    return TeamFrame(number, shot, width, height, verdict)


def misfits(found: Team) -> list[tuple[str, ...]]:
    return [each.misfits for each in found.members]


def test_heads_of_any_size_and_place_come_to_one() -> None:
    """Common practice of team pages: eye line .40 ± .015, head height .50 ± .02, middle ± .015."""
    found = team(
        [
            candidate(0),
            candidate(1, eye_line=0.45, head_height=0.28, eye_x=0.42),
            candidate(2, eye_line=0.36, head_height=0.40, eye_x=0.6, width=3000, height=4000 // 2),
        ],
        page(),
    )
    assert misfits(found) == [(), (), ()]
    for member in found.members:
        at = member.crop.place
        assert at.eye_line == pytest.approx(0.40, abs=0.015)
        assert at.head_height == pytest.approx(0.50, abs=0.02)
        assert at.eye_x == pytest.approx(0.5, abs=0.015)
        assert member.crop.width == member.crop.height
    assert found.consistency == pytest.approx(1.0, abs=0.01) and found.side == 1


def test_the_crop_says_what_it_found_there() -> None:
    """Measured anew in the crop's own pixels, the head is where the crop says."""
    points = sitter(0.45, 0.30, 0.4, WIDTH, HEIGHT)
    crop = crop_to(PLACE, points, WIDTH, HEIGHT)
    assert crop is not None and crop.short == (0, 0, 0, 0)
    left, top = crop.area.left * WIDTH, crop.area.top * HEIGHT
    assert (points.eye_y * HEIGHT - top) / crop.height == pytest.approx(0.40, abs=0.001)
    assert (points.eye_x * WIDTH - left) / crop.width == pytest.approx(0.50, abs=0.001)
    assert points.crown_y is not None
    assert (points.chin[1] - points.crown_y) * HEIGHT / crop.height == pytest.approx(0.50, abs=0.001)


@given(
    some.floats(0.05, 0.95), some.floats(0.05, 1.2), some.floats(0.0, 1.0), some.sampled_from([0.8, 1.0, 1.5])
)
def test_no_crop_leaves_the_frame(eye_line: float, head_height: float, eye_x: float, ratio: float) -> None:
    points = sitter(eye_line, head_height, eye_x, WIDTH, HEIGHT)
    crop = crop_to(HeadPlace(0.4, 0.5, 0.5, ratio), points, WIDTH, HEIGHT)
    if crop is None:
        assert points.crown_cut or points.chin_cut
        return
    area = crop.area
    assert area.left >= -1e-9 and area.top >= -1e-9 and area.right <= 1 + 1e-9 and area.bottom <= 1 + 1e-9
    if crop.short == (0, 0, 0, 0):
        assert crop.place.head_height == pytest.approx(0.5, abs=0.002)


def test_a_frame_too_tight_is_told_what_it_would_take() -> None:
    found = team([candidate(0), candidate(1), candidate(2, eye_line=0.38, head_height=0.62)], page())
    (tight,) = found.members[2].misfits
    assert tight.startswith("head 62 % of the height") and "it would take" in tight and "more above" in tight
    assert misfits(found)[:2] == [(), ()]
    assert found.more_at is not None and found.more_at[1] == 3


def test_a_frame_too_small_is_told_so() -> None:
    (member,) = team([candidate(0, width=1200, height=900)], page()).members
    assert any("stand nearer" in each for each in member.misfits)


def test_the_look_side_of_most_counts_and_another_frame_of_the_sitter_is_preferred() -> None:
    right: dict[str, Value] = {"head_yaw_deg": 10.0}
    left: dict[str, Value] = {"head_yaw_deg": -10.0}
    found = team(
        [
            candidate(0, **right),
            candidate(1, **right),
            candidate(2, **left),
            candidate(2, head_height=0.33, eye_blur_iris=0.03, **right),
            candidate(3, **left),
        ],
        page(),
    )
    assert found.side == 1
    assert [each.name for each in found.members] == ["0.jpg", "1.jpg", "2.jpg", "3.jpg"]
    assert misfits(found)[2] == ()  # the softer frame that looks the team's way
    assert misfits(found)[3][0].startswith("turned to camera left, the team to camera right")


def test_backdrop_tilt_and_light_that_do_not_fit() -> None:
    blue: dict[str, Value] = {"background_lightness": 45.0, "background_a": 5.0, "background_b": -30.0}
    found = team(
        [
            candidate(0),
            candidate(1),
            candidate(2),
            candidate(3, **blue),
            candidate(4, head_roll_deg=9.0),
            candidate(5, light_ratio_stops=-0.8),
        ],
        page(),
    )
    words = misfits(found)
    assert words[:3] == [(), (), ()]
    assert "backdrop" in words[3][0] and words[4][0].startswith("tilted by 9°")
    assert words[5][0].startswith("the face is 0.8 stops brighter on the left of the frame, the team's ")


def test_a_head_tilted_by_less_than_is_told_too_much_is_not_said_to_be_as_wanted() -> None:
    found = team([candidate(0), candidate(1), candidate(2, head_roll_deg=3.2)], page())
    assert misfits(found)[2] == ("tilted by just over 3°, the page wants at most 3°: straighten it",)


def test_light_from_the_other_side_is_less_consistent_and_the_page_says_from_when() -> None:
    """Within half a stop of the team's median nothing is lost (common practice, team page)."""
    alike = team([candidate(0), candidate(1), candidate(2, light_ratio_stops=1.2)], page())
    other = team([candidate(0), candidate(1), candidate(2, light_ratio_stops=-0.8)], page())
    assert misfits(alike) == [(), (), ()] and misfits(other)[2]
    assert alike.members[2].likeness == alike.members[0].likeness > other.members[2].likeness
    assert alike.consistency is not None and other.consistency is not None
    assert other.consistency < alike.consistency


def test_a_frame_that_can_stand_in_the_grid_as_it_is_says_so() -> None:
    def words(**changed: Value) -> tuple[str, ...]:
        points = sitter(0.4, 0.5, 0.5, 3000, 3000)
        return judged([photo(points, 3000, 3000, **changed)], ["team page"]).verdict(0).keywords

    assert "team match" in words() and "off team" not in words()
    assert "team match" not in words(backdrop_off=6.0) and "off team" in words(backdrop_off=6.0)
    assert "off team" in words(head_roll_deg=-8.0)


def test_faces_luminance_is_never_compared() -> None:
    light, dark = (candidate(number, face_luminance=value) for number, value in ((0, 0.45), (1, 0.03)))
    found = team([light, dark], page())
    assert misfits(found) == [(), ()]
    assert found.members[0].likeness == found.members[1].likeness


def test_a_sitter_of_whom_no_frame_will_do_is_named() -> None:
    closed: dict[str, Value] = {"gaze": "closed", "eyes_open": 0.01}
    found = team([candidate(0), candidate(1, **closed), candidate(2, eye_line=0.1, head_height=0.4)], page())
    assert [each.sitter for each in found.members] == [0]
    assert found.without == (1, 2)


def test_less_alike_is_less_consistent() -> None:
    even = team([candidate(0), candidate(1)], page()).consistency
    tight = team([candidate(0), candidate(1, head_height=0.7)], page()).consistency
    assert even is not None and tight is not None and tight < even


def test_nobody_is_no_team() -> None:
    found = team([], page())
    assert found.members == () and found.consistency is None


def test_a_head_that_is_cut_has_no_height_to_match() -> None:
    points = Points((0.4, 0.1), (0.6, 0.1), (0.5, 0.4), False, 0.0, True, None, 0.3, 0.7)
    assert crop_to(PLACE, points, WIDTH, HEIGHT) is None
