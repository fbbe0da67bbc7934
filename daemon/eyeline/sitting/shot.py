"""A shot: what the set needs to know of one photo, and when it was taken."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from eyeline.terms.measurement import Measurement, Value
from eyeline.terms.points import Points

_TAKEN_AT = re.compile(r"(?P<moment>\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d)(?:\.(?P<fraction>\d+))?")
_EPOCH = datetime(1970, 1, 1)


@dataclass(frozen=True, slots=True, eq=False)
class Shot:
    """One photo among others. Never its pixels, and nothing that tells who is in it.

    `name`: file name; `folder`: where it lies. `taken_at`: as in terms.frame.Capture. `serial`: of the
    camera. `sitting`: the name that the photographer gave the sitting, if any.
    """

    name: str
    folder: str
    taken_at: str | None
    serial: str | None
    measurements: Mapping[str, Measurement]
    points: Points | None = None
    sitting: str | None = None

    def value(self, measure: str) -> Value:
        """What was measured; None where it is missing or was not taken."""
        taken = self.measurements.get(measure)
        return None if taken is None else taken.value

    def number(self, measure: str) -> float | None:
        """The same as a number; None for a word."""
        value = self.value(measure)
        return None if value is None or isinstance(value, str) else float(value)

    @property
    def seconds(self) -> float | None:
        """When it was taken, in seconds of the camera's own clock; None where the file does not say.

        The offset from UTC is left out: one camera's frames are compared with each other, and many
        cameras record none.
        """
        return seconds_of(self.taken_at)

    @property
    def shows_no_face(self) -> bool:
        """A slate, a colour chart, an empty set."""
        return self.value("people") == 0


def seconds_of(taken_at: str | None) -> float | None:
    """Seconds since 1970 by the clock that wrote the ISO 8601 text `taken_at`; None for no valid text.

    The fraction is a decimal one: `.07` is seven hundredths, `.7` seven tenths (CIPA DC-008,
    SubSecTimeOriginal).
    """
    found = _TAKEN_AT.match(taken_at or "")
    if found is None:
        return None
    try:
        whole = (datetime.fromisoformat(found["moment"]) - _EPOCH).total_seconds()
    except ValueError:
        return None
    return whole + float(f"0.{found['fraction'] or 0}")


def natural(name: str) -> tuple[tuple[int, int | str], ...]:
    """A key that sorts file names as people count: `a9` before `a10`."""
    return tuple(
        (0, int(part)) if part.isdecimal() else (1, part.casefold())
        for part in re.split(r"(\d+)", name)
        if part
    )


def in_order(shot: Shot) -> tuple[bool, float, tuple[tuple[int, int | str], ...]]:
    """A key that sorts the shots of one camera by time, and by name where the time is the same or unknown."""
    seconds = shot.seconds
    return seconds is None, seconds or 0.0, natural(shot.name)
