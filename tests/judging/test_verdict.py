"""Verdicts: the line served best, stars by elimination, keywords that separate frames."""

from dataclasses import replace

import pytest

from eyeline.judging.verdict import brief_digest
from eyeline.terms.measurement import Measurement, Value
from tests.judging.photos import judged, photo, sitter
from tests.judging.shipped import BRIEF, rules, vocabulary

HEADSHOT = ("corporate headshot",)


def verdict_of(*genres: str, five_stars: bool = False, **changed: Value):
    return judged([photo(**changed)], genres or HEADSHOT, five_stars).verdict(0)


def verdict_of_photo(of: dict[str, Measurement]):
    return judged([of], HEADSHOT).verdict(0)


def test_a_sound_headshot_is_the_best_that_eyeline_gives() -> None:
    verdict = verdict_of()
    assert (verdict.genre, verdict.stars) == ("corporate headshot", 4)
    assert verdict.keywords == ("headshot",)
    assert verdict.score > 0.97


def test_the_fifth_star_is_the_photographers_unless_handed_over() -> None:
    assert verdict_of().stars == 4
    assert verdict_of(five_stars=True).stars == 5


@pytest.mark.parametrize(
    ("changed", "stars", "keyword"),
    [
        ({"eyes_open": 0.02, "gaze": "closed"}, 1, "blink"),
        ({"eye_blur_iris": 0.12, "eye_blur_px": 4.6}, 1, "soft eyes"),
        ({"eye_blur_iris": 0.12, "eye_blur_px": 0.9}, 3, "check eyes"),
        ({"exposure_off_stops": -1.5}, 1, "flash misfire"),
        ({"face_clipped": 0.4}, 1, "burnt highlights"),
        ({"eyes_open": 0.05}, 2, "half blink"),
        ({"eyes_open": 0.05, "gaze": "closed", "gaze_confidence": 0.75}, 2, "half blink"),
        ({"eyes_open": 0.3}, 3, "check eyes"),
        ({"sitter_white": 0.2, "exposure_off_stops": None}, 3, "underexposed"),
        ({"sitter_white": 0.1, "frame_white": 0.3, "exposure_off_stops": None}, 2, "underexposed"),
        ({"eyes_open": 0.02, "gaze": "unsure", "gaze_confidence": 0.5}, 2, "half blink"),
        ({"gaze": "left", "gaze_yaw_deg": -20.0}, 2, "looks camera left"),
        ({"eyes_open": 0.5}, 3, "check eyes"),
        ({"gaze": "unsure", "gaze_confidence": 0.5}, 3, "check gaze"),
    ],
)
def test_eliminate_first(changed: dict[str, Value], stars: int, keyword: str) -> None:
    """Common practice, "Stars"."""
    verdict = verdict_of(**changed)
    assert verdict.stars == stars
    assert keyword in verdict.keywords


def test_a_dark_frame_among_frames_of_its_own_light_is_meant() -> None:
    """docs/measures.md, "Light": what is white decides only for a frame that has no other of its sitter."""
    assert verdict_of(sitter_white=0.2).stars == 4


def test_the_darker_a_frame_alone_the_lower_it_scores() -> None:
    whites = (0.8, 0.3, 0.14, 0.05)
    scores = [verdict_of(sitter_white=white, exposure_off_stops=None).score for white in whites]
    assert scores == sorted(scores, reverse=True) and len(set(scores)) == len(scores)


def test_hair_that_touches_the_top_edge_is_tight_and_no_cut_head() -> None:
    """By the usual height of a head over its face; in doubt between 2 and 3 it is 3."""
    touched = judged([photo(replace(sitter(0.23, 0.44), crown_y=0.0, crown_cut=True))], HEADSHOT).verdict(0)
    assert touched.stars == 3
    assert "headroom tight" in touched.keywords and "crown cropped" not in touched.keywords


def test_a_cut_chin_is_a_dud_and_a_cut_crown_is_weak() -> None:
    chin = judged([photo(sitter(0.60, 0.90))], HEADSHOT).verdict(0)
    crown = judged([photo(sitter(0.20, 0.50))], HEADSHOT).verdict(0)
    assert (chin.stars, crown.stars) == (1, 2)
    assert "chin crowded" in chin.keywords and "crown cropped" in crown.keywords


def test_in_doubt_between_two_and_three_it_is_three_with_a_word_to_check() -> None:
    """A gaze that is probably past the lens, but not surely, does not cost the star."""
    sure = verdict_of(gaze="left", gaze_yaw_deg=-12.0, gaze_confidence=0.95)
    doubtful = verdict_of(gaze="left", gaze_yaw_deg=-12.0, gaze_confidence=0.7)
    assert (sure.stars, doubtful.stars) == (2, 3)
    assert "check gaze" in doubtful.keywords


