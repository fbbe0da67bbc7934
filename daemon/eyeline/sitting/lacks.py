"""What a frame lacks for a line of the brief, in words that help while the sitter waits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from eyeline.judging.cures import cures
from eyeline.judging.rulebook import Ideal, Rulebook
from eyeline.judging.wording import ideal_in_words, is_told_as_nothing, value_beside, value_in_words
from eyeline.terms.measurement import Quantity
from eyeline.terms.verdict import Reason

LEAST_COST = 0.02
"""Loss of score from which a criterion is worth naming while the sitter waits."""

TOO_SMALL, TOO_LARGE = 0, 1

WANTED: Mapping[str, tuple[str, str]] = {
    "headroom": ("{by} more room wanted over the head", "{by} less room wanted over the head"),
    "chin_room": ("{by} more room wanted below the chin", "{by} less room wanted below the chin"),
    "lead_room": ("{by} more room wanted ahead of the look", "{by} less room wanted ahead of the look"),
    "edge_room": ("{by} more room wanted beside the head", "{by} less room wanted beside the head"),
    "eye_line": ("the eyes wanted {by} lower in the frame", "the eyes wanted {by} higher in the frame"),
    "head_height": (
        "the head wanted larger by {by} of the height",
        "the head wanted smaller by {by} of the height",
    ),
    "eye_to_chin": (
        "the face wanted larger by {by} of the height",
        "the face wanted smaller by {by} of the height",
    ),
    "third_distance": ("", "the eyes wanted {by} of the width nearer to a third"),
    "centre_distance": ("", "the eyes wanted {by} of the width nearer to the middle"),
    "copy_space_left": ("{by} more calm room wanted on the left", "{by} less calm room wanted on the left"),
    "copy_space_right": (
        "{by} more calm room wanted on the right",
        "{by} less calm room wanted on the right",
    ),
    "head_yaw_deg": ("the face wanted {by} more to camera right", "the face wanted {by} more to camera left"),
    "head_pitch_deg": ("the chin wanted up by {by}", "the chin wanted down by {by}"),
    "gaze_yaw_deg": ("the look wanted {by} more to camera right", "the look wanted {by} more to camera left"),
    "eyes_open": ("the eyes wanted open", ""),
    "eye_blur_iris": ("", "the eyes wanted sharper"),
    "exposure_off_stops": ("the face wanted brighter by {by}", "the face wanted darker by {by}"),
    "light_ratio_stops": (
        "the light wanted stronger from one side by {by}",
        "the light wanted evener by {by}",
    ),
}
"""What is wanted of a measure that is too small, too large; `{by}` is how much, with its unit."""

OF_EITHER_SIGN: Mapping[str, tuple[str, str]] = {
    "head_yaw_deg": ("the face wanted turned {by} more", "the face wanted turned {by} less"),
    "head_roll_deg": ("", "the head wanted upright by {by} more"),
}
"""The same where only the size of the number counts."""


A_LITTLE = "a little"
SHARES = ("{by} of the height", "{by} of the width", "{by}")
"""What is told as a little where the number would be 0, longest first."""


def lacks(reasons: Sequence[Reason], rulebook: Rulebook, quantities: Mapping[str, Quantity]) -> list[str]:
    """Faults and what the line requires, then what costs most, each measure once.

    Where nothing costs enough to be worth naming, what costs most is named all the same.
    """
    binding = [each for each in reasons if each.stars_at_most is not None or _is_required(each)]
    costly = [each for each in reasons if each not in binding and each.cost > 0]
    worth = [each for each in costly if each.cost >= LEAST_COST] or costly[: 0 if binding else 1]
    said: dict[str, str] = {}
    for each in binding:  # how much is wanted says more than the sentence of a fault
        same = (other for other in costly if _is_the_same(each, other, rulebook))
        numbers = (_by_how_much(other, rulebook, quantities) for other in same)
        said.setdefault(each.measure, next(filter(None, numbers), each.sentence))
    for each in worth:
        said.setdefault(each.measure, _words(each, rulebook, quantities))
    return list(dict.fromkeys(said.values()))


def _is_required(reason: Reason) -> bool:
    """Whether it is a requirement of the line that the frame does not meet."""
    return reason.stars_at_most is None and reason.weight == 0 and reason.desirability is None


def _is_the_same(binding: Reason, other: Reason, rulebook: Rulebook) -> bool:
    """Whether the criterion `other` is about what binds: a fault's measure, or the cure of a requirement."""
    if not _is_required(binding):
        return other.measure == binding.measure
    cure = next((each.cure for each in rulebook.requirements if each.name == binding.name), "")
    own = [each for each in rulebook.criteria if each.name == other.name]
    return bool(cure) and any(cure in (each.cure, each.cure_below, each.cure_above) for each in own)


def _words(reason: Reason, rulebook: Rulebook, quantities: Mapping[str, Quantity]) -> str:
    """How much is wanted of what, else what to do about it, else the number beside what is wanted."""
    if words := _by_how_much(reason, rulebook, quantities):
        return words
    if isinstance(reason.value, str) and (cure := cures([reason], rulebook, 1)):
        return cure[0].partition(":")[0]
    measure = reason.measure.removesuffix("_deg").replace("_", " ")
    ideal, quantity = _ideal(reason, rulebook, quantities), quantities.get(reason.measure)
    value = (
        abs(reason.value) if ideal and ideal.ignore_sign and isinstance(reason.value, float) else reason.value
    )
    told = value_beside(value, ideal, quantity) if ideal is not None else value_in_words(value, quantity)
    return f"{measure} {told}, wants {reason.ideal}"


def _ideal(reason: Reason, rulebook: Rulebook, quantities: Mapping[str, Quantity]) -> Ideal | None:
    """The ideal that the reason speaks of."""
    own = [
        ideal
        for criterion in rulebook.criteria
        if criterion.name == reason.name
        for ideal in criterion.ideals
        if ideal.measure == reason.measure
    ]
    quantity = quantities.get(reason.measure)
    return next(
        (each for each in own if ideal_in_words(each, quantity) == reason.ideal), next(iter(own), None)
    )


def _by_how_much(reason: Reason, rulebook: Rulebook, quantities: Mapping[str, Quantity]) -> str:
    """How much is wanted of which; "" where that makes no sentence."""
    ideal = _ideal(reason, rulebook, quantities)
    if ideal is None or reason.value is None or isinstance(reason.value, (str, bool)):
        return ""
    value = abs(reason.value) if ideal.ignore_sign else float(reason.value)
    if value < ideal.ideal_low:
        side, by = TOO_SMALL, ideal.ideal_low - value
    elif value > ideal.ideal_high:
        side, by = TOO_LARGE, value - ideal.ideal_high
    else:
        return ""
    table = OF_EITHER_SIGN if ideal.ignore_sign and reason.measure in OF_EITHER_SIGN else WANTED
    words = table.get(reason.measure, ("", ""))[side]
    quantity = quantities.get(reason.measure)
    if is_told_as_nothing(by, quantity):
        for share in SHARES:
            words = words.replace(share, A_LITTLE)
    return words.format(by=value_in_words(by, quantity))
