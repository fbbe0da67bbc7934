"""Crops: the best rectangle by the genre's own criteria, or the reason why there is none."""

import random
from dataclasses import replace

import numpy as np
import pytest

from eyeline.cropping.suggest import FRAMES_AT_ONCE, Suggestions, Uncropped, suggestions
from eyeline.judging.columns import columns_of
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.rules import read_rules
from eyeline.judging.score import score
from eyeline.measuring.framing import WORDS, framing, look_of
from eyeline.terms.measurement import Measurement, Value
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop
from tests.judging.photos import photo, sitter
from tests.judging.shipped import QUANTITIES, rules, shipped_files, vocabulary

LOOSE = sitter(0.38, 0.30, 0.45, 6000, 4000)


def crops_of(
    points: Points = LOOSE,
    width: int = 6000,
    height: int = 4000,
    genre: str = "corporate headshot",
    **changed: Value,
) -> Suggestions:
    return suggest(points, width, height, photo(points, width, height, **changed), rules().genre(genre))


def suggest(
    points: Points, width: int, height: int, measured: dict[str, Measurement], genre: Rulebook
) -> Suggestions:
    """The crops of one frame."""
    (found,) = suggestions([Uncropped(points, width, height, measured)], genre, QUANTITIES.values())
    return found


def framed(crop: Crop, points: Points, width: int, height: int, look: int = 0) -> dict[str, float]:
    """Framing of a crop, measured anew from its area."""
    area = crop.area
    window = np.array([[area.left, area.top, area.width, area.height]])
    return {name: float(column[0]) for name, column in framing(points, window, width, height, look).items()}


def test_a_loose_frame_yields_every_format_and_each_is_better_than_the_frame() -> None:
    found = crops_of()
    assert [crop.format_name for crop in found.crops] == ["4:5", "1:1", "5:7", "2:3"]
    assert found.no_crops == ()
    for crop in found.crops:
        assert crop.score > 0.95 > crop.as_shot
        assert crop.sentence == (
            f"{crop.format_name} from this frame: {crop.as_shot:.2f} as shot, {crop.score:.2f} cropped"
        )


def test_a_crop_has_the_framing_that_its_genre_wants() -> None:
    crop = crops_of().crops[0]
    inside = framed(crop, LOOSE, 6000, 4000)
    assert 0.29 <= inside["eye_line"] <= 0.39
    assert 0.05 <= inside["headroom"] <= 0.13
    assert 0.37 <= inside["head_height"] <= 0.51
    assert inside["centre_distance"] <= 0.06


def test_the_stated_score_is_that_of_the_cropped_frame() -> None:
    """Judged again as if the crop were a frame of its own."""
    measured = photo(LOOSE, 6000, 4000)
    genre = rules().genre("corporate headshot")
    for crop in suggest(LOOSE, 6000, 4000, measured, genre).crops:
        area = crop.area
        window = np.array([[area.left, area.top, area.width, area.height]])
        anew = columns_of([measured], QUANTITIES.values()).replaced(
            1, framing(LOOSE, window, 6000, 4000, look_of(measured)), WORDS
        )
        assert crop.score == pytest.approx(float(score(genre, anew).value[0]), abs=1e-9)


def test_the_search_finds_what_a_dense_search_finds() -> None:
    """Against every position of a fine grid: at most 0.01 of the score is lost."""
    genre = rules().genre("corporate headshot")
    chance = random.Random(3)
    for _ in range(6):
        points = sitter(
            chance.uniform(0.3, 0.5), chance.uniform(0.2, 0.5), chance.uniform(0.3, 0.7), 6000, 4000
        )
        measured = photo(points, 6000, 4000)
        found = suggest(points, 6000, 4000, measured, genre)
        columns = columns_of([measured], QUANTITIES.values())
        for crop in found.crops:
            ratio = crop.width / crop.height
            heights = np.linspace(max(1000, 0.31 * 4000), min(4000, 6000 / ratio), 24)
            boxes = [
                (left / 6000, top / 4000, high * ratio / 6000, high / 4000)
                for high in heights
                for left in np.linspace(0, 6000 - high * ratio, 24)
                for top in np.linspace(0, 4000 - high, 24)
            ]
            dense = np.array(boxes)
            tried = columns.replaced(len(dense), framing(points, dense, 6000, 4000, look_of(measured)), WORDS)
            assert crop.score >= float(score(genre, tried).value.max()) - 0.01


