"""What `genres check` asks about: names that are new, and nearly ones that there are."""

from __future__ import annotations

import pytest

from eyeline.judging.doubts import doubts
from eyeline.judging.rule_file import RuleFile
from tests.judging.shipped import shipped_files

COMPLETE = 'measure = "headroom"\nbetween = [0.05, 0.1]\nlimits = [0, 0.3]\n'


def told(text: str) -> list[tuple[int | None, str, str | None]]:
    found = doubts(RuleFile("mine.toml", text), shipped_files())
    return [(each.line, each.key, each.nearest) for each in found]


@pytest.mark.parametrize(
    ("text", "line", "key", "nearest"),
    [
        ('name = "corporate hedshot"\ninherits = "portrait"\n', 1, "name", "corporate headshot"),
        (
            'name = "corporate headshot"\n[faults.gaze_past_lense]\noff = true\n',
            2,
            "faults.gaze_past_lense",
            "gaze_past_lens",
        ),
        (
            f'name = "corporate headshot"\n[criteria.headrom]\n{COMPLETE}',
            2,
            "criteria.headrom",
            "headroom",
        ),
        (
            'name = "mine"\ninherits = "corporate headshot"\n[crops.formats]\n"4:6" = { off = true }\n',
            4,
            'crops.formats."4:6"',
            "4:5",
        ),
        ('name = "corporate headshot"\n[faults.nonsense]\noff = true\n', 2, "faults.nonsense", None),
        (  # beside a mistake of another kind
            'name = "corporate headshot"\n[criteria.headrom]\nweigth = 4\n',
            2,
            "criteria.headrom",
            "headroom",
        ),
    ],
)
def test_a_slip_is_found_with_the_nearest_name(text: str, line: int, key: str, nearest: str | None) -> None:
    assert told(text) == [(line, key, nearest)]


@pytest.mark.parametrize(
    "text",
    [
        'name = "corporate headshot"\n[faults.gaze_past_lens]\noff = true\n',
        'name = "corporate headshot"\n[criteria.headroom]\nweight = 4\n',
        f'name = "corporate headshot"\n[criteria.air_above]\n{COMPLETE}',
        'name = "weddings"\ninherits = "portrait"\n',
        f'name = "corporate headshot"\n[criteria.headroom]\noff = true\n[criteria.headrom]\n{COMPLETE}',
        "not TOML",
        "name = 1",
    ],
)
def test_what_changes_or_adds_something_is_no_slip(text: str) -> None:
    assert told(text) == []


def test_no_shipped_file_looks_like_a_slip() -> None:
    files = shipped_files()
    for file in files:
        assert doubts(file, [each for each in files if each is not file]) == (), file.name
