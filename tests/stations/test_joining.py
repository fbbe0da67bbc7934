"""A station of another edition, unfit, with a wrong clock or path is refused with the sentence that helps."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.stations.joining import (
    MOST_CLOCKS_APART_S,
    Probe,
    Report,
    blindness,
    described,
    digest_of,
    refusal,
)

NOW_S = 1_800_000_000.0
GOOD = Report("chair-2", described(), NOW_S, 4)
PROBE = Probe(Path("/shoot"), Path("/shoot/a.jpg"), "ab" * 32)


def other(**measures: Any) -> Report:
    return replace(GOOD, measures={**described(), **measures})


def test_one_that_is_alike_may_measure() -> None:
    assert refusal(GOOD, described(), NOW_S, NOW_S) is None


@pytest.mark.parametrize(
    ("report", "cure"),
    [
        (other(edition=MEASURES_EDITION + 1), "Install eyeline"),
        (other(eyeline="0.1"), "Install the same on both"),
        (other(measures=described()["measures"][1:]), "Install the same plug-ins"),
        (other(measures=[*described()["measures"], "monochrome"]), "Install the same plug-ins"),
        (replace(GOOD, unfit="its face models do not load. Run there: sh service/bootstrap stations"), "Run"),
        (replace(GOOD, clock_s=NOW_S + MOST_CLOCKS_APART_S + 1), "timedatectl"),
        (replace(GOOD, clock_s=NOW_S - MOST_CLOCKS_APART_S - 1), "timedatectl"),
        (Report("elder", {"edition": "?"}, NOW_S, 0), "Install eyeline"),
    ],
)
def test_one_that_is_not_is_refused_by_name_with_the_cure(report: Report, cure: str) -> None:
    told = refusal(report, described(), NOW_S, NOW_S)
    assert told is not None and report.host in told and cure in told


def test_a_slow_answer_is_no_wrong_clock() -> None:
    assert refusal(GOOD, described(), NOW_S - 3 * MOST_CLOCKS_APART_S, NOW_S) is None


def test_the_folder_is_the_same_when_the_digest_is() -> None:
    told = {str(PROBE.path): PROBE.digest}
    assert blindness(replace(GOOD, digests=told), PROBE) is None
    for wrong in ({}, {str(PROBE.path): "cd" * 32}, {str(PROBE.path): "!No such file or directory"}):
        places = {str(PROBE.path): "/mnt/a.jpg"}
        said = blindness(replace(GOOD, digests=wrong, places=places), PROBE)
        assert said is not None and "--map /shoot=FOLDER" in said and "/mnt/a.jpg" in said


def test_the_digest_is_sha_256(tmp_path: Path) -> None:
    """FIPS 180-4's published example: the three bytes "abc"."""
    (tmp_path / "abc").write_bytes(b"abc")
    assert digest_of(tmp_path / "abc") == ("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")