@pytest.mark.parametrize("genre", ["corporate headshot", "performer headshot", "team page", "loose keeper"])
def test_laws_of_every_crop(genre: str) -> None:
    """Inside the frame, the ratio kept, enough pixels, crown and chin and other heads whole."""
    chance = random.Random(5)
    for _ in range(40):
        width, height = chance.choice([(6000, 4000), (4000, 6000), (4500, 4500)])
        head = chance.uniform(0.15, 0.6)
        points = sitter(0.51 * head + chance.uniform(0, 0.3), head, chance.uniform(0.25, 0.75), width, height)
        beside = Rectangle(chance.uniform(0, 0.8), chance.uniform(0, 0.6), 0.1, 0.2)
        points = replace(points, others=(beside,) if chance.random() < 0.5 else ())
        yaw = chance.uniform(-40, 40)
        past_the_lens = abs(yaw) >= 10 and chance.random() < 0.5
        look = {"gaze": "right" if yaw > 0 else "left", "gaze_yaw_deg": yaw} if past_the_lens else {}
        found = crops_of(points, width, height, genre, head_yaw_deg=yaw, **look)
        book = rules().genre(genre)
        sizes = {each.name: each for each in book.formats}
        assert {crop.format_name for crop in found.crops} | {no.format_name for no in found.no_crops} == set(
            sizes
        )
        for crop in found.crops:
            area, shape = crop.area, sizes[crop.format_name]
            assert area.left >= 0 and area.top >= 0 and area.right <= 1 + 1e-9 and area.bottom <= 1 + 1e-9
            assert area.width * width == pytest.approx(crop.width)
            assert crop.width >= shape.width - 1 and crop.height >= shape.height - 1
            if min(crop.width, crop.height) >= 1000:
                assert abs(crop.width / crop.height - shape.ratio) / shape.ratio <= 0.002
            assert area.top <= (points.crown_y or 0) and points.chin[1] <= area.bottom
            for other in points.others:
                apart = (
                    other.right <= area.left
                    or other.left >= area.right
                    or other.bottom <= area.top
                    or other.top >= area.bottom
                )
                inside = area.left <= other.left and other.right <= area.right
                inside = inside and area.top <= other.top and other.bottom <= area.bottom
                assert apart or inside
            if past_the_lens:
                side = 1 if yaw > 0 else -1
                assert framed(crop, points, width, height, side)["lead_room"] >= 0
            assert crop.score >= book.crop_minimum


def test_room_goes_to_the_side_of_the_look() -> None:
    points = replace(LOOSE, calm=(Rectangle(0.62, 0.0, 0.38, 1.0), Rectangle(0.0, 0.0, 0.28, 1.0)))
    for side, word in ((1, "right"), (-1, "left")):
        found = crops_of(
            points,
            genre=f"copy space {word}",
            gaze=word,
            gaze_yaw_deg=22.0 * side,
            head_yaw_deg=20.0 * side,
            copy_space="both",
            copy_space_left=0.28,
            copy_space_right=0.38,
            copy_space_contrast=9.0,
        )
        assert found.crops
        for crop in found.crops:
            assert framed(crop, points, 6000, 4000, side)["lead_room"] > 0.1


def test_mirrored_frames_have_mirrored_crops() -> None:
    mirrored = replace(
        LOOSE,
        pupil_left=(1 - LOOSE.pupil_right[0], LOOSE.pupil_right[1]),
        pupil_right=(1 - LOOSE.pupil_left[0], LOOSE.pupil_left[1]),
        chin=(1 - LOOSE.chin[0], LOOSE.chin[1]),
        head_left=1 - LOOSE.head_right,
        head_right=1 - LOOSE.head_left,
    )
    one = crops_of(head_yaw_deg=15.0).crops
    other = crops_of(mirrored, head_yaw_deg=-15.0).crops
    for crop, twin in zip(one, other, strict=True):
        assert crop.score == pytest.approx(twin.score, abs=0.01)


def test_the_tight_crop_may_cut_the_crown_and_never_the_chin() -> None:
    close = sitter(0.45, 0.62, 0.5, 4000, 5000)
    found = crops_of(close, 4000, 5000, genre="tight close crop")
    crop = next(each for each in found.crops if each.format_name == "1:1")
    inside = framed(crop, close, 4000, 5000)
    assert inside["crown_cut"] == 1
    assert 0.40 < inside["eye_to_chin"] < 0.55
    assert inside["chin_room"] > 0.05


def reasons(found: Suggestions) -> set[str]:
    assert found.crops == ()
    return {each.reason for each in found.no_crops}


def test_too_few_pixels_are_said_with_the_numbers() -> None:
    (reason,) = reasons(crops_of(sitter(0.34, 0.44, 0.5, 1000, 1250), 1000, 1250, "performer headshot"))
    assert reason == "needs 1600 × 2000 pixels; the largest 4:5 in this frame has 1000 × 1250"


