"""What a fuzzing run has shown, and how memory, time and exceptions are watched."""

from __future__ import annotations

import re
import signal
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

HANG_SECONDS = 120
"""Longest that one case may take: a loaded machine takes seconds where this one takes milliseconds."""

GROWTH_MIB = 48.0
"""Growth of resident memory over the second half of a run from which something is being kept: a leak of
one small picture a case would be many times that, allocators' own waves stay under it."""


class Hang(BaseException):
    """A case took longer than HANG_SECONDS; no `except Exception` may swallow it."""


@dataclass(slots=True)
class Figures:
    """One kind's figures. `outcomes`: how often each allowed end came about. `faults`: what may not be, each
    with the case that shows it again. `resident_mib`: after each case."""

    kind: str
    seed: int
    outcomes: Counter[str] = field(default_factory=Counter)
    crashes: list[str] = field(default_factory=list)
    hangs: list[str] = field(default_factory=list)
    altered: list[str] = field(default_factory=list)
    resident_mib: list[float] = field(default_factory=list)

    @property
    def cases(self) -> int:
        """How many cases were tried."""
        return len(self.resident_mib)

    @property
    def growth_mib(self) -> float:
        """Growth of memory over the second half of the run, in MiB."""
        return self.resident_mib[-1] - self.resident_mib[len(self.resident_mib) // 2]

    @property
    def grows(self) -> bool:
        """Whether that is more than allocators do by themselves."""
        return self.growth_mib > GROWTH_MIB

    @property
    def faults(self) -> list[str]:
        """All that may not be."""
        growth = [f"memory grew by {self.growth_mib:.0f} MiB"] if self.grows else []
        return [*self.crashes, *self.hangs, *self.altered, *growth]

    def cells(self) -> tuple[str, ...]:
        """The row of the table that is printed."""
        ends = ", ".join(f"{count} {name}" for name, count in self.outcomes.most_common())
        found = (len(self.crashes), len(self.hangs), len(self.altered), int(self.grows))
        return (self.kind, str(self.seed), str(self.cases), *map(str, found), f"{self.growth_mib:.1f}", ends)


HEADINGS = ("kind", "seed", "cases", "crashes", "hangs", "lost or altered", "growth", "MiB grown", "ends")


def resident_mib(process: int | str = "self") -> float:
    """Resident memory of a process (VmRSS, proc_pid_status(5)) in MiB."""
    found = re.search(r"VmRSS:\s+(\d+) kB", Path(f"/proc/{process}/status").read_text())
    return int(found[1]) / 1024 if found else 0.0


@contextmanager
def watched(figures: Figures, case: int) -> Iterator[None]:
    """Run one case: an exception that is let through is a crash, no end in time is a hang."""

    def too_late(*_: object) -> None:
        raise Hang

    before = signal.signal(signal.SIGALRM, too_late)
    signal.setitimer(signal.ITIMER_REAL, HANG_SECONDS)
    try:
        yield
    except Hang:
        figures.hangs.append(f"{figures.kind} {case} hangs")
    except Exception as error:
        figures.crashes.append(f"{figures.kind} {case}: {type(error).__name__}: {str(error)[:300]}")
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
