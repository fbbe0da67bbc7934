"""What a genre inherits, changes, switches off, and from which file and line each rule comes."""

from __future__ import annotations

from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import read_rules
from tests.judging.shipped import QUANTITIES, rules, shipped_files, vocabulary
from tests.judging.test_rules import BASE, read


def test_a_file_that_changes_a_shipped_genre_changes_only_what_it_says() -> None:
    shipped = 'name = "mine"\ninherits = "base"\nwhy = "a test"\n'
    own = 'name = "mine"\n[criteria.headroom]\nbetween = [0.05, 0.10]\n'
    criterion = read(BASE, shipped, own).genre("mine").criteria[0]
    ideal = criterion.ideals[0]
    assert (ideal.ideal_low, ideal.ideal_high, ideal.low, ideal.high) == (0.05, 0.10, 0.0, 0.3)
    assert criterion.weight == 2
    assert read(BASE, shipped, own).genre("mine").why == "a test"


def test_an_ideal_stated_in_another_form_forgets_the_old_form() -> None:
    mine = 'name = "mine"\ninherits = "base"\n[criteria.headroom]\nat_least = 0.04\nworst = 0.0\n'
    found = read(BASE, mine)
    assert found.mistakes == ()
    assert found.genre("mine").criteria[0].ideals[0].ideal_low == 0.04


def test_a_genre_that_is_only_there_to_be_inherited_is_checked_without_an_heir() -> None:
    """What it leaves to its heirs is no mistake."""
    mine = 'name = "mine"\nabstract = true\n[criteria.eyes]\nmeasure = "eye_open"\nat_least = 0.8\n'
    assert [(each.line, each.nearest) for each in read(mine).mistakes] == [(4, "eyes_open")]


def test_what_is_switched_off_is_gone() -> None:
    mine = """name = "mine"
inherits = "base"
[criteria.headroom]
off = true
[criteria.eyes]
measure = "eyes_open"
at_least = 0.8
worst = 0.1
[faults.eyes_closed]
off = true
"""
    genre = read(BASE, mine).genre("mine")
    assert [each.name for each in genre.criteria] == ["eyes"]
    assert genre.faults == ()


def test_what_is_switched_off_above_is_not_half_there_below() -> None:
    """A photographer who drops a criterion of a shipped genre breaks no genre that only tunes it."""
    own = """name = "corporate headshot"
[criteria.turn]
off = true
[faults.gaze_past_lens]
off = true
[crops.formats]
"4:5" = { off = true }
"""
    found = read_rules([*shipped_files(), RuleFile("own.toml", own)], QUANTITIES.values(), vocabulary())
    assert found.mistakes == ()
    assert set(found.genres) == set(rules().genres)
    below = found.genre("from below")
    assert "turn" not in [each.name for each in below.criteria]
    assert "gaze_past_lens" not in [each.name for each in below.faults]
    performer = found.genre("performer headshot")
    assert [each.name for each in performer.formats] == ["4:5"], "what stands alone is there"


def test_every_effective_line_knows_its_file_and_line() -> None:
    mine = 'name = "mine"\ninherits = "base"\n[criteria.headroom]\nweight = 3\n'
    lines = {line.key: (line.value, line.file, line.line) for line in read(BASE, mine).genre("mine").lines}
    assert lines["criteria.headroom.weight"] == ("3", "1.toml", 4)
    assert lines["criteria.headroom.between"] == ("[0.06, 0.12]", "0.toml", 9)
    assert lines["faults.eyes_closed.when"] == ('{ measure = "eyes_open", below = 0.2 }', "0.toml", 14)