def test_what_the_frame_cut_no_crop_gives_back() -> None:
    assert reasons(crops_of(sitter(0.20, 0.50), 1600, 2000)) == {"the frame itself cuts the crown"}
    assert reasons(crops_of(sitter(0.60, 0.90), 1600, 2000)) == {"the frame itself cuts the chin"}


def test_a_crown_that_cannot_be_told_is_not_risked() -> None:
    unknown = replace(LOOSE, crown_y=None, crown_missing="dark hair on a dark backdrop")
    (reason,) = reasons(crops_of(unknown))
    assert "cannot be told: dark hair on a dark backdrop" in reason


def test_a_look_in_doubt_is_cropped_all_the_same() -> None:
    """Three stars and a person looks: that person may want the crop."""
    assert crops_of(gaze="unsure").crops
    assert crops_of(gaze="left", gaze_yaw_deg=-12.0, gaze_confidence=0.6, head_yaw_deg=0.0).crops


def test_closed_eyes_stay_closed() -> None:
    assert reasons(crops_of(eyes_open=0.02, gaze="closed")) == {"no crop mends this: the eyes are closed"}


def test_a_crop_that_is_no_better_than_the_least_is_not_suggested() -> None:
    strict = RuleFile("own.toml", 'name = "corporate headshot"\n[crops]\nminimum = 0.999\n')
    found = read_rules([*shipped_files(), strict], QUANTITIES.values(), vocabulary())
    measured = photo(LOOSE, 6000, 4000, eye_blur_iris=0.05)
    answer = suggest(LOOSE, 6000, 4000, measured, found.genre("corporate headshot"))
    assert answer.crops == ()
    assert all("this genre suggests none below 1.00" in each.reason for each in answer.no_crops)


def test_somebody_elses_head_is_not_cut_or_there_is_no_crop() -> None:
    crowded = replace(
        LOOSE,
        others=(
            Rectangle(LOOSE.head_right + 0.01, 0.0, 0.5, 1.0),
            Rectangle(0.0, 0.0, LOOSE.head_left - 0.01, 1.0),
        ),
    )
    found = crops_of(crowded)
    assert any("somebody else" in each.reason for each in found.no_crops)


def test_measurements_that_are_missing_are_no_obstacle() -> None:
    measured = {
        name: Measurement(name, None, "not taken") if name.startswith(("gaze", "eye_blur", "light")) else each
        for name, each in photo(LOOSE, 6000, 4000).items()
    }
    genre = rules().genre("corporate headshot")
    assert suggest(LOOSE, 6000, 4000, measured, genre).crops


def test_frames_are_cropped_alike_alone_and_in_company() -> None:
    """Sizes, looks, other people, hopeless frames: none of it reaches another frame."""
    chance = random.Random(8)
    frames = []
    for _ in range(2 * FRAMES_AT_ONCE + 3):
        width, height = chance.choice([(6000, 4000), (4000, 6000), (900, 700)])
        head = chance.uniform(0.2, 0.6)
        points = sitter(
            0.51 * head + chance.uniform(-0.05, 0.3), head, chance.uniform(0.3, 0.7), width, height
        )
        beside = tuple(
            Rectangle(chance.uniform(0, 0.8), 0.2, 0.1, 0.2) for _ in range(chance.choice([0, 1, 2]))
        )
        calm = tuple(
            Rectangle(chance.uniform(0, 0.6), 0.0, 0.35, 0.9) for _ in range(chance.choice([0, 1, 2]))
        )
        points = replace(points, others=beside, calm=calm)
        yaw, open_eyes = chance.uniform(-40, 40), chance.choice([0.02, 0.97, 0.97])
        measured = photo(points, width, height, head_yaw_deg=yaw, eyes_open=open_eyes, copy_space="both")
        frames.append(Uncropped(points, width, height, measured))
    cropped = 0
    for name in ("corporate headshot", "copy space right", "tight close crop", "loose keeper"):
        genre = rules().genre(name)
        together = suggestions(frames, genre, QUANTITIES.values())
        alone = [
            suggest(each.points, each.width, each.height, dict(each.measurements), genre) for each in frames
        ]
        cropped += sum(len(each.crops) for each in together)
        assert any(each.no_crops for each in together)
        for one, other in zip(together, alone, strict=True):
            assert one.no_crops == other.no_crops
            assert [each.area for each in one.crops] == [each.area for each in other.crops]
            assert [each.score for each in one.crops] == pytest.approx([each.score for each in other.crops])
    assert cropped > 2 * len(frames)
