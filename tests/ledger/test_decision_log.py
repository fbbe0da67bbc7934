"""The decision log: one event a line, whatever a file is called."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from eyeline.errors import LedgerFailed
from eyeline.ledger import Decision, DecisionLog, Outcome, Problem
from eyeline.terms.verdict import Verdict
from tests.ledger import invented, strategies
from tests.ledger.invented import FOLDER, NOW, VERDICT

FULL_DISK = Path("/dev/full")  # Linux: a file that answers every write as a full disk does
FORGERY = FOLDER / 'a\n{"event":"decided","stars":5}\r\u2028\x85\x7f\x1b[31m\udcff.jpg'


@pytest.fixture
def log(tmp_path: Path) -> DecisionLog:
    return DecisionLog(tmp_path / "decisions.jsonl")


def lines(log: DecisionLog) -> list[dict[str, object]]:
    return [json.loads(line) for line in log.path.read_text("ascii").splitlines()]


def test_a_decision_is_one_line_with_both_digests_and_the_costs(log: DecisionLog) -> None:
    log.decided(invented.decision())
    (line,) = lines(log)
    assert line["event"] == "decided" and line["at"] == "2026-11-25T12:00:00.000000+00:00"
    assert (line["digest"], line["rules_digest"], line["stars"], line["outcome"]) == (
        "d1",
        "r1",
        3,
        "written",
    )


def test_a_hostile_file_name_forges_no_line(log: DecisionLog) -> None:
    log.decided(Decision(FORGERY, "d", VERDICT, Outcome.DRY_RUN, NOW))
    log.problem(Problem(FORGERY, f"broken {FORGERY}", str(FORGERY), NOW))
    assert log.path.read_bytes().count(b"\n") == 2
    assert not any(byte < 32 or byte > 126 for byte in log.path.read_bytes().replace(b"\n", b""))
    assert [line["path"] for line in lines(log)] == [str(FORGERY)] * 2


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    max_examples=50,
    deadline=None,
)
@given(verdict=strategies.verdicts, path=strategies.paths, note=st.text(alphabet=st.characters()))
def test_whatever_is_logged_is_one_printable_line(
    log: DecisionLog, verdict: Verdict, path: Path, note: str
) -> None:
    log.path.unlink(missing_ok=True)
    log.decided(Decision(path, "d", verdict, Outcome.REFUSED, NOW, refused_because=note))
    (line,) = log.path.read_bytes().splitlines()
    assert line.decode("ascii").isprintable()
    assert json.loads(line)["refused_because"] == note


def test_the_log_is_private(log: DecisionLog) -> None:
    log.event("start", NOW, version="0.1.0")
    assert log.path.stat().st_mode & 0o777 == 0o600


def test_a_large_log_is_put_aside_and_the_oldest_goes(tmp_path: Path) -> None:
    log = DecisionLog(tmp_path / "log.jsonl", largest_bytes=200, kept_files=3)
    for number in range(100):
        log.event("turn", NOW, number=number)
    files = ["log.jsonl.2", "log.jsonl.1", "log.jsonl"]
    found = [path.name for path in tmp_path.iterdir()]
    assert set(found) <= set(files) and len(found) >= 2
    kept = [
        json.loads(line)["number"]
        for name in files
        if (tmp_path / name).exists()
        for line in (tmp_path / name).read_text().splitlines()
    ]
    assert kept == list(range(100 - len(kept), 100)) and len(kept) > 3
    assert all(path.stat().st_size < 200 + 100 for path in tmp_path.iterdir())


def test_a_line_that_was_cut_short_does_not_spoil_the_next(log: DecisionLog) -> None:
    log.event("one", NOW)
    with log.path.open("ab") as opened:
        opened.write(b'{"at":"cut sho')
    log.event("two", NOW)
    assert [line.startswith(b'{"at":"2026') for line in log.path.read_bytes().splitlines()] == [
        True,
        False,
        True,
    ]


def test_what_is_forgotten_is_in_no_file_of_the_log(tmp_path: Path) -> None:
    log = DecisionLog(tmp_path / "log.jsonl", largest_bytes=2000)
    for number in range(12):
        log.decided(invented.decision(FOLDER / f"hush-{number}.jpg"))
        log.decided(invented.decision(Path(f"/photos/one other/{number}.jpg")))
    log.event("start", NOW)
    content = "".join(path.read_text() for path in tmp_path.iterdir())
    assert log.forget(FOLDER) == content.count('"path":"/photos/one/hush')
    left = "".join(path.read_text() for path in tmp_path.iterdir())
    assert "hush" not in left
    assert left.count("one other/") == content.count("one other/") and '"start"' in left
    assert all(path.stat().st_mode & 0o777 == 0o600 for path in tmp_path.iterdir())


def test_a_log_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()
    with pytest.raises(LedgerFailed, match="decision log cannot be written"):
        DecisionLog(tmp_path / "taken").event("start", NOW)
    (tmp_path / "link").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(LedgerFailed, match="decision log cannot be written"):
        DecisionLog(tmp_path / "link").event("start", NOW)
    assert not (tmp_path / "elsewhere").exists()


@pytest.mark.skipif(not FULL_DISK.exists(), reason="this system has no /dev/full")
def test_a_full_disk_is_told() -> None:
    with pytest.raises(LedgerFailed, match=r"No space left.*Free some space"):
        DecisionLog(FULL_DISK).event("start", NOW)


def test_infinity_is_never_logged(log: DecisionLog) -> None:
    with pytest.raises(ValueError, match="JSON"):
        log.decided(replace(invented.decision(), verdict=replace(VERDICT, score=float("inf"))))
    assert not log.path.exists()
