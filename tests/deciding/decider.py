"""A decider with an invented photo: everything real but the measuring."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.exiftool import ExifTool
from eyeline.ledger import DecisionLog, Photo
from eyeline.ledger.records import Problem
from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.run.recovery import open_ledger
from eyeline.run.session import LOG_NAME
from eyeline.run.undo import Undone, undo
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import rules_in_force
from eyeline.sidecar.naming import Naming
from eyeline.terms.file_status import FileStatus
from tests.ledger.invented import photo as invented


@contextmanager
def open_decider(
    home: Path,
    exiftool: ExifTool,
    problems: list[Problem] | None = None,
    rebuilt_from: Sequence[Path] = (),
) -> Iterator[Decider]:
    """A decider whose ledger lies in `home`; `problems` collects what it tells. Rebuilds a damaged ledger."""
    configuration = Configuration(
        ledger=home / "kept" / "ledger.sqlite3", rules=home / "rules", previews=home / "previews"
    )
    told = problems if problems is not None else []
    ledger, _ = open_ledger(configuration.ledger, rebuilt_from, Naming.REPLACE, datetime.now(UTC))
    with ledger:
        log = DecisionLog(configuration.ledger.with_name(LOG_NAME))
        rules, _ = rules_in_force(configuration)
        yield Decider(configuration, rules, ledger, log, exiftool, (home,), told.append)


def measured(decider: Decider, path: Path, digest: str | None = None) -> Photo:
    """An invented photo at `path`, entered into the ledger as measured."""
    now = datetime.now(UTC)
    path.parent.mkdir(parents=True, exist_ok=True)
    if not path.exists():
        path.write_bytes(b"a photo")
    photo = invented(path, digest=digest or path.name)
    photo = replace(photo, frame=replace(photo.frame, path=path), measures_edition=MEASURES_EDITION)
    stamp = FileStatus.of(path.stat())
    decider.ledger.files.remember(path, stamp, now)
    decider.ledger.photos.record(photo)
    decider.ledger.files.measured(path, stamp, photo.frame.digest, photo.frame.orientation, now)
    return photo


def undone(decider: Decider, path: Path, dry_run: bool = False, by_history: bool = False) -> list[Undone]:
    return list(
        undo(decider.ledger, decider.log, decider.exiftool, [path], Naming.REPLACE, dry_run, by_history)
    )


def records(decider: Decider) -> SidecarRecords:
    return SidecarRecords(decider.ledger, decider.configuration.naming)
