"""Rule files: strict, all mistakes at once with line and nearest name; inherited key by key."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from eyeline.errors import BadConfiguration
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import Rules, read_rules
from tests.judging.shipped import BRIEF, QUANTITIES, rules, shipped_files, vocabulary

BASE = """name = "base"
abstract = true
floor = 0.05
unmet = 0.4
stars = { two = 0.1, three = 0.4, four = 0.8, five = 0.9 }

[criteria.headroom]
measure = "headroom"
between = [0.06, 0.12]
limits = [0.0, 0.3]
weight = 2

[faults.eyes_closed]
when = { measure = "eyes_open", below = 0.2 }
stars_at_most = 1
keyword = "blink"
"""


def read(*texts: str) -> Rules:
    files = [RuleFile(f"{place}.toml", text) for place, text in enumerate(texts)]
    return read_rules(files, QUANTITIES.values(), vocabulary())


def test_the_shipped_rules_have_no_mistake_and_hold_the_default_brief() -> None:
    assert rules().mistakes == ()
    assert set(BRIEF) <= set(rules().genres)


def test_all_genres_of_the_trade_are_shipped() -> None:
    trade = {
        "corporate headshot",
        "performer headshot",
        "tight close crop",
        "loose keeper",
        "copy space left",
        "copy space right",
        "from below",
        "from above",
        "team page",
        "environmental portrait",
        "group",
    }
    assert trade <= set(rules().genres)
    identity = [genre for name, genre in rules().genres.items() if name.startswith("identity photo")]
    assert len(identity) >= 4
    assert all("authority decides" in genre.caution for genre in identity)


def test_all_mistakes_of_a_file_at_once_each_with_line_expectation_and_nearest_name() -> None:
    broken = """name = "mine"
inherits = "base"
floor = "0.1"
[criteria.headroom]
weigth = 3
between = [0.2, 0.1]
[criteria.eyes]
measure = "eyes_open"
at_least = 1
worst = 0
when = { measure = "gaze", iz = "left" }
[faults.x]
when = { all = [ { measure = "gaze" }, { measure = "people", below = "2" } ] }
stars_at_most = 1.5
[crops.formats]
"4:5" = { pixels = [0, 10] }
"""
    found = read(BASE, broken).mistakes
    assert [(each.line, each.key) for each in found] == [
        (3, "floor"),
        (5, "criteria.headroom.weigth"),
        (6, "criteria.headroom.between"),
        (11, "criteria.eyes.when.iz"),
        (11, "criteria.eyes.when"),
        (13, "faults.x.when.all[0]"),
        (13, "faults.x.when.all[1].below"),
        (14, "faults.x.stars_at_most"),
        (16, 'crops.formats."4:5".pixels'),
    ]
    assert found[1].nearest == "weight"
    assert "expected a number" in found[6].problem
    assert 'found "0.1"' in found[0].problem
    message = str(found[1])
    assert message.startswith("1.toml, line 5") and message.endswith("did you mean 'weight'?")


def test_mistakes_of_meaning_are_found_where_they_stand_also_in_what_is_inherited() -> None:
    mine = """name = "mine"
inherits = "base"
keyword = "hedshot"
[criteria.eyes]
measure = "eye_open"
at_least = 0.8
worst = 0.1
[criteria.gaze]
measure = "gaze"
words = { camera = 1.0, lefft = 0.5 }
[criteria.people]
measure = "people"
words = { one = 1 }
[criteria.limits]
measure = "chin_room"
between = [0.1, 0.2]
limits = [0.15, 0.3]
[faults.turned]
when = { measure = "head_yaw_deg", is = "left" }
stars_at_most = 7
[keywords]
"blnik" = { measure = "eyes_open", below = 0.1 }
"""
    found = read(BASE.replace('"headroom"\n', '"head_room"\n'), mine).mistakes
    places = {(each.file, each.line) for each in found}
    assert {("0.toml", 8)} | {("1.toml", line) for line in (3, 5, 10, 13, 17, 19, 20, 22)} == places
    near = {each.line: each.nearest for each in found if each.nearest}
    assert near == {8: "headroom", 5: "eyes_open", 10: "left", 3: "headshot", 22: "blink"}


def test_a_fault_of_grammar_hides_no_fault_of_meaning_and_makes_none_up() -> None:
    mine = """name = "mine"
