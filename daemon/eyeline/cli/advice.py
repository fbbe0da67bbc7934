"""What would have made a frame better, in the words that a colleague behind the camera would use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from eyeline.judging.rulebook import Ideal, Rulebook
from eyeline.judging.wording import ideal_in_words, value_in_words
from eyeline.terms.measurement import Quantity
from eyeline.terms.verdict import NoCrop, Reason

NOTABLE_COST = 0.01
"""Loss of score from which advice is worth giving."""


@dataclass(frozen=True, slots=True)
class _Cure:
    """What to do where the value is `below` or `above` the ideal, and what the number is, in words."""

    below: str
    above: str
    number: str = ""


_CURES = {
    "headroom": _Cure(
        "step back", "come closer, or tilt the camera down", "the crown is {} from the top edge"
    ),
    "eye_line": _Cure(
        "tilt the camera up", "tilt the camera down, or stand higher", "the eyes are {} below the top edge"
    ),
    "head_height": _Cure("come closer", "step back", "the head fills {} of the height"),
    "chin_room": _Cure("step back", "come closer", "below the chin there is {} of the height"),
    "edge_room": _Cure("move the sitter inward", "", "the head is {} from the nearer side"),
    "centre_distance": _Cure("", "centre the sitter", "the eyes are {} of the width off the middle"),
    "third_distance": _Cure("", "put the eyes on a third", "they are {} of the width from it"),
    "lead_room": _Cure("leave more room ahead of the look", "", "ahead less behind is {} of the width"),
    "eyes_open": _Cure("take another frame: the lids were on their way", ""),
    "eye_blur_iris": _Cure(
        "", "focus on the nearer eye, or shorten the exposure", "the blur is {} of the iris"
    ),
    "glasses_glare": _Cure(
        "", "raise the light or lower the temples of the glasses", "glare hides {} of the eyes"
    ),
    "head_roll_deg": _Cure("", "have the head upright", "it is tilted by {}"),
    "head_yaw_deg": _Cure("turn the face a little", "turn the face back to the lens", "it is turned by {}"),
    "head_pitch_deg": _Cure("chin up", "chin down", "it is off by {}"),
    "exposure_off_stops": _Cure(
        "more light on the face", "less light on the face", "it is {} off this sitter's usual exposure"
    ),
    "face_clipped": _Cure("", "less light, or a shorter exposure", "{} of the face is burnt out"),
    "face_crushed": _Cure("", "open the shadows", "{} of the face is black"),
    "light_ratio_stops": _Cure("light from further aside", "fill the darker side", "the cheeks differ by {}"),
    "separation": _Cure("put light or distance between sitter and background", ""),
    "copy_space_left": _Cure("leave calm room on the left", "", "there is {}"),
    "copy_space_right": _Cure("leave calm room on the right", "", "there is {}"),
    "backdrop_off": _Cure("", "light the backdrop as in the other frames"),
}

_WORDS = {
    "gaze": "ask for a look into the lens",
    "copy_space": "leave calm room beside the sitter",
    "frame_format": "turn the camera",
    "camera_height": "put the lens at the height of the eyes",
}


def advice(
    reasons: Sequence[Reason],
    rulebook: Rulebook,
    quantities: Mapping[str, Quantity],
    no_crops: Sequence[NoCrop],
    most: int = 3,
) -> list[str]:
    """At most `most` pieces of advice, for what held the frame back most first.

    Nothing is said of what no photographer could have changed, or of what is not known.
    """
    ideals = {criterion.name: criterion.ideals[0] for criterion in rulebook.criteria if criterion.ideals}
    said: dict[str, str] = {}
    for reason in reasons:
        costly = reason.stars_at_most is not None or reason.cost >= NOTABLE_COST
        if not costly or reason.measure in said:
            continue
        words = _for_one(
            reason, ideals.get(reason.name) or _ideal_of(reason.measure, ideals), quantities, no_crops
        )
        if words:
            said[reason.measure] = words
    distinct = list(dict.fromkeys(said.values()))
    return distinct[:most]


def _ideal_of(measure: str, ideals: Mapping[str, Ideal]) -> Ideal | None:
    """The ideal of the criterion that judges `measure`: a fault has none of its own."""
    return next((ideal for ideal in ideals.values() if ideal.measure == measure and not ideal.words), None)


def _for_one(
    reason: Reason, ideal: Ideal | None, quantities: Mapping[str, Quantity], no_crops: Sequence[NoCrop]
) -> str:
    if reason.measure in _WORDS:
        return "" if reason.value == "closed" else _WORDS[reason.measure]
    cure = _CURES.get(reason.measure)
    if cure is None or ideal is None or not isinstance(reason.value, (int, float)):
        return ""
    value = abs(reason.value) if ideal.ignore_sign else float(reason.value)
    if value < ideal.ideal_low:
        what, bound = cure.below, ideal.ideal_low
    elif value > ideal.ideal_high:
        what, bound = cure.above, ideal.ideal_high
    else:
        return ""
    if not what or not cure.number:
        return what
    quantity = quantities.get(reason.measure)
    text = f"{what}: {cure.number.format(value_in_words(value, quantity))}"
    lost = [none.format_name for none in no_crops if "crown" in none.reason]
    if reason.measure == "headroom" and value < ideal.ideal_low and lost:
        return f"{text}; a {lost[0]} crop needs {value_in_words(bound, quantity)}"
    return f"{text}; {ideal_in_words(ideal, quantity)} is wanted"
