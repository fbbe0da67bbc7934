"""What every view works with: the table, the photographer's hand, pictures, how to correct and deliver."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request

from eyeline.deciding.decide import Decider
from eyeline.pages.review.corrections import Corrections
from eyeline.pages.review.delivery_job import DeliveryJob
from eyeline.pages.review.live import Live
from eyeline.pages.review.own_hands import OwnHands
from eyeline.pages.review.pictures import Pictures
from eyeline.pages.review.spread import Laid, Part
from eyeline.pages.review.stations_watch import StationsWatch
from eyeline.pages.review.table import LightTable


@dataclass(frozen=True)
class Desk:
    """`decider`: the one in force. `reload`: has the rules read again and all frames judged by them. `sit`:
    has it noted who sits from now on under a folder: a number, a name or "next". `stations`: None where one
    machine measures alone."""

    decider: Callable[[], Decider]
    table: LightTable
    hands: OwnHands
    corrections: Corrections
    pictures: Pictures
    live: Live
    delivery: DeliveryJob
    reload: Callable[[], None]
    sit: Callable[[str, Path], Mapping[str, Any]]
    stations: StationsWatch | None

    def found(self, request: Request) -> tuple[Part, Laid]:
        """The frame that an address names by its key. Raises HTTPException where none is on the table."""
        found = self.table.spread.find(request.path_params["key"])
        if found is None:
            raise HTTPException(404)
        return found
