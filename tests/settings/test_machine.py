"""Workers by processors and memory at hand, as proc_meminfo(5) and control groups version 2 state it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from eyeline.settings import machine
from eyeline.settings.machine import (
    LARGEST_WORKER_BYTES,
    USUAL_WORKER_BYTES,
    default_workers,
    memory_at_hand,
    memory_of_each,
)

MEMINFO = """\
MemTotal:       16316412 kB
MemFree:          512000 kB
MemAvailable:    4000000 kB
"""


@pytest.fixture
def meminfo(tmp_path: Path) -> Path:
    file = tmp_path / "meminfo"
    file.write_text(MEMINFO)
    return file


def test_what_programs_may_take_counts_not_what_is_free(meminfo: Path, tmp_path: Path) -> None:
    assert memory_at_hand(meminfo, tmp_path) == 4_096_000_000


def test_a_container_that_allows_less_is_heeded(meminfo: Path, tmp_path: Path) -> None:
    (tmp_path / "memory.max").write_text("2000000000\n")
    (tmp_path / "memory.current").write_text("500000000\n")
    assert memory_at_hand(meminfo, tmp_path) == 1_500_000_000
    (tmp_path / "memory.max").write_text("max\n")
    assert memory_at_hand(meminfo, tmp_path) == 4_096_000_000


def test_a_system_that_says_nothing_has_half_of_its_memory_at_hand(tmp_path: Path) -> None:
    whole = os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    assert memory_at_hand(tmp_path / "none", tmp_path) == whole // 2


@pytest.mark.parametrize(("gigabytes", "workers"), [(0.2, 1), (1, 1), (4, 5), (64, 16)])
def test_workers_fit_into_memory_and_processors(
    monkeypatch: pytest.MonkeyPatch, gigabytes: float, workers: int
) -> None:
    monkeypatch.setattr(machine, "memory_at_hand", lambda: int(gigabytes * 1e9))
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(16)), raising=False)
    assert default_workers() == workers
    each = memory_of_each(workers)
    assert USUAL_WORKER_BYTES <= each <= LARGEST_WORKER_BYTES
    assert workers == 1 or workers * each <= gigabytes * 1e9
