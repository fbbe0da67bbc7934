"""Why a selected frame is not delivered."""

from __future__ import annotations

from eyeline.run.delivery_crops import why_none
from eyeline.terms.verdict import NoCrop


def test_a_reason_that_holds_in_every_format_is_told_once() -> None:
    cut = "the frame itself cuts the crown"
    none = [NoCrop("4:5", cut), NoCrop("1:1", cut), NoCrop("3:2", "no 3:2 holds the head")]
    assert why_none(none) == f"{cut}; no 3:2 holds the head"
