"""The IPTC Scene NewsCode of the frame."""

from __future__ import annotations

from collections.abc import Sequence

from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject

HEADSHOT, HALF_LENGTH, FULL_LENGTH = "010100", "010200", "010300"
PROFILE, SINGLE, TWO, GROUP = "010400", "010600", "010800", "010900"
CLOSE_UP = "011800"

CODES = {
    "close-up": CLOSE_UP,
    "headshot": HEADSHOT,
    "half-length": HALF_LENGTH,
    "three-quarter": SINGLE,
    "full-length": FULL_LENGTH,
}
"""Shot scale to code; the vocabulary has none between half and full length, so *single* stands there."""

PROFILE_YAW_DEG = 60.0
"""Head turn from which a face counts as seen from the side: the far eye starts to go behind the nose
(common practice in posing: seven-eighths, three-quarter, two-thirds, then profile)."""


def _code(subject: Subject) -> Sequence[Measurement]:
    people = subject.known["people"].value
    if isinstance(people, int) and people > 1:
        return [Measurement("scene_code", TWO if people == 2 else GROUP)]
    yaw = subject.known["head_yaw_deg"].value
    if isinstance(yaw, (int, float)) and abs(yaw) >= PROFILE_YAW_DEG:
        return [Measurement("scene_code", PROFILE)]
    scale = subject.known["shot_scale"]
    if not isinstance(scale.value, str):
        return [Measurement("scene_code", SINGLE)]
    return [Measurement("scene_code", CODES[scale.value])]


MEASURE = SitterMeasure(
    quantities=(
        Quantity(
            "scene_code",
            "six digits",
            "the IPTC Scene NewsCode that fits",
            words=(HEADSHOT, HALF_LENGTH, FULL_LENGTH, PROFILE, SINGLE, TWO, GROUP, CLOSE_UP),
        ),
    ),
    function=_code,
    source="IPTC Scene NewsCodes: 010100 headshot, 010200 half-length, 010300 full-length, 010400 profile, "
    "010600 single, 010800 two, 010900 group, 011800 close-up",
    needs=("people", "shot_scale", "head_yaw_deg"),
)
