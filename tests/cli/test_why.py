"""`eyeline why`: answers as a colleague would."""

from __future__ import annotations

from dataclasses import replace

from eyeline.cli.why import PREVIEW_NOTE, explanation
from eyeline.terms.measurement import Measurement
from eyeline.terms.verdict import NoCrop, Reason, Verdict
from tests.ledger.invented import decision, photo

GENRE = "corporate headshot"


def reason(name: str, measure: str, value: object, cost: float, says: str, cap: int | None = None) -> Reason:
    return Reason(name, measure, value, "", None if cap else 0.5, 0 if cap else 2, cost, says, cap)  # type: ignore[arg-type]


CRAMPED = reason("headroom", "headroom", 0.02, 0.2, "the crown is 2 % from the top edge")
TURNED = reason("turn", "head_yaw_deg", -50.0, 0.05, "the face is turned by 50°")
OPEN = replace(reason("eyes", "eyes_open", 0.99, 0.0, "the eyes are open"), desirability=1.0)
ASIDE = reason("gaze_past_lens", "gaze", "left", 0.0, "the eyes look past the lens", cap=2)


def test_the_answer_has_verdict_help_cost_cure_and_what_is_the_photographers() -> None:
    verdict = Verdict(GENRE, 0.41, 2, ("check gaze",), (ASIDE, CRAMPED, TURNED, OPEN), (), "abcdef012345")
    made = replace(decision(), verdict=verdict)
    lines = explanation(made, photo(), ["step back"], ["the rating is yours: 4"], numbers=False)
    text = "\n".join(lines)
    assert lines[1] == (
        "★★  As corporate headshot it is weak; what holds it back: the eyes look past the lens."
    )
    heads = ["What helped:", "What cost, heaviest first:", "What would have made it better:", "Yours,"]
    places = [text.index(head) for head in heads]
    assert places == sorted(places)
    assert text.index("crown is 2 %") < text.index("turned by 50°")
    assert "0.41" not in text
    assert "the rating is yours: 4" in text


def test_what_is_short_of_the_ideal_never_helped_however_little_it_cost() -> None:
    cheap = reason("head_height", "head_height", 0.356, 0.001, "the head fills 36 % of the height")
    verdict = Verdict(GENRE, 0.95, 4, (), (cheap, OPEN), (), "abcdef012345")
    lines = explanation(replace(decision(), verdict=verdict), photo(), [], [], numbers=False)
    assert lines[lines.index("What helped:") + 1] == "  the eyes are open"
    assert "the head fills" not in "\n".join(lines)


def test_a_reason_against_several_formats_is_given_once() -> None:
    none = tuple(NoCrop(name, "the frame itself cuts the chin") for name in ("4:5", "1:1"))
    verdict = Verdict(GENRE, 0.3, 1, (), (OPEN,), (), "abcdef012345", no_crops=none)
    lines = explanation(replace(decision(), verdict=verdict), photo(), [], [], numbers=False)
    assert "  none in 4:5, 1:1: the frame itself cuts the chin" in lines


def test_numbers_only_on_demand() -> None:
    verdict = Verdict(GENRE, 0.41, 2, (), (CRAMPED,), ((GENRE, 0.41), ("loose keeper", 0.3)), "abcdef012345")
    made = replace(decision(), verdict=verdict)
    text = "\n".join(explanation(made, photo(), [], [], numbers=True))
    assert "score 0.41" in text
    assert "0.20  the crown" in text
    assert "0.30  loose keeper" in text


def test_a_raw_that_was_measured_in_its_preview_says_so() -> None:
    said = {
        source: "\n".join(
            explanation(
                decision(),
                replace(photo(), measurements=(Measurement("clipping_source", source),)),
                [],
                [],
                numbers=False,
            )
        )
        for source in ("file", "preview")
    }
    assert PREVIEW_NOTE in said["preview"]
    assert PREVIEW_NOTE not in said["file"]


def test_what_a_fault_speaks_of_is_neither_praised_nor_said_twice() -> None:
    shut = reason("eyes_closed", "gaze", "closed", 0.0, "the eyes are closed", cap=1)
    nowhere = reason("gaze", "gaze", "closed", 0.1, "the eyes look nowhere")
    sharp = replace(reason("sharp_eye", "gaze", "closed", 0.0, "praise"), desirability=1.0)
    verdict = Verdict(GENRE, 0.4, 1, (), (shut, nowhere, sharp, OPEN), (), "abcdef012345")
    made = replace(decision(), verdict=verdict)
    said = "\n".join(explanation(made, photo(), [], [], numbers=False))
    assert "the eyes are closed (at most 1 star)" in said
    assert "look nowhere" not in said and "praise" not in said
    assert "look nowhere" in "\n".join(explanation(made, photo(), [], [], numbers=True)), (
        "numbers leave none out"
    )