inherits = "base"
[criteria.headroom]
weigth = 3
[criteria.eyes]
measure = "eye_open"
at_least = 0.8
worst = 0.1
[criteria.chin]
measure = "chin_room"
between = [0.2, 0.1]
limits = [0.0, 0.9]
[faults.x]
when = { measure = "gaze", iz = "left" }
stars_at_most = 2
keyword = "blnik"
"""
    found = read(BASE, mine).mistakes
    assert [(each.line, each.nearest) for each in found] == [
        (4, "weight"),
        (6, "eyes_open"),
        (11, None),
        (14, None),
        (14, None),
        (16, "blink"),
    ]
    assert read(BASE, mine).genres == {}


def test_a_parent_that_is_misspelt_hides_no_other_fault() -> None:
    mine = """name = "mine"
inherits = "bsae"
[criteria.headroom]
weight = 3
[criteria.eyes]
measure = "eye_open"
at_least = 0.8
worst = 0.1
[keywords]
"hedshot" = { measure = "people", above = 1 }
"""
    assert [(each.line, each.nearest) for each in read(BASE, mine).mistakes] == [
        (2, "base"),
        (6, "eyes_open"),
        (10, "headshot"),
    ]


@pytest.mark.parametrize(
    ("text", "line", "part"),
    [
        ('name = "x"\nfloor = = 3\n', 2, "not TOML"),
        ('name = "x"\nname = "y"\n', 2, "not TOML"),
        ("floor = 0.1\n", 1, "every genre has a name"),
        ('name = "x"\ninherits = "bsae"\n', 2, "no genre is called"),
        ('name = "x"\ninherits = "x"\n', 2, "cannot inherit from itself"),
        ("a = " + "[" * 5000, 1, "nested more than 32 deep"),
    ],
)
def test_what_is_no_genre_at_all(text: str, line: int | None, part: str) -> None:
    found = read(BASE, text)
    assert [each.line for each in found.mistakes] == [line]
    assert part in found.mistakes[0].problem
    assert found.genres == {}


def test_a_broken_file_leaves_the_others_and_what_it_would_have_changed() -> None:
    mine = 'name = "mine"\ninherits = "base"\n'
    found = read(BASE, mine, 'name = "mine"\nfloor = 3\n')
    assert len(found.mistakes) == 1
    assert found.genre("mine").floor == 0.05


def test_the_digest_changes_with_the_effective_rules_and_with_nothing_else() -> None:
    mine = 'name = "mine"\ninherits = "base"\n'
    one = read(BASE, mine).genre("mine").digest
    assert read("# a comment\n" + BASE, mine).genre("mine").digest == one
    assert read(BASE.replace("weight = 2", "weight = 3"), mine).genre("mine").digest != one


def test_an_unknown_genre_is_named_with_its_nearest() -> None:
    with pytest.raises(BadConfiguration, match="corporate headshot"):
        rules().genre("corporate headshots")


def test_crops_may_be_judged_by_another_genre_which_must_be_sound() -> None:
    judge = rules().genre("loose keeper").crops_as
    assert judge is not None and judge.name == "headshot from a loose frame"
    assert judge.name not in rules().genres  # abstract: no line of a brief
    mine = 'name = "mine"\ninherits = "base"\n[crops]\nminimum = 0.5\njudged_as = "mien"\n'
    found = read(BASE, mine)
    assert found.genres == {}
    assert [(each.line, each.nearest) for each in found.mistakes] == [(5, "mine")]


def test_a_rule_cannot_speak_of_the_rank_that_it_decides() -> None:
    text = 'name = "mine"\ninherits = "base"\n[faults.x]\nwhen = { measure = "series_rank", above = 1 }\n'
    (mistake,) = read(BASE, text + "stars_at_most = 3\n").mistakes
    assert mistake.line == 4 and "ranked once all are judged" in mistake.problem


@settings(max_examples=12)
@given(place=st.integers(0, 5), share=st.floats(0, 1, exclude_max=True))
def test_shipped_rules_survive_any_of_their_files_being_cut_short(place: int, share: float) -> None:
    """A half-copied file is an error message, never an exception."""
    files = shipped_files()
    file = files[place]
    halved = RuleFile(file.name, file.text[: int(share * len(file.text))])
    read_rules([*files[:place], halved, *files[place + 1 :]], QUANTITIES.values(), vocabulary())


def test_a_format_of_a_wrong_name_with_a_wrong_value_has_both_mistakes_told() -> None:
    """The one in the name shows only once the one in the value is cut out."""
    own = RuleFile(
        "own.toml", 'name = "own"\ninherits = "corporate headshot"\n[crops.formats.wide]\npixel = 3\n'
    )
    found = read_rules([*shipped_files(), own], QUANTITIES.values(), vocabulary())
    said = [str(each) for each in found.mistakes]
    assert any("pixel" in each for each in said) and any("width:height" in each for each in said)
