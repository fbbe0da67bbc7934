"""Identity photos by the issuers' published numbers; the authority decides.

Sources as in rules/identity*.toml: the US embassy page, visa pages for Schengen, the text of the UK
Passport Office, all as fractions of the frame.
"""

from dataclasses import replace

import pytest

from eyeline.terms.points import Points
from tests.judging.photos import HEAD_WIDTH, judged, photo


def head(head_px: float, frame_px: int, width_px: int, eye_line: float = 0.38) -> Points:
    """A head of `head_px` in an upright frame of `frame_px` height, eyes in the middle of the width."""
    height = head_px / frame_px
    half = HEAD_WIDTH * head_px / width_px / 2
    chin = eye_line + 0.49 * height
    return Points(
        pupil_left=(0.5 - half / 3, eye_line),
        pupil_right=(0.5 + half / 3, eye_line),
        chin=(0.5, chin),
        chin_cut=False,
        crown_y=chin - height,
        crown_cut=False,
        crown_missing=None,
        head_left=0.5 - half,
        head_right=0.5 + half,
    )


def faults(genre: str, points: Points, width: int, height: int) -> set[str]:
    """The issuer's faults of an otherwise perfect photo."""
    one = photo(points, width, height, head_yaw_deg=0.0, light_ratio_stops=0.2)
    verdict = judged([one], (genre,)).verdict(0)
    return {reason.name for reason in verdict.reasons if reason.stars_at_most is not None}


@pytest.mark.parametrize(("head_px", "accepted"), [(299, False), (300, True), (412, True), (413, False)])
def test_us_head_of_600_pixels(head_px: int, accepted: bool) -> None:
    """Head height 300 to 412.5 px of 600."""
    assert (faults("identity photo US", head(head_px, 600, 600), 600, 600) == set()) == accepted


@pytest.mark.parametrize(("eyes_px", "accepted"), [(187, False), (188, True), (262, True), (263, False)])
def test_us_eye_line_of_600_pixels(eyes_px: int, accepted: bool) -> None:
    """Eye line 187.5 to 262.5 px from the top of 600."""
    found = faults("identity photo US", head(340, 600, 600, eyes_px / 600), 600, 600)
    assert (found == set()) == accepted


@pytest.mark.parametrize(
    ("head_px", "schengen", "uk"),
    [
        (289, False, False),
        (290, False, True),
        (300, False, True),
        (319, False, True),
        (320, True, True),
        (325, True, True),
        (340, True, True),
        (350, True, False),
        (360, True, False),
        (361, False, False),
    ],
)
def test_35_by_45_mm_at_450_pixels(head_px: int, schengen: bool, uk: bool) -> None:
    """Crown to chin 320 to 360 px passes Schengen, 290 to 340 the UK; 325 both."""
    points = head(head_px, 450, 350, eye_line=0.45)
    assert (faults("identity photo Schengen", points, 350, 450) == set()) == schengen
    assert (faults("identity photo UK", points, 350, 450) == set()) == uk


def test_the_common_eye_line_of_iso_and_the_us_is_that_of_portraits() -> None:
    """Both hold 1/3 and the golden section 0.382, neither 0.25 nor 0.50."""

    def accepted(eye_line: float) -> bool:
        points = head(370, 600, 600, eye_line)
        return all(
            "eye_height" not in faults(genre, points, 600, 600)
            for genre in ("identity photo US", "identity photo ISO")
        )

    assert accepted(1 / 3) and accepted(0.382)
    assert not accepted(0.25) and not accepted(0.50)


@pytest.mark.parametrize(("yaw", "accepted"), [(0.0, True), (5.0, True), (15.0, False)])
def test_a_turned_face_is_no_identity_photo(yaw: float, accepted: bool) -> None:
    one = photo(head(340, 600, 600), 600, 600, head_yaw_deg=yaw, light_ratio_stops=0.2)
    verdict = judged([one], ("identity photo US",)).verdict(0)
    assert (verdict.stars == 4) == accepted


@pytest.mark.parametrize(
    ("genre", "width", "wanted"),
    [("ISO", 0.62, True), ("ISO", 0.45, False), ("Greece", 0.60, True), ("Greece", 0.70, False)],
)
def test_width_of_the_head(genre: str, width: float, wanted: bool) -> None:
    """ISO/IEC 19794-5: 0.50 to 0.75 of the width; Greece: 20 to 25 mm of 40. Hair counts, so no fault."""
    points = head(300, 450, 350, 0.42)
    half = width / 2
    one = photo(replace(points, head_left=0.5 - half, head_right=0.5 + half), 350, 450)
    verdict = judged([one], (f"identity photo {genre}",)).verdict(0)
    reason = next(each for each in verdict.reasons if each.name == "head_width")
    assert reason.value == pytest.approx(width) and reason.stars_at_most is None
    assert (reason.desirability == 1) == wanted


def test_somebody_else_in_the_picture_is_a_dud() -> None:
    one = photo(head(340, 600, 600), 600, 600, head_yaw_deg=0.0, people=2)
    assert judged([one], ("identity photo US",)).verdict(0).stars == 1
