"""Who does what: the stations of a scheduler, asked from outside."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from eyeline.errors import EyelineError
from eyeline.stations import station
from eyeline.stations.certificates import security_for
from eyeline.stations.library import load

ANSWER_SECONDS = 5.0
"""Patience with a scheduler, and with its stations."""


@dataclass(frozen=True, slots=True)
class Doing:
    """What the station at `address` says of itself: photos `in_hand` as the daemon names them, how many it
    has `measured` since it started, and why it is `refused`, "" where it is not."""

    host: str
    processes: int
    measured: int
    in_hand: tuple[str, ...]
    refused: str
    address: str


def who_does_what(address: str, certificates: Path) -> list[Doing]:
    """The stations of the scheduler at `address`, by host. Raises EyelineError where that does not answer."""
    security = security_for(address, certificates)
    return asyncio.run(_asked(address, security))


async def _asked(address: str, security: Any) -> list[Doing]:
    try:
        async with load().Client(
            address, asynchronous=True, security=security, timeout=ANSWER_SECONDS, set_as_default=False
        ) as client:
            told = await asyncio.wait_for(client.run(station.status, on_error="ignore"), ANSWER_SECONDS)
    except (OSError, TimeoutError) as error:
        raise EyelineError(
            f"no scheduler answers at {address}",
            cure="Start it there: eyeline workers scheduler. Are the certificates of one authority?",
        ) from error
    found = [
        Doing(
            str(each["host"]),
            int(each["processes"]),
            int(each["measured"]),
            tuple(map(str, each["in_hand"])),
            str(each["refused"]),
            address,
        )
        for address, each in told.items()
    ]
    return sorted(found, key=lambda each: each.host)
