"""From where the camera looks."""

from __future__ import annotations

from collections.abc import Sequence

from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair


def camera_height_row(pairs: Sequence[Pair]) -> Row:
    """Seen from below, level, above: beyond 8° of camera pitch, where the file carries the angle or not."""
    words = [
        (
            "high" if p.person.camera_pitch_deg < -8 else "low" if p.person.camera_pitch_deg > 8 else "level",
            p.value("camera_height"),
        )
        for p in pairs
        if p.person is not None
    ]
    decided = [(a, b) for a, b in words if b not in (None, "unsure")]
    right = sum(a == b for a, b in decided) / len(decided) if decided else 0.0
    return Row(
        "camera_height word",
        len(words),
        len(decided) / len(words),
        f"{right:.1%} right of those decided",
        "",
        None,
    )
