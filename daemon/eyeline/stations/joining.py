"""May a station measure? What it tells of itself, held against what the daemon expects.

A station is asked when it joins and before it first measures in a root; one that is refused is asked again,
since what was wrong may have been mended.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path
from typing import Any

from eyeline.errors import printable
from eyeline.measuring.catalogue import MEASURES_EDITION, quantities
from eyeline.workers.examine import all_measures

MOST_CLOCKS_APART_S = 60.0
"""Far more than time synchronisation leaves (NTP, RFC 5905: milliseconds), less than whoever looks at logs of
two machines would be misled by; certificates are valid by the clock as well."""

MEASURED_ALIKE = "eyeline", "edition", "measures"


def described() -> dict[str, Any]:
    """What this machine's eyeline measures, in plain values: version, edition, names of all quantities."""
    return {
        "eyeline": version("eyeline"),
        "edition": MEASURES_EDITION,
        "measures": sorted(each.name for each in quantities(all_measures())),
    }


def digest_of(path: Path) -> str:
    """SHA-256 (FIPS 180-4) of the file at `path`, hex. Raises OSError."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


@dataclass(frozen=True, slots=True)
class Probe:
    """A photo in `root` by which a station shows that it sees the same folder: its path, its digest."""

    root: Path
    path: Path
    digest: str


@dataclass(frozen=True, slots=True)
class Report:
    """What a station tells of itself. `clock_s`: seconds since the epoch. `unfit`: what it lacks, or "".

    `digests`: of each probe by the daemon's path, or why there is none, after a `!`; `places`: where the
    station looked for it.
    """

    host: str
    measures: Mapping[str, Any]
    clock_s: float
    processes: int
    unfit: str = ""
    digests: Mapping[str, str] = field(default_factory=dict)
    places: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, told: Any) -> Report:
        """The report in plain values, as a station of any version sends them. Raises TypeError."""
        known = {name: told[name] for name in cls.__dataclass_fields__ if name in told}
        return cls(**known)


def refusal(report: Report, expected: Mapping[str, Any], asked_s: float, answered_s: float) -> str | None:
    """Why the station may not measure anything, with what to do; None where it may.

    `asked_s`, `answered_s`: the daemon's clock about the question.
    """
    host = printable(report.host)
    theirs, ours = report.measures.get("edition"), expected["edition"]
    if theirs != ours:
        return (
            f"the station {host} measures by edition {theirs}, this machine by {ours}. "
            f"Install eyeline {expected['eyeline']} there"
        )
    if report.measures.get("eyeline") != expected["eyeline"]:
        return (
            f"the station {host} has eyeline {report.measures.get('eyeline')}, this machine "
            f"{expected['eyeline']}. Install the same on both"
        )
    missing = sorted(set(expected["measures"]) - set(report.measures.get("measures", ())))
    more = sorted(set(report.measures.get("measures", ())) - set(expected["measures"]))
    if missing or more:
        which = f"lacks {', '.join(missing)}" if missing else f"has {', '.join(more)} besides"
        return f"the station {host} {which} among its measures. Install the same plug-ins on both"
    if report.unfit:
        return f"the station {host} cannot measure: {report.unfit}"
    apart_s = max(asked_s - report.clock_s, report.clock_s - answered_s)
    if apart_s > MOST_CLOCKS_APART_S:
        return (
            f"the clock of the station {host} is {apart_s:.0f} s off this machine's. "
            "Set both by the network (timedatectl set-ntp true)"
        )
    return None


def blindness(report: Report, probe: Probe) -> str | None:
    """Why the station may not measure in the probe's root, with what to do; None where it sees the same."""
    told = report.digests.get(str(probe.path), "!it was not looked for")
    if told == probe.digest:
        return None
    host, place = printable(report.host), printable(report.places.get(str(probe.path), str(probe.path)))
    what = f"({told[1:]})" if told.startswith("!") else "(that is another file)"
    return (
        f"the station {host} does not see {printable(probe.path)} as {place} {what}. Mount the same folder "
        f"there, or start it with --map {printable(probe.root)}=FOLDER"
    )
