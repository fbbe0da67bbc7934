"""What becomes of hard cases: right, honestly nothing, or wrong; for the eyes, the framing and the gaze."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from tests.accuracy.pipeline import Pair

EYES_WITHIN = 0.1
"""Distance of a pupil from the truth, in eye distances, beyond which it is wrong: where landmarking
benchmarks count a failure (300-W: a tenth of the interocular distance; from memory)."""

FRAMING_WITHIN = 0.03
"""Fraction of the frame for eye line, chin room and headroom: the goals' 95th percentile."""

LEAST_MEASURED = 0.7
"""Share of hats, glasses and beards that must still be measured."""

MUST_BE_MEASURED = frozenset({"hat, rendered", "hat, drawn", "glasses", "beard"})

HEADINGS = (
    "case",
    "photos",
    "found",
    "eyes: right, nothing, wrong",
    "framing: right, nothing, wrong",
    "gaze: right, unsure, wrong",
    "least measured",
    "goal",
    "reached",
)

RIGHT, NOTHING, WRONG = "right", "nothing", "wrong"


def natural_cases(pairs: Sequence[Pair]) -> dict[str, list[Pair]]:
    """Hard cases that the rendered sets hold by their labels."""
    single = [pair for pair in pairs if pair.portrait.truth["people_count"] == 1]

    def where(holds: Callable[[Pair], bool], among: Sequence[Pair]) -> list[Pair]:
        return [pair for pair in among if holds(pair)]

    return {
        "face turned by 30° to 43°": where(
            lambda pair: abs(pair.portrait.people[0].head_yaw_los) >= 30, single
        ),
        "hat, rendered": where(lambda pair: pair.portrait.people[0].sitter in WITH_HATS, single),
        "glasses": where(lambda pair: pair.portrait.people[0].glasses, single),
        "beard": where(lambda pair: pair.portrait.people[0].beard, single),
        "several people": where(lambda pair: pair.portrait.truth["people_count"] > 1, pairs),
    }


WITH_HATS = frozenset({"T10"})
"""Sitters who wear one, as the pictures show: the truth has no field for it."""


def hard_row(name: str, pairs: Sequence[Pair]) -> tuple[str, ...]:
    """One case as a line of the table."""
    of_aspect = {
        aspect: Counter(outcome for pair in pairs if (outcome := judge(pair)) is not None)
        for aspect, judge in (("eyes", eyes), ("framing", framing), ("gaze", gaze))
    }
    shares = [1 - counts[NOTHING] / counts.total() for counts in of_aspect.values() if counts.total()]
    least = min(shares, default=0.0)
    has_goal = name in MUST_BE_MEASURED
    return (
        name,
        str(len(pairs)),
        str(sum(pair.person is not None for pair in pairs)),
        *(_three(counts) for counts in of_aspect.values()),
        f"{least:.0%}",
        f"{LEAST_MEASURED:.0%}" if has_goal else "",
        ("yes" if least >= LEAST_MEASURED else "no") if has_goal else "",
    )


def eyes(pair: Pair) -> str | None:
    """Both pupils, of sitters whose eyes are seen; nothing is claimed of one that is said to be covered."""
    person = pair.person
    if person is None:
        return NOTHING if pair.examined.points is None else WRONG
    if not person.eyes_visible:
        return None
    errors = pair.pupil_errors()
    if errors is None:
        return NOTHING
    covered = [pair.value(name) is True for name in ("left_eye_covered", "right_eye_covered")]
    if any(error > EYES_WITHIN for error, hidden in zip(errors, covered, strict=True) if not hidden):
        return WRONG
    return NOTHING if any(covered) else RIGHT


def framing(pair: Pair) -> str:
    """Eye line, chin room and headroom: one that is off makes it wrong, one that is missing nothing."""
    person = pair.person
    if person is None:
        return NOTHING if pair.examined.points is None else WRONG
    found = [
        (pair.number(name), max(0.0, person.truth[name])) for name in ("eye_line", "chin_room", "headroom")
    ]
    if any(value is not None and abs(value - true) > FRAMING_WITHIN for value, true in found):
        return WRONG
    return NOTHING if any(value is None for value, _ in found) else RIGHT


def gaze(pair: Pair) -> str | None:
    """The word, of open eyes that could be read before anything was in the way."""
    person = pair.person
    if person is None or person.eyes != "open" or not person.iris_is_seen or person.gaze_is_on_a_border:
        return None
    word = pair.value("gaze")
    if word in (None, "unsure"):
        return NOTHING
    return RIGHT if word == person.gaze_word else WRONG


def failures(name: str, pairs: Sequence[Pair]) -> list[tuple[str, ...]]:
    """Every photo of a case that is wrong in something, by name."""
    lines = []
    for pair in pairs:
        wrong = [word for word, judge in _ASPECTS if judge(pair) == WRONG]
        if wrong:
            lines.append((name, pair.portrait.path.name, ", ".join(wrong)))
    return lines


_ASPECTS: tuple[tuple[str, Callable[[Pair], str | None]], ...] = (
    ("eyes", eyes),
    ("framing", framing),
    ("gaze", gaze),
)


def _three(counts: Counter[str]) -> str:
    if not counts.total():
        return "–"
    return ", ".join(f"{counts[outcome] / counts.total():.0%}" for outcome in (RIGHT, NOTHING, WRONG))
