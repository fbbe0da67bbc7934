"""What `genres check` names: each mistake once, where its author wrote."""

from __future__ import annotations

import pytest

from eyeline.judging.causes import causes
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import genre_files, read_rules
from tests.judging.shipped import QUANTITIES, shipped_files, vocabulary


def told(text: str) -> list[tuple[int | None, str, str]]:
    file, shipped = RuleFile("mine.toml", text), shipped_files()
    known = tuple(QUANTITIES.values())
    found = read_rules([*shipped, file], known, vocabulary()).mistakes
    return [(each.line, each.key, each.problem) for each in causes(file, found, list(genre_files(shipped)))]


def test_an_ideal_that_leaves_the_limits_of_another_file_is_told_where_it_stands() -> None:
    ((line, key, problem),) = told(
        'name = "corporate headshot"\n[criteria.headroom]\nbetween = [0.10, 0.35]\n'
    )
    assert (line, key) == (2, "criteria.headroom.limits")
    assert "corporate-headshot.toml" in problem and "inherits this" not in problem


def test_a_new_genre_that_inherits_nothing_has_one_mistake() -> None:
    ((line, key, _),) = told('name = "mine"\nwhy = "for me"\n[criteria.headroom]\nbetween = [0.1, 0.16]\n')
    assert (line, key) == (1, "inherits")


@pytest.mark.parametrize("name", ["corporate headshot", "loose keeper"])
def test_a_sound_file_has_none(name: str) -> None:
    assert told(f'name = "{name}"\n[faults.gaze_past_lens]\noff = true\n') == []
