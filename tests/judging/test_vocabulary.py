"""The vocabulary: words with translations, renamed without touching a rule."""

from eyeline.judging.rule_file import RuleFile
from eyeline.judging.verdict import NO_FACE
from eyeline.judging.vocabulary import read_vocabulary
from eyeline.sitting.ranking import ALTERNATE, BEST
from tests.judging.shipped import ROOT, rules, vocabulary

SHIPPED = RuleFile(
    "vocabulary.toml",
    """
[words]
"check gaze" = { translations = { de = "Blick prüfen" }, working = true }
"headshot" = { translations = { de = "Porträtkopf" } }
"profile" = {}
""",
)


def texts(*files: RuleFile) -> tuple[str, ...]:
    words, mistakes = read_vocabulary(files)
    assert mistakes == ()
    return words.written(words.ids)


def test_words_are_written_in_english_unless_said_otherwise() -> None:
    assert texts(SHIPPED) == ("check gaze", "headshot", "profile")


def test_another_language_falls_back_to_english_word_by_word() -> None:
    assert texts(SHIPPED, RuleFile("own", 'language = "de"')) == ("Blick prüfen", "Porträtkopf", "profile")


def test_a_photographer_renames_a_word_and_puts_a_prefix_before_all() -> None:
    own = RuleFile("own", 'prefix = "ey: "\n[words]\n"headshot" = { write = "HS" }')
    assert texts(SHIPPED, own) == ("ey: check gaze", "ey: HS", "ey: profile")


def test_every_word_of_the_trade_is_written_or_remarked_by_some_rule() -> None:
    """Those of the whole set are written by what ranks it, and `no face` where there is nothing to judge."""
    written = {BEST, ALTERNATE, NO_FACE}
    for genre in rules().genres.values():
        written |= {keyword.word for keyword in (*genre.keywords, *genre.remarks)}
        written |= {word for word in (genre.keyword, *(fault.keyword for fault in genre.faults)) if word}
    assert {word.strip() for word in TRADE.split(",")} <= written


def test_working_words_are_known_as_they_are_written() -> None:
    words, _ = read_vocabulary([SHIPPED, RuleFile("own", 'prefix = "ey: "')])
    assert words.working == {"ey: check gaze"}


def test_all_mistakes_of_a_file_at_once_and_the_file_left_out() -> None:
    own = RuleFile(
        "own.toml",
        """langage = "de"
[words]
"headshot" = { write = " x " }
"profile" = { translations = { german = 3 } }
""",
    )
    words, mistakes = read_vocabulary([SHIPPED, own])
    assert [(each.line, each.nearest) for each in mistakes] == [(1, "language"), (3, None), (4, None)]
    assert words.written(["headshot"]) == ("headshot",)
    too_long = RuleFile("own.toml", f'[words]\n"headshot" = {{ write = "{"x" * 65}" }}')
    assert "64" in str(read_vocabulary([SHIPPED, too_long])[1][0])


def test_every_shipped_word_has_a_german_and_a_french_name() -> None:
    path = ROOT / "rules" / "vocabulary.toml"
    shipped = RuleFile("vocabulary.toml", path.read_text("utf-8"))
    for language in ("de", "fr"):
        words, mistakes = read_vocabulary([shipped, RuleFile("own", f'language = "{language}"')])
        assert mistakes == ()
        same = [word.id for word in words.words if word.text == word.id]
        assert same == []


TRADE = """headshot, tight crop, loose frame, copy space left, copy space right, low camera,
    high camera, team match, off team, best of series, alternate, eyes to camera, looks camera left,
    looks camera right, looks up, looks down, profile, three-quarter face, square to camera, chin up,
    head tilt, blink, half blink, teeth showing, mouth closed, glasses glare, no catchlights,
    headroom tight, crown cropped, chin crowded, tight to edge, looks out of frame, dead centre,
    soft eyes, back focus, motion blur, flash misfire, burnt highlights, blocked shadows, no face,
    several people, check gaze, check eyes"""
"""Common practice, "Keywords": every word of its table."""


def test_the_words_of_the_trade_are_there() -> None:
    """Lower case, flat."""
    trade = [word.strip() for word in TRADE.split(",")]
    assert set(trade) <= set(vocabulary().ids)
    assert all(word == word.lower() for word in vocabulary().ids)


def test_working_words_are_what_a_client_should_not_read() -> None:
    assert {"soft eyes", "blink"} <= vocabulary().working
    assert "headshot" not in vocabulary().working
    assert all(genre.keyword not in vocabulary().working for genre in rules().genres.values())
