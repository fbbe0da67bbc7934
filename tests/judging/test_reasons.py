"""Reasons: heaviest loss first, each with value, ideal, what it cost, in a sentence."""

import pytest

from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import read_rules
from tests.judging.photos import judged, photo, sitter
from tests.judging.shipped import QUANTITIES, shipped_files, vocabulary

HEADSHOT = ("corporate headshot",)


def test_the_sentence_speaks_plain_english() -> None:
    verdict = judged([photo(sitter(0.24, 0.44))], HEADSHOT).verdict(0)
    headroom = next(each for each in verdict.reasons if each.name == "headroom")
    assert headroom.sentence == "the crown is 1.6 % from the top edge; this genre wants 6 to 12 %"
    assert (headroom.ideal, headroom.measure) == ("6 to 12 %", "headroom")
    assert headroom.value == pytest.approx(0.24 - 0.51 * 0.44)


def test_what_is_as_wanted_is_praised_and_what_is_not_says_what_is_wanted() -> None:
    verdict = judged([photo(head_pitch_deg=-13.0, gaze="left", gaze_yaw_deg=-20.0)], HEADSHOT).verdict(0)
    said = {each.name: each.sentence for each in verdict.reasons}
    assert said["headroom"] == "the headroom is right, 12 % of the height"
    assert said["eyes"] == "the eyes are open"
    assert said["pitch"] == "the chin is down by 13°; this genre wants -6 to 6°"
    assert said["gaze"] == "the eyes look to camera left; this genre wants them into the lens"
    level = judged([photo(head_pitch_deg=-3.0)], HEADSHOT).verdict(0)
    assert "the chin is level" in [each.sentence for each in level.reasons]


def test_a_genre_that_has_no_praise_says_the_first_half() -> None:
    own = RuleFile("own.toml", 'name = "corporate headshot"\n[criteria.eyes]\nsays = "{value} open; {ideal}"')
    found = read_rules([*shipped_files(), own], QUANTITIES.values(), vocabulary())
    assert found.mistakes == ()
    criteria = {each.name: each for each in found.genre("corporate headshot").criteria}
    assert criteria["eyes"].well == "the eyes are open", "it is inherited"
    bare = RuleFile(
        "own.toml",
        'name = "own"\ninherits = "corporate headshot"\n[criteria.extra]\nmeasure = "separation"\n'
        'at_least = 1\nworst = 0\nsays = "it is {value}; {ideal} is wanted"',
    )
    found = read_rules([*shipped_files(), bare], QUANTITIES.values(), vocabulary())
    criteria = {each.name: each for each in found.genre("own").criteria}
    assert criteria["extra"].well == "it is {value}"


def test_the_heaviest_loss_comes_first_and_faults_before_all() -> None:
    shut = photo(eyes_open=0.05, gaze="closed", head_roll_deg=10.0, face_clipped=0.22)
    verdict = judged([shut], HEADSHOT).verdict(0)
    faults = [each.stars_at_most for each in verdict.reasons if each.stars_at_most is not None]
    costs = [each.cost for each in verdict.reasons if each.stars_at_most is None]
    assert faults == [1, 2]
    assert [each.stars_at_most is not None for each in verdict.reasons[:2]] == [True, True]
    assert costs == sorted(costs, reverse=True)
    assert verdict.reasons[2].name == "eyes"


def test_the_first_reason_is_the_one_that_binds() -> None:
    """Common practice: a doubt that takes no star does not stand before what keeps the stars away."""
    doubt = {"gaze": "unsure", "gaze_confidence": 0.5}
    headshot = judged([photo(**doubt)], HEADSHOT).verdict(0)
    small = judged([photo(sitter(0.34, 0.20), **doubt)], HEADSHOT).verdict(0)
    assert (headshot.stars, small.stars) == (3, 3)
    assert headshot.reasons[0].name == "gaze_in_doubt"
    assert [each.name for each in small.reasons[:2]] == ["head_height", "gaze_in_doubt"]


def test_a_cost_is_the_score_without_the_criterion_less_the_score_with_it() -> None:
    """Recomputed by hand from the reasons' own desirabilities and weights, with the floor of 0.05."""
    verdict = judged([photo(sitter(0.45, 0.35), eye_blur_iris=0.05)], HEADSHOT).verdict(0)
    judged_by = [each for each in verdict.reasons if each.desirability is not None]

    def mean(reasons: list) -> float:  # type: ignore[type-arg]
        product, total = 1.0, sum(each.weight for each in reasons)
        for each in reasons:
            product *= (0.05 + 0.95 * each.desirability) ** (each.weight / total)
        return product

    assert mean(judged_by) == pytest.approx(verdict.score)
    for each in judged_by:
        without = mean([other for other in judged_by if other is not each])
        assert each.cost == pytest.approx(max(0.0, without - verdict.score), abs=1e-12)
    assert judged_by[0].cost > 0.02


def test_what_is_unsure_is_said_to_be_left_out_and_costs_nothing() -> None:
    verdict = judged([photo(gaze="unsure")], HEADSHOT).verdict(0)
    gaze = next(each for each in verdict.reasons if each.name == "gaze")
    assert (gaze.desirability, gaze.cost, gaze.value) == (None, 0.0, "unsure")
    assert "left out" in gaze.sentence


def test_what_could_not_be_measured_and_counts_as_doubt_says_so() -> None:
    verdict = judged([photo(eye_blur_iris=None)], HEADSHOT).verdict(0)
    sharp = next(each for each in verdict.reasons if each.name == "sharp_eye")
    assert sharp.sentence == "sharp eye could not be measured, which counts as a doubt"
    assert (sharp.value, sharp.desirability) == (None, 0.5) and sharp.cost > 0


def test_what_does_not_apply_is_not_mentioned() -> None:
    upright = judged([photo()], HEADSHOT).verdict(0)
    assert "across_landscape" not in [each.name for each in upright.reasons]
    assert "across" in [each.name for each in upright.reasons]


def test_a_requirement_that_is_not_met_is_a_reason_with_its_cost() -> None:
    verdict = judged([photo()], ("loose keeper",)).verdict(0)
    reason = next(each for each in verdict.reasons if each.name == "landscape")
    assert reason.sentence == "this genre wants a landscape frame"
    assert reason.value == "portrait"
    assert reason.cost == pytest.approx(verdict.score / 0.4 - verdict.score)


def test_one_of_several_ideals_speaks_of_the_one_that_was_nearest() -> None:
    off_third = photo(sitter(0.31, 0.38, 0.36), camera_height="low")
    verdict = judged([off_third], ("from below",)).verdict(0)
    across = next(each for each in verdict.reasons if each.name == "across_either")
    assert across.measure == "third_distance"
    assert across.ideal == "third distance at most 6 % or centre distance at most 5 %"


def test_what_is_left_out_is_told_by_what_it_asks_and_denies_nothing_that_is_praised() -> None:
    """ "exposure could not be measured" beside "there is light enough" would be two opinions."""
    alone = photo(exposure_off_stops=None, gaze="unsure")
    said = {each.name: each.sentence for each in judged([alone], HEADSHOT).verdict(0).reasons}
    assert said["exposure"] == (
        "whether the face is as bright as in this sitter's other frames is left out of the verdict: "
        "it could not be measured"
    )
    assert said["gaze"] == "gaze is left out of the verdict: the measure is not sure", "its praise is {value}"
