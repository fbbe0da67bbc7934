"""The day of many sitters with pictures and the real daemon, in short; in full: `tests.run.volume_day`."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.run.volume_day import play


@pytest.mark.slow
def test_every_frame_is_at_the_right_sitter_and_every_gap_is_told(tmp_path: Path) -> None:
    """Five sitters of the bundled shoot: the fourth comes late and is named by a code, the second's slate is
    forgotten and her frames are moved."""
    day = play(tmp_path, 5, 3, 0.25)
    assert len(day.meant) == 15 and day.wrong == []
    assert day.gaps and day.gaps <= day.told.keys()
