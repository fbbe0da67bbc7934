"""Undo: all that eyeline wrote into sidecars goes, and nothing else."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from eyeline.deciding.sidecar_record import SidecarRecord, SidecarRecords
from eyeline.errors import BadConfiguration, EyelineError, UnsafeSidecar, unforeseen
from eyeline.exiftool import ExifTool
from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.intake.roots import outermost, resolved
from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome
from eyeline.sidecar.annotate import Result, withdraw
from eyeline.sidecar.found import Lookup
from eyeline.sidecar.naming import Naming, is_sidecar
from eyeline.sidecar.outcome import digest_of
from eyeline.sidecar.replacing import Interrupted
from eyeline.sidecar.restoring import cleared, restore
from eyeline.sidecar.written import Written
from eyeline.terms.verdict import Verdict

UNJUDGED = Verdict("", 0.0, None, (), (), (), "")
"""Stands in a decision about a sidecar whose photo this ledger has never judged."""


@dataclass(frozen=True, slots=True)
class Undone:
    """What became, or would become, of one sidecar. `exact`: it is again what it was, byte for byte."""

    sidecar: Path
    sentence: str
    exact: bool
    refused: bool = False


def undo(
    ledger: Ledger,
    log: DecisionLog,
    exiftool: ExifTool,
    paths: Sequence[Path],
    naming: Naming,
    dry_run: bool,
    by_history: bool = False,
) -> Iterator[Undone]:
    """Take back what eyeline wrote for every photo at or under `paths`, those that are gone included.

    Sidecars in which there is nothing of eyeline's are passed over in silence. With `dry_run` nothing is
    written anywhere. `by_history`: believe the history inside sidecars of which the ledger knows nothing.
    Raises ExifToolFailed, LedgerFailed.
    """
    records = SidecarRecords(ledger, naming)
    seen: set[Path] = set()
    for photo in photos_at(ledger, paths):
        for each in _namings(ledger, photo, naming):
            try:
                record = records.of(photo, each)
            except (FileNotFoundError, Interrupted):  # the folder is gone, or the photo that carries its XMP
                continue
            except (OSError, UnsafeSidecar) as error:
                carrier = records.path(photo, each)
                if carrier is None or ledger.decisions.latest_written(carrier) is not None:
                    yield Undone(photo, str(error), exact=False, refused=True)
                continue  # else eyeline never wrote there: a stranger's, whatever is wrong with it
            if record.path in seen or _is_a_namesakes(ledger, photo, record):
                continue
            seen.add(record.path)
            try:
                undone = _Undoing(ledger, log, exiftool, photo, record, dry_run, by_history).undone(
                    records.lookup(photo, each)
                )
            except EyelineError:
                raise
            except Exception as error:  # whatever it is: one photo's, and the others go on
                undone = Undone(record.path, str(unforeseen(error, photo)), exact=False, refused=True)
            if undone is not None:
                yield undone


def _namings(ledger: Ledger, photo: Path, naming: Naming) -> tuple[Naming, ...]:
    """How the carrier of the XMP of `photo` is named, or was before the configuration changed."""
    if naming.embeds or ledger.decisions.latest_written(photo) is not None:
        return naming, naming.counterpart
    return (naming,)


def _is_a_namesakes(ledger: Ledger, photo: Path, record: SidecarRecord) -> bool:
    """Whether the sidecar is that of another photo of this name, from another moment: with the sidecar of
    `photo` gone, IMG_1.xmp is what is found for it.
    """
    own, last = ledger.decisions.latest(photo), record.decision
    if own is None or own.path != photo or own.sidecar is None or last is None:
        return False
    return last.path != photo and own.sidecar != record.path


def check_known(ledger: Ledger, paths: Sequence[Path]) -> None:
    """Raise BadConfiguration for a path at which nothing lies and of which the ledger knows nothing."""
    for path in paths:
        if not os.path.lexists(path) and not ledger.about(resolved(path)):
            raise BadConfiguration(
                "there is no such file or folder, and the ledger knows nothing of one",
                path,
                "Look at its name",
            )


def photos_at(ledger: Ledger, paths: Sequence[Path]) -> list[Path]:
    """Photos at or under `paths`: those that lie there, and those of which the ledger has a decision."""
    there = [found.path for found in catch_up(paths) if isinstance(found, Candidate)]
    known = [path for root in outermost(paths) for path in ledger.decisions.paths_under(root)]
    return list(dict.fromkeys((*there, *known)))


@dataclass(frozen=True, slots=True)
class _Undoing:
    """What eyeline wrote into one sidecar is taken back."""

    ledger: Ledger
    log: DecisionLog
    exiftool: ExifTool
    photo: Path
    record: SidecarRecord
    dry_run: bool
    by_history: bool

    def undone(self, lookup: Lookup) -> Undone | None:
        """Take it back; None where there is nothing of eyeline's. Raises ExifToolFailed, LedgerFailed."""
        sidecar, pre_image = self.record.path, self.record.pre_image
        now = datetime.now(UTC)
        try:
            if pre_image is not None and restore(
                sidecar, self.record.left_as, pre_image.content, self.dry_run
            ):
                after = digest_of(pre_image.content)
                if not self.dry_run:
                    self._remember(pre_image.left_as, after, cleared(self.record.last), now)
                goes = after is None and is_sidecar(sidecar)
                what = "eyeline had made this file; it goes" if goes else "as before eyeline, byte for byte"
                return Undone(sidecar, what, exact=True)
        except (OSError, UnsafeSidecar) as error:
            return Undone(sidecar, str(error), exact=False, refused=True)
        if self.record.found.content is None:
            return None
        outcome = withdraw(
            self.exiftool,
            lookup,
            self.record.last,
            now.astimezone(),
            self.dry_run,
            self.record.found,
            self.record.attests,
            self.by_history,
        )
        if outcome.result is Result.REFUSED:
            return Undone(sidecar, outcome.sentence, exact=False, refused=True)
        if outcome.result not in (Result.WRITTEN, Result.PLANNED):
            return None
        if not self.dry_run:
            remembered = outcome.written or cleared(self.record.last)
            self._remember(outcome.digest_before or "", outcome.digest_after, remembered, now)
        return Undone(sidecar, outcome.sentence, exact=False)

    def _remember(self, before: str, after: str | None, written: Written, now: datetime) -> None:
        last = self.ledger.decisions.latest(self.photo)
        decision = Decision(
            path=self.photo,
            digest=last.digest if last is not None else "",
            verdict=last.verdict if last is not None else UNJUDGED,
            outcome=Outcome.TAKEN_BACK,
            decided_at=now,
            sidecar=self.record.path,
            sidecar_before=before,
            sidecar_after=after,
            written=written.to_json(),
        )
        with self.ledger.transaction():
            self.ledger.decisions.add(decision)
            self.ledger.pre_images.drop(self.record.path)
        self.log.event("taken back", now, path=str(self.photo), sidecar=str(self.record.path))
