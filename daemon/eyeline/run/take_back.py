"""The way out of a doubt: the photographer lets eyeline write anew where all that it wrote was gone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.intake.status import status_of
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Outcome, Photo
from eyeline.run.undo import photos_at
from eyeline.sidecar.naming import Naming
from eyeline.sidecar.restoring import cleared


def in_doubt(ledger: Ledger, paths: Sequence[Path], naming: Naming) -> Iterator[Photo]:
    """Every measured photo at or under `paths` in whose sidecar all that eyeline wrote is gone."""
    records = SidecarRecords(ledger, naming)
    for path in photos_at(ledger, paths):
        photo = ledger.photos.at(path)
        if photo is None or status_of(path) is None:
            continue
        record = records.readable(path)
        if record is not None and record.is_gone:
            yield photo


def let_write_anew(ledger: Ledger, photo: Photo, naming: Naming) -> None:
    """Note that nothing of eyeline's is in the sidecar of `photo`, so that it may be written as at first.

    What the photographer had decided before stays theirs. Raises UnsafeSidecar, OSError, Interrupted.
    """
    path = photo.frame.path
    record = SidecarRecords(ledger, naming).of(path)
    if record.decision is None or record.last is None:
        return
    with ledger.transaction():
        ledger.pre_images.drop(record.path)
        ledger.decisions.add(
            replace(
                record.decision,
                path=path,
                outcome=Outcome.TAKEN_BACK,
                refused_because=None,
                decided_at=datetime.now(UTC),
                sidecar=record.path,
                sidecar_before=None,
                sidecar_after=None,
                written=cleared(record.last).to_json(),
            )
        )
