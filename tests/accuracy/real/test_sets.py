"""What is known of real photographs, and how shares of them are stated."""

from __future__ import annotations

import pytest

from tests.accuracy.real.measured import share
from tests.accuracy.real.sets import _agreed, real_portraits, studio_pictures


def test_only_what_both_raters_say_alike_is_known() -> None:
    one, other = (
        {"eyes": "open", "gaze": "camera", "crown": "?"},
        {"eyes": "narrow", "gaze": "camera", "crown": "?"},
    )
    assert _agreed(one, other) == {"gaze": "camera"}


def test_a_share_has_the_interval_of_wilson() -> None:
    # Newcombe 1998, Statistics in Medicine 17:857, table I: 81 of 263 by Wilson's score, 0.2553 to 0.3662.
    assert share(81, 263) == "81 of 263, 30.8% (25.5% to 36.6%)"


def test_every_other_portrait_and_one_sitter_in_four_are_kept_for_the_end() -> None:
    if not (portraits := real_portraits()):
        pytest.skip("the real photographs are not at hand")
    assert [each.seen for each in portraits[:4]] == [False, True, False, True]
    unseen = {each.labels["person"] for each in studio_pictures() if not each.seen}
    assert unseen and {int(person) % 4 for person in unseen} == {3}
