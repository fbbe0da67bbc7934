"""The way out of a doubt: the photographer lets eyeline write anew where all that it wrote was gone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from eyeline.errors import UnsafeSidecar
from eyeline.intake.look import look_at
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Outcome, Photo
from eyeline.run.undo import photos_at
from eyeline.sidecar.naming import Naming, locate
from eyeline.sidecar.ownership import Written
from eyeline.sidecar.replacing import Interrupted
from eyeline.sidecar.restoring import cleared, doubt, now_in


def in_doubt(ledger: Ledger, paths: Sequence[Path], naming: Naming) -> Iterator[Photo]:
    """Every measured photo at or under `paths` in whose sidecar all that eyeline wrote is gone."""
    for path in photos_at(ledger, paths):
        photo = ledger.photos.at(path)
        if photo is None or look_at(path) is None:
            continue
        try:
            sidecar = locate(path, naming).path
            decision = ledger.decisions.latest_written(sidecar)
            if decision is None or not decision.written:
                continue
            if doubt(Written.from_json(decision.written), now_in(sidecar)[1]) is not None:
                yield photo
        except (OSError, UnsafeSidecar, Interrupted):
            continue  # `annotate` meets the same obstacle and says so


def let_write_anew(ledger: Ledger, photo: Photo, naming: Naming) -> None:
    """Note that nothing of eyeline's is in the sidecar of `photo`, so that it may be written as at first.

    What the photographer had decided before stays theirs.
    """
    path = photo.frame.path
    sidecar = locate(path, naming).path
    decision = ledger.decisions.latest_written(sidecar)
    if decision is None or not decision.written:
        return
    with ledger.transaction():
        ledger.pre_images.drop(sidecar)
        ledger.decisions.add(
            replace(
                decision,
                path=path,
                outcome=Outcome.TAKEN_BACK,
                refused_because=None,
                decided_at=datetime.now(UTC),
                sidecar=sidecar,
                sidecar_before=None,
                sidecar_after=None,
                written=cleared(Written.from_json(decision.written)).to_json(),
            )
        )
