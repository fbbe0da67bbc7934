"""The verdicts that the labels of the bundled shoot expect of its frames."""

from __future__ import annotations

import pytest

from tests.accuracy.expected_verdicts import LABELS, Expected, deciding_label
from tests.accuracy.portraits import shoot

BY_KIND = {
    "burst_blink": "eyes closed",
    "burst_half": "half blink",
    "soft": "eyes not sharp",
    "dark": "flash misfire",
    "bright": "bright",
    "cropped_head": "crown cut",
    "off_edge": "cramped",
    "lead_wrong": "looks astray",
}
"""What the frames of these kinds were made to show."""


@pytest.mark.parametrize(("kind", "name"), BY_KIND.items())
def test_a_frame_made_to_show_a_fault_has_its_label(kind: str, name: str) -> None:
    labels = [deciding_label(portrait) for portrait in shoot() if portrait.truth["kind"] == kind]
    assert labels
    assert {label.name for label in labels if label is not None} == {name}
    assert None not in labels


def test_most_frames_of_a_day_are_sound_and_few_are_a_matter_of_taste() -> None:
    labels = [deciding_label(portrait) for portrait in shoot()]
    assert labels.count(None) >= 35
    assert sum(label is not None and label.expected is Expected.TASTE for label in labels) <= 6


def test_every_line_has_a_name_of_its_own_and_a_reason_and_the_worst_come_first() -> None:
    assert len({label.name for label in LABELS}) == len(LABELS)
    assert all(label.reason for label in LABELS)
    order = [Expected.DUD, Expected.WEAK, Expected.TASTE]
    ranks = [order.index(label.expected) for label in LABELS]
    assert ranks == sorted(ranks)