def test_a_frame_without_a_face_gets_no_stars_and_says_so() -> None:
    verdict = verdict_of(people=0)
    assert (verdict.stars, verdict.genre, verdict.keywords) == (None, "", ("no face",))
    assert verdict.reasons[0].sentence == "no face was found, so this is no portrait"


def test_a_face_without_features_is_no_dud_but_a_frame_to_look_at() -> None:
    """Common practice, "Stars": no stars, and a word for the person who looks."""
    unmeasured = {name: None for name in photo() if name not in ("people", "frame_format", "face_clipped")}
    verdict = verdict_of(**unmeasured)
    assert (verdict.stars, verdict.genre, verdict.keywords) == (None, "", ("check eyes",))
    assert [each.name for each in verdict.reasons] == ["no_features"]
    assert "eyes, nose and mouth" in verdict.reasons[0].sentence


@pytest.mark.parametrize("measure", ["eyes_open", "eye_blur_iris"])
def test_what_could_not_be_measured_is_doubt_and_not_perfection(measure: str) -> None:
    """Common practice, "Stars": no 4 without the eyes and their sharpness measured."""
    verdict, sound = verdict_of(**{measure: None}), verdict_of()
    assert verdict.stars == 3
    assert "check eyes" in verdict.keywords
    assert verdict.score < sound.score


def test_eyes_in_the_lens_do_not_look_out_of_the_frame_whatever_the_face_does() -> None:
    """docs/measures.md: what is said of lead room is then said of the face, and costs little."""
    place = sitter(0.34, 0.44, 0.68)
    aside = verdict_of_photo(photo(place, head_yaw_deg=25.0))
    away = verdict_of_photo(photo(place, head_yaw_deg=25.0, gaze="right", gaze_yaw_deg=25.0))
    central = verdict_of_photo(photo(place, head_yaw_deg=5.0))
    assert "looks out of frame" in away.keywords and away.stars == 2
    assert "looks out of frame" not in aside.keywords
    assert central.score - aside.score < 0.02 < aside.score - away.score


def test_what_half_of_all_portraits_show_is_remarked_and_not_written() -> None:
    """Common practice, "Keywords": no word stands on a third of all frames of ordinary shoots."""
    verdict = verdict_of(teeth_showing=True, head_yaw_deg=1.0)
    assert verdict.remarks == ("square to camera", "teeth showing")
    assert not {"square to camera", "teeth showing"} & set(verdict.keywords)


def test_a_frame_that_does_its_job_on_one_line_is_not_punished_by_another() -> None:
    """Common practice, "The brief"."""
    tight = photo(sitter(0.38, 1.0, width=2000), width=2000, height=2000)
    loose = photo(sitter(0.35, 0.31, 0.35, 3000, 2000), 3000, 2000)
    toward = photo(
        sitter(0.33, 0.40, 0.34, 3000, 2000),
        3000,
        2000,
        gaze="right",
        gaze_yaw_deg=22.0,
        head_yaw_deg=20.0,
        copy_space="right",
        copy_space_right=0.4,
        copy_space_contrast=8.0,
    )
    judgement = judged([tight, loose, toward, photo()])
    served = [judgement.verdict(row).genre for row in range(4)]
    assert served == ["tight close crop", "loose keeper", "copy space right", "corporate headshot"]
    assert [judgement.verdict(row).stars for row in range(4)] == [4, 4, 4, 4]
    assert "crown cropped" not in judgement.verdict(0).keywords


def test_the_verdict_tells_the_score_on_every_line_asked_for() -> None:
    verdict = judged([photo()]).verdict(0)
    assert tuple(name for name, _ in verdict.scores) == BRIEF
    assert verdict.score == max(value for _, value in verdict.scores)


def test_of_two_lines_the_one_with_more_stars_is_served_before_the_one_with_more_score() -> None:
    looks_away = photo(
        sitter(0.33, 0.40, 0.34, 3000, 2000),
        3000,
        2000,
        gaze="right",
        gaze_yaw_deg=22.0,
        head_yaw_deg=20.0,
        copy_space="right",
        copy_space_right=0.09,
        copy_space_contrast=3.0,
        eye_blur_iris=0.05,
    )
    verdict = judged([looks_away]).verdict(0)
    assert verdict.genre in ("copy space right", "loose keeper")
    assert verdict.stars is not None and verdict.stars >= 3


