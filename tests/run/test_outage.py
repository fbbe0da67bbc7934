"""While the ledger cannot be written: told once, messages kept in their order."""

from __future__ import annotations

from eyeline.errors import LedgerFailed
from eyeline.run.outage import Outage

FULL, BUSY = LedgerFailed("the disk is full"), LedgerFailed("the ledger is locked")


def test_it_is_told_once_until_it_ends() -> None:
    outage = Outage()
    assert outage.error is None
    assert outage.begin(FULL)
    assert not outage.begin(BUSY)
    assert outage.error is FULL
    assert outage.end() is FULL
    assert outage.error is None and outage.end() is None
    assert outage.begin(BUSY)


def test_what_is_put_off_is_taken_up_in_its_order_and_once() -> None:
    outage = Outage()
    outage.begin(FULL)
    for message in ("first", "second"):
        outage.put_off(message)
    assert outage.take_up() == ["first", "second"]
    assert outage.take_up() == []
    assert outage.error is FULL, "messages are taken up again and again until it ends"
