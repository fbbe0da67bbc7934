"""Decisions: added, never changed, found by path, image data and sidecar."""

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from eyeline.ledger import Decision, Ledger, Outcome
from eyeline.terms.verdict import Verdict
from tests.ledger import invented, strategies
from tests.ledger.invented import FOLDER, NOW, STAMP

PHOTO = FOLDER / "a.jpg"


def holds(ledger: Ledger, path: Path, digest: str) -> None:
    ledger.files.remember(path, STAMP, NOW)
    ledger.files.measured(path, STAMP, digest, 1, NOW)


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    max_examples=50,
    deadline=None,
)
@given(verdict=strategies.verdicts, path=strategies.paths)
def test_a_decision_survives_in_full(ledger: Ledger, verdict: Verdict, path: Path) -> None:
    decision = Decision(
        path,
        "d",
        verdict,
        Outcome.WRITTEN,
        NOW,
        None,
        path.with_suffix(".xmp"),
        None,
        "s2",
        '{"any": ["\\u0000"]}',
    )
    ledger.decisions.add(decision)
    assert ledger.decisions.latest(path) == decision
    assert ledger.decisions.latest_written(path.with_suffix(".xmp")) == decision


def test_the_latest_goes_before_the_earlier(ledger: Ledger) -> None:
    first, second = invented.decision(stars=2), invented.decision(stars=4)
    assert ledger.decisions.latest(PHOTO) is None
    numbers = [ledger.decisions.add(first), ledger.decisions.add(second)]
    assert numbers == sorted(set(numbers))
    assert ledger.decisions.latest(PHOTO) == ledger.decisions.latest_of("d1") == second
    assert ledger.status().decisions == 2


def test_a_renamed_photo_keeps_its_decision(ledger: Ledger) -> None:
    ledger.decisions.add(invented.decision())
    holds(ledger, FOLDER / "renamed.jpg", "d1")
    assert ledger.decisions.latest(FOLDER / "renamed.jpg") == invented.decision()


def test_of_two_copies_each_has_its_own_decision(ledger: Ledger) -> None:
    copy = FOLDER / "copy.jpg"
    for path in (PHOTO, copy):
        holds(ledger, path, "d1")
        ledger.decisions.add(invented.decision(path))
    assert ledger.decisions.latest(PHOTO) == invented.decision(PHOTO)


def test_another_photo_under_an_old_name_does_not_inherit_the_decision(ledger: Ledger) -> None:
    ledger.decisions.add(invented.decision(digest="d1"))
    holds(ledger, PHOTO, "d2")
    assert ledger.decisions.latest(PHOTO) is None


def test_what_we_left_in_a_sidecar_is_what_was_written_last(ledger: Ledger) -> None:
    sidecar = PHOTO.with_suffix(".xmp")
    assert ledger.decisions.latest_written(sidecar) is None
    written = replace(invented.decision(), written='{"stars": 3}')
    ledger.decisions.add(written)
    for outcome in (Outcome.DRY_RUN, Outcome.UNCHANGED, Outcome.KEPT):
        ledger.decisions.add(invented.decision(outcome=outcome))
    refused = replace(
        invented.decision(outcome=Outcome.DRY_RUN), outcome=Outcome.REFUSED, refused_because="broken"
    )
    ledger.decisions.add(refused)
    assert ledger.decisions.latest_written(sidecar) == written
    partly = replace(invented.decision(outcome=Outcome.KEPT), written='{"keywords": []}')
    ledger.decisions.add(partly)
    assert ledger.decisions.latest_written(sidecar) == partly


def test_a_decision_cannot_be_changed_even_by_sql(ledger: Ledger) -> None:
    ledger.decisions.add(invented.decision())
    with pytest.raises(sqlite3.IntegrityError, match="never changed"):
        ledger._database.change("UPDATE decisions SET stars = 5")
    assert ledger.decisions.latest(PHOTO) == invented.decision()


def test_the_record_of_what_was_written_must_be_json(ledger: Ledger) -> None:
    with pytest.raises(ValueError):
        ledger.decisions.add(replace(invented.decision(), written="{"))
    assert ledger.status().decisions == 0


def test_a_refusal_has_its_reason_and_nothing_else_has_one() -> None:
    with pytest.raises(ValueError, match="reason"):
        invented.decision(outcome=Outcome.REFUSED)
    with pytest.raises(ValueError, match="reason"):
        replace(invented.decision(), refused_because="why")