def test_for_advertising_a_look_toward_the_text_outranks_one_away_and_for_headshots_the_lens() -> None:
    """published values: sign test."""
    place = sitter(0.33, 0.40, 0.34, 3000, 2000)
    free = {"copy_space": "right", "copy_space_right": 0.4, "copy_space_contrast": 8.0}
    toward = photo(place, 3000, 2000, gaze="right", gaze_yaw_deg=22.0, head_yaw_deg=20.0, **free)
    away = photo(place, 3000, 2000, gaze="left", gaze_yaw_deg=-22.0, head_yaw_deg=-20.0, **free)
    camera = photo(place, 3000, 2000, head_yaw_deg=9.0, **free)
    judgement = judged([toward, away, camera], ("copy space right", "corporate headshot"))
    advertising, headshot = judgement.scores.T
    assert advertising[0] > advertising[2] > advertising[1]
    assert headshot[2] > max(headshot[0], headshot[1])


def test_at_most_eight_keywords_and_the_surest_are_kept() -> None:
    verdict = verdict_of(
        eyes_open=0.6,
        gaze="left",
        gaze_confidence=0.6,
        gaze_yaw_deg=-20.0,
        people=3,
        eye_blur_iris=0.07,
        face_clipped=0.2,
        face_crushed=0.3,
        glasses_glare=0.4,
        teeth_showing=True,
        head_roll_deg=12.0,
        head_pitch_deg=20.0,
        camera_height="low",
    )
    assert len(verdict.keywords) == 8
    assert verdict.keywords[:2] == ("check eyes", "check gaze")
    assert "teeth showing" not in verdict.keywords


def test_a_dud_serves_no_line_so_no_keyword_names_one() -> None:
    assert "headshot" not in verdict_of(eyes_open=0.02).keywords


def test_photos_are_judged_alike_alone_and_together() -> None:
    photos = [photo(), photo(eyes_open=0.02), photo(gaze="unsure"), photo(people=0), photo(sitter(0.5, 0.3))]
    together = judged(photos)
    for row, each in enumerate(photos):
        one, among = judged([each]).verdict(0), together.verdict(row)
        assert (one.genre, one.stars, one.keywords) == (among.genre, among.stars, among.keywords)
        assert [reason.sentence for reason in one.reasons] == [reason.sentence for reason in among.reasons]
        assert dict(one.scores) == pytest.approx(dict(among.scores), abs=1e-12)


def test_the_rules_digest_tells_briefs_and_words_apart() -> None:
    books = [rules().genre(name) for name in ("corporate headshot", "team page")]
    digests = {
        brief_digest(books, vocabulary()),
        brief_digest(books[::-1], vocabulary()),
        brief_digest(books[:1], vocabulary()),
        brief_digest(books, replace(vocabulary(), prefix="ey: ")),
    }
    assert len(digests) == 4
    assert judged([photo()], ("team page",)).rules_digest == brief_digest(books[1:], vocabulary())


def test_a_group_is_judged_by_the_spread_of_its_faces_and_its_outermost_heads() -> None:
    """Common practice, group: spread at most 1.3, outer heads half a head from the edge."""
    together = {"people": 3, "face_spread": 1.2, "outer_edge_room": 0.6}
    sound, spread, cramped = judged(
        [
            photo(**together),
            photo(**{**together, "face_spread": 1.8}),
            photo(**{**together, "outer_edge_room": 0.1}),
        ],
        ("group",),
    ).scores[:, 0]
    assert sound > spread and sound > cramped


TWO: dict[str, Value] = {
    "people": 2,
    "others": 1,
    "others_untold": 0,
    "others_eyes_open": 0.97,
    "others_blur_least": 0.02,
    "others_blur_most": 0.02,
    "face_spread": 1.1,
    "outer_edge_room": 0.7,
}


@pytest.mark.parametrize(
    ("changed", "stars", "keyword"),
    [
        ({"others_eyes_open": 0.02}, 2, "blink"),
        ({"others_eyes_open": 0.5}, 3, "check eyes"),
        ({"others_eyes_open": None, "others_untold": 1}, 3, "check eyes"),
        ({"others_blur_most": 0.12}, 2, "soft eyes"),
    ],
)
def test_every_face_of_a_group_counts(changed: dict[str, Value], stars: int, keyword: str) -> None:
    """Common practice, "Stars" and group: all eyes open."""
    assert judged([photo(**TWO)], ("group",)).verdict(0).stars == 4
    verdict = judged([photo(**{**TWO, **changed})], ("group",)).verdict(0)
    assert verdict.stars == stars
    assert keyword in verdict.keywords


def test_a_second_sharp_face_is_no_portrait_of_one_person_and_a_blurred_passer_by_is() -> None:
    """Common practice, "Stars": at most 3 on a line for one person."""
    assert verdict_of(**TWO).stars == 3
    assert verdict_of(**TWO).reasons[0].name == "second_face"
    assert verdict_of(**{**TWO, "others_blur_least": None, "others_untold": 1}).stars == 3
    assert verdict_of(**{**TWO, "others_blur_least": 0.15, "others_blur_most": 0.15}).stars == 4
