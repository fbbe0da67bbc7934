"""Series: frames of one look and pose, seconds apart."""

from __future__ import annotations

from collections.abc import Sequence

from eyeline.sitting.shot import Shot

SERIES_PAUSE_SECONDS = 6.0
"""Longest pause inside a series: strobes recycle in 2 to 5 s, and a second to press again."""

MOST_TURN_DEG = 9.0
"""Change of the head's yaw or roll up to which the pose is the same: twice the error of an estimate, and
what a sitter moves without being asked."""

MOST_NOD_DEG = 11.0
"""The same for pitch, which a blink or a smile shifts by some 5 degrees."""

MOST_SHIFT = 0.08
"""Shift of the eyes, in fractions of the frame, up to which the framing is the same (common practice)."""

MOST_ZOOM = 1.25
"""Ratio of the larger to the smaller distance from eyes to chin, up to which the framing is the same."""

MOST_GLANCE_DEG = 12.0
"""Change of the gaze's direction up to which it is the same: three times the error of its yaw."""

EYES_IN_VIEW = 0.5
"""Probability of open eyes from which the gaze counts: a blink ends no series."""

OTHER_PICTURE_BITS = 25
"""Distance of two difference hashes from which they are different pictures: measured on a portrait, other
pictures lie 25 to 36 bits away; a shift by 3 % of the frame 16."""

SAME_PICTURE_BITS = 10
"""Distance up to which two pictures are near-duplicates: two random hashes come so near once in 10^8."""

OUTLIERS = 1
"""Frames in a row that may stand out from a series without ending it."""


def series(shots: Sequence[Shot], rows: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Part the frames `rows` of one look, in the order taken, into series; a frame alone is one of one.

    A frame belongs to the series of the frame before it, or of the one before that, if it is alike.
    Cameras are kept apart.
    """
    found: list[list[int]] = []
    for row in rows:
        home = next(
            (
                one
                for one in reversed(found[-(OUTLIERS + 1) :])
                if any(alike(shots[before], shots[row]) for before in one[-(OUTLIERS + 1) :])
            ),
            None,
        )
        if home is None:
            found.append([row])
        else:
            home.append(row)
    return tuple(tuple(one) for one in found)


def alike(one: Shot, other: Shot) -> bool:
    """Whether two frames were taken seconds apart of the same pose, framed alike.

    Where time or pose is unknown, the pictures themselves must be near-duplicates.
    """
    if (one.folder, one.serial) != (other.folder, other.serial):
        return False
    bits = hash_distance(one.value("picture_hash"), other.value("picture_hash"))
    if bits is not None and bits >= OTHER_PICTURE_BITS:
        return False
    duplicate = bits is not None and bits <= SAME_PICTURE_BITS
    first, second = one.seconds, other.seconds
    if first is None or second is None:
        return duplicate and _same_pose(one, other) is not False
    if abs(second - first) > SERIES_PAUSE_SECONDS:
        return False
    same = _same_pose(one, other)
    return duplicate if same is None else same


def hash_distance(one: object, other: object) -> int | None:
    """Bits in which two hashes in hex differ; None where either is missing."""
    if not isinstance(one, str) or not isinstance(other, str):
        return None
    return (int(one, 16) ^ int(other, 16)).bit_count()


def _same_pose(one: Shot, other: Shot) -> bool | None:
    """None where a pose is unknown."""
    if one.value("frame_format") != other.value("frame_format"):
        return False
    for measure, most in (
        ("head_yaw_deg", MOST_TURN_DEG),
        ("head_roll_deg", MOST_TURN_DEG),
        ("head_pitch_deg", MOST_NOD_DEG),
        ("eye_x", MOST_SHIFT),
        ("eye_line", MOST_SHIFT),
    ):
        first, second = one.number(measure), other.number(measure)
        if first is None or second is None:
            return None
        if abs(first - second) > most:
            return False
    return not _zoomed(one, other) and not _glanced(one, other)


def _zoomed(one: Shot, other: Shot) -> bool:
    first, second = one.number("eye_to_chin"), other.number("eye_to_chin")
    if not first or not second:
        return False  # a cut chin: the position of the eyes has to do
    return max(first, second) > MOST_ZOOM * min(first, second)


def _glanced(one: Shot, other: Shot) -> bool:
    """Whether the eyes went elsewhere; unknown where lids hide them."""
    if any((each.number("eyes_open") or 0.0) < EYES_IN_VIEW for each in (one, other)):
        return False
    if one.value("gaze") == other.value("gaze"):
        return False
    for measure in ("gaze_yaw_deg", "gaze_pitch_deg"):
        first, second = one.number(measure), other.number(measure)
        if first is not None and second is not None and abs(first - second) > MOST_GLANCE_DEG:
            return True
    return False
