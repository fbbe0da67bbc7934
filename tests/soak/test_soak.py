"""The daemon needs no more at the end of many photos than after the first of them.

The short form runs in CI. The full one: `python -m tests.soak --photos 10000 --plot soak.png`.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.soak.soak import Watched

PHOTOS, MOVED_IN = 240, 20

WARM_PHOTOS = 140
"""After so many, two workers take no more memory: their caches and their allocator have what they need."""

MOST_GROWTH = 1.05
"""Of memory, last quarter against second. A leak of 400 kB a photo would be 20 MB, some 5 % of what the
workers hold; the full form finds one of 2 kB."""

MOST_COMINGS_AND_GOINGS = 1.25
"""Of a dozen threads and twenty files one or two come and go; a leak of one in ten photos would add ten."""


@pytest.mark.slow
@pytest.mark.timeout(1800)
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_many_photos_leave_it_as_it_was(tmp_path: Path) -> None:
    watched = Watched(tmp_path)
    try:
        watched.arrive_one_by_one(PHOTOS)
        course = watched.course
        assert course.drift("daemon_bytes", WARM_PHOTOS) <= MOST_GROWTH
        assert course.drift("workers_bytes", WARM_PHOTOS) <= MOST_GROWTH
        assert course.drift("open_files", WARM_PHOTOS) <= MOST_COMINGS_AND_GOINGS
        assert course.drift("threads", WARM_PHOTOS) <= MOST_COMINGS_AND_GOINGS
        watched.arrive_at_once(MOVED_IN)
        assert watched.stop() == []
    finally:
        watched.end()
