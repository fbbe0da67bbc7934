from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as some

from eyeline.judging.vocabulary import Vocabulary, Word
from eyeline.sitting.ranking import ALTERNATE, BEST, Judged, best_of_series
from eyeline.terms.measurement import Measurement
from eyeline.terms.verdict import Verdict

WORDS = Vocabulary(
    tuple(
        Word(each, each, False)
        for each in ("check eyes", "headshot", BEST, ALTERNATE, "blink", "a", "b", "c", "d")
    )
)


def frame(
    name: str,
    stars: int | None = 4,
    score: float = 0.95,
    blur: float | None = 0.012,
    eyes: float = 0.99,
    series: str | None = "s",
    keywords: tuple[str, ...] = ("headshot",),
) -> Judged:
    verdict = Verdict("corporate headshot", score, stars, keywords, (), (), "0")
    missing = None if blur is not None else "closed"
    return Judged(
        name,
        series,
        verdict,
        {
            "eye_blur_iris": Measurement("eye_blur_iris", blur, missing),
            "eyes_open": Measurement("eyes_open", eyes),
        },
    )


def ranks(*frames: Judged) -> list[int | None]:
    return [each.rank for each in best_of_series(frames, WORDS)]


def test_faults_first_then_eyes_then_sharpness_then_the_rest() -> None:
    assert ranks(frame("blink", stars=1), frame("sound")) == [2, 1]
    assert ranks(frame("narrow", eyes=0.6, score=0.97), frame("open", score=0.93)) == [2, 1]
    assert ranks(frame("soft", blur=0.03, score=0.97), frame("sharp", score=0.93)) == [2, 1]
    assert ranks(frame("well framed", score=0.97), frame("framed", score=0.93)) == [1, 2]


def test_differences_that_nobody_sees_do_not_outrank_framing() -> None:
    assert ranks(frame("a hair softer", blur=0.014, score=0.97), frame("sharp", blur=0.011, score=0.93)) == [
        1,
        2,
    ]


def test_one_is_best_near_equals_are_alternates() -> None:
    placed = best_of_series(
        [frame("b", score=0.95), frame("a", score=0.97), frame("soft", blur=0.03), frame("blink", stars=1)],
        WORDS,
    )
    assert [each.verdict.keywords for each in placed] == [
        ("headshot", ALTERNATE),
        ("headshot", BEST),
        ("headshot",),
        ("headshot",),
    ]


def test_twins_go_to_three_and_say_so() -> None:
    first, second = best_of_series([frame("a", score=0.97), frame("b")], WORDS)
    assert (first.verdict.stars, second.verdict.stars) == (4, 3)
    (reason,) = second.verdict.reasons
    assert reason.sentence == "2nd of 2 in its series; the best is a" and reason.stars_at_most == 3


def test_a_series_without_a_sound_frame_has_no_best() -> None:
    placed = best_of_series([frame("a", stars=2), frame("b", stars=1)], WORDS)
    assert all(each.verdict.keywords == ("headshot",) for each in placed)


def test_a_frame_of_no_series_keeps_its_verdict() -> None:
    lone, same = frame("a", series=None), frame("b", series="only one")
    for judged, placed in zip((lone, same), best_of_series([lone, same], WORDS), strict=True):
        assert placed.verdict is judged.verdict and placed.rank is None


def test_the_words_keep_their_order_and_are_at_most_eight() -> None:
    many = ("check eyes", "headshot", "blink", "a", "b", "c", "d", "own")
    best, _ = best_of_series([frame("x", keywords=many, score=0.97), frame("y")], WORDS)
    assert best.verdict.keywords == ("check eyes", "headshot", BEST, "blink", "a", "b", "c", "d")


def test_words_that_the_photographer_renamed_are_written_so() -> None:
    renamed = Vocabulary((Word("headshot", "Porträt", False), Word(BEST, "die Beste", True)), prefix="x: ")
    best, other = best_of_series([frame("a", score=0.97, keywords=("x: Porträt",)), frame("b")], renamed)
    assert best.verdict.keywords == ("x: Porträt", "x: die Beste")
    assert other.verdict.keywords == ("headshot",)  # a vocabulary without the word writes none


FRAMES = some.lists(
    some.builds(
        frame,
        some.just("n"),
        some.sampled_from([None, 1, 2, 3, 4, 5]),
        some.floats(0, 1),
        some.one_of(some.none(), some.floats(0, 0.2)),
        some.floats(0, 1),
        some.sampled_from([None, "s", "t"]),
    ),
    max_size=12,
)


@given(FRAMES)
def test_laws(frames: list[Judged]) -> None:
    placed = best_of_series(frames, WORDS)
    for before, after in zip(frames, placed, strict=True):
        if before.verdict.stars is None or before.verdict.stars <= 3:
            assert after.verdict.stars == before.verdict.stars  # nothing sound falls, nothing rises
        else:
            assert after.verdict.stars in (3, before.verdict.stars)
    for series in ("s", "t"):
        inside = [each for frame, each in zip(frames, placed, strict=True) if frame.series == series]
        portraits = [each for each in inside if each.verdict.stars is not None]
        if len(portraits) > 1:
            assert sum((each.verdict.stars or 0) >= 4 for each in portraits) <= 1
            assert sorted(each.rank or 0 for each in portraits) == list(range(1, len(portraits) + 1))
            words = Counter(word for each in portraits for word in each.verdict.keywords)
            sound = any((each.verdict.stars or 0) >= 3 for each in portraits)
            assert words[BEST] == int(sound)
