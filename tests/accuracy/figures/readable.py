"""Which sitters a figure counts: whose head and eyes could be read at all."""

from __future__ import annotations

from tests.accuracy.pipeline import Pair
from tests.accuracy.portraits import Person

UPRIGHT_HEAD_DEG = 30.0
"""Head within this of the lens in yaw and pitch: where the goals for angles hold."""


def head_is_upright(_: Pair, person: Person) -> bool:
    return max(abs(person.head_yaw_los), abs(person.head_pitch_los)) <= UPRIGHT_HEAD_DEG


def eyes_can_be_read(pair: Pair, person: Person) -> bool:
    return person.eyes == "open" and person.iris_is_seen and head_is_upright(pair, person)
