"""Undo: all that eyeline wrote into sidecars goes, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from eyeline.deciding.pre_image import digests_left
from eyeline.errors import UnsafeSidecar
from eyeline.exiftool import ExifTool
from eyeline.intake.catch_up import Candidate, catch_up
from eyeline.intake.roots import outermost
from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome
from eyeline.sidecar.annotate import Result, withdraw
from eyeline.sidecar.carrier import read_whole
from eyeline.sidecar.naming import Naming, is_sidecar, locate
from eyeline.sidecar.outcome import digest_of
from eyeline.sidecar.ownership import Written
from eyeline.sidecar.restoring import cleared, restore
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
) -> Iterator[Undone]:
    """Take back what eyeline wrote for every photo at or under `paths`, those that are gone included.

    Sidecars in which there is nothing of eyeline's are passed over in silence. With `dry_run` nothing is
    written anywhere. Raises ExifToolFailed, LedgerFailed.
    """
    seen: set[Path] = set()
    for photo in photos_at(ledger, paths):
        for each in _namings(ledger, photo, naming):
            try:
                sidecar = locate(photo, each).path
            except (OSError, UnsafeSidecar) as error:
                if not isinstance(error, FileNotFoundError):
                    yield Undone(photo, str(error), exact=False, refused=True)
                continue
            if sidecar in seen or _is_a_namesakes(ledger, photo, sidecar):
                continue
            seen.add(sidecar)
            undone = _one(ledger, log, exiftool, photo, sidecar, each, dry_run)
            if undone is not None:
                yield undone


def _namings(ledger: Ledger, photo: Path, naming: Naming) -> tuple[Naming, ...]:
    """How the carrier of the XMP of `photo` is named, or was before the configuration changed."""
    if naming.embeds or ledger.decisions.latest_written(photo) is not None:
        return naming, naming.counterpart
    return (naming,)


def _is_a_namesakes(ledger: Ledger, photo: Path, sidecar: Path) -> bool:
    """Whether `sidecar` is that of another photo of this name, from another moment: with the sidecar of
    `photo` gone, IMG_1.xmp is what is found for it.
    """
    own, last = ledger.decisions.latest(photo), ledger.decisions.latest_written(sidecar)
    if own is None or own.path != photo or own.sidecar is None or last is None:
        return False
    return last.path != photo and own.sidecar != sidecar


def photos_at(ledger: Ledger, paths: Sequence[Path]) -> list[Path]:
    """Photos at or under `paths`: those that lie there, and those of which the ledger has a decision."""
    there = [found.path for found in catch_up(paths) if isinstance(found, Candidate)]
    known = [path for root in outermost(paths) for path in ledger.decisions.paths_under(root)]
    return list(dict.fromkeys((*there, *known)))


def _one(
    ledger: Ledger,
    log: DecisionLog,
    exiftool: ExifTool,
    photo: Path,
    sidecar: Path,
    naming: Naming,
    dry_run: bool,
) -> Undone | None:
    now = datetime.now(UTC)
    decision = ledger.decisions.latest_written(sidecar)
    last = Written.from_json(decision.written) if decision is not None and decision.written else None
    pre_image = ledger.pre_images.of(sidecar)
    try:
        left_as = digests_left(ledger, sidecar, pre_image) if pre_image is not None else ()
        if pre_image is not None and restore(sidecar, left_as, pre_image.content, dry_run):
            after = digest_of(pre_image.content)
            if not dry_run:
                _record(ledger, log, photo, sidecar, pre_image.left_as, after, cleared(last), now)
            goes = after is None and is_sidecar(sidecar)
            what = "the file goes, which eyeline had made" if goes else "as it was before eyeline"
            return Undone(sidecar, f"{what}, byte for byte", exact=True)
        if read_whole(sidecar) is None:
            return None
    except (OSError, UnsafeSidecar) as error:
        return Undone(sidecar, str(error), exact=False, refused=True)
    outcome = withdraw(exiftool, photo, last, naming, now.astimezone(), dry_run)
    if outcome.result is Result.REFUSED:
        return Undone(sidecar, outcome.sentence, exact=False, refused=True)
    if outcome.result not in (Result.WRITTEN, Result.PLANNED):
        return None
    if not dry_run:
        remembered = outcome.written or cleared(last)
        _record(
            ledger, log, photo, sidecar, outcome.digest_before or "", outcome.digest_after, remembered, now
        )
    return Undone(sidecar, outcome.sentence, exact=False)


def _record(
    ledger: Ledger,
    log: DecisionLog,
    photo: Path,
    sidecar: Path,
    before: str,
    after: str | None,
    written: Written,
    now: datetime,
) -> None:
    last = ledger.decisions.latest(photo)
    decision = Decision(
        path=photo,
        digest=last.digest if last is not None else "",
        verdict=last.verdict if last is not None else UNJUDGED,
        outcome=Outcome.TAKEN_BACK,
        decided_at=now,
        sidecar=sidecar,
        sidecar_before=before,
        sidecar_after=after,
        written=written.to_json(),
    )
    with ledger.transaction():
        ledger.decisions.add(decision)
        ledger.pre_images.drop(sidecar)
    log.event("taken back", now, path=str(photo), sidecar=str(sidecar))
