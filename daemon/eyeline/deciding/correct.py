"""Corrections: what the photographer decides about a frame goes into its sidecars as theirs, step by step.

Each step can be undone: `take_back_step`. How one sidecar is changed: `sidecar/correcting.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.own_hand import OwnHand, own_hand
from eyeline.deciding.same_exposure import stored_alike
from eyeline.deciding.sidecar_record import SidecarRecord, SidecarRecords
from eyeline.errors import EyelineError, UnsafeSidecar
from eyeline.ledger.records import Decision, Outcome, Photo, PreImage
from eyeline.sidecar.correcting import FieldChanges, correct
from eyeline.sidecar.found import Found
from eyeline.sidecar.naming import Naming, usual_carrier
from eyeline.sidecar.outcome import Outcome as SidecarOutcome
from eyeline.sidecar.outcome import Result
from eyeline.sidecar.regions import own_crop
from eyeline.sidecar.written import Written
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Correction:
    """What the photographer changes about a frame; empty fields are left alone.

    `stars`: 1 to 5. `add_words`, `take_out_words`: keywords. `crop`: theirs in the format `crop_format`,
    fractions of the upright frame; without one eyeline suggests there again. The fields that end in `back`
    give to eyeline again what was theirs; `drop_words` are own keywords that go without a trace.
    """

    stars: int | None = None
    stars_back: bool = False
    add_words: tuple[str, ...] = ()
    take_out_words: tuple[str, ...] = ()
    words_back: tuple[str, ...] = ()
    drop_words: tuple[str, ...] = ()
    crop_format: str | None = None
    crop: Rectangle | None = None


class Conflict(EyelineError):
    """Another page or program has decided about this frame since. `now`: what stands there."""

    def __init__(self, photo: Path, now: OwnHand) -> None:
        super().__init__("it was changed elsewhere meanwhile", photo, "Look at it, then decide again")
        self.now = now


@dataclass(frozen=True, slots=True)
class Undoable:
    """One sidecar as it was before a step: content (None: none), eyeline's record, pre-image; and the digest
    that the step left."""

    photo: Photo
    sidecar: Path
    content: bytes | None
    written: str | None
    pre_image: PreImage | None
    after: str | None


@dataclass(frozen=True, slots=True)
class Step:
    """One correction that was made: how the photographer's part was and is, and what undoes it."""

    correction: Correction
    before: OwnHand
    after: OwnHand
    files: tuple[Undoable, ...]


def hand_of(
    decider: Decider, photo: Photo, formats: tuple[str, ...], records: SidecarRecords | None = None
) -> OwnHand:
    """What the photographer has decided about `photo` by now. `records`: of a look at many photos, in which
    each folder is listed once."""
    records = records or _records(decider)
    return own_hand(records.readable(photo.frame.path, _naming(decider, photo)), photo.frame, formats)


def make(
    decider: Decider,
    files: Sequence[Photo],
    verdict: Verdict,
    correction: Correction,
    state: str | None,
    formats: tuple[str, ...],
) -> Step:
    """Write `correction` into the sidecars of `files`, all of one exposure, the one that is judged first.

    `state`: that of the OwnHand on which the correction was made, None = whatever stands there.
    `verdict`: eyeline's by now.

    Raises Conflict where another state stands there, UnsafeSidecar where a sidecar cannot be written,
    ValueError for what no sidecar may hold, LedgerFailed, ExifToolFailed.
    """
    before = hand_of(decider, files[0], formats)
    if state is not None and before.state != state:
        raise Conflict(files[0].frame.path, before)
    done: list[Undoable] = []
    seen: set[Path] = set()
    for photo in files:
        record = _records(decider).of(photo.frame.path, _naming(decider, photo))
        if record.path not in seen:
            seen.add(record.path)
            done.append(_written(decider, photo, files[0], record, verdict, correction))
    return Step(correction, before, hand_of(decider, files[0], formats), tuple(done))


def _written(
    decider: Decider,
    photo: Photo,
    leader: Photo,
    record: SidecarRecord,
    verdict: Verdict,
    correction: Correction,
) -> Undoable:
    path, now = photo.frame.path, datetime.now(UTC)
    ledger, records = decider.ledger, _records(decider)

    def about_to_place(found: Found, _: bytes, written: Written) -> None:
        with ledger.transaction():
            # From here on it holds a person's decision that byte for byte undo would take away.
            ledger.pre_images.drop(found.path)
            ledger.intentions.note(found.path, written.to_json(), now)

    outcome = correct(
        decider.exiftool,
        records.lookup(path, _naming(decider, photo)),
        _fields(correction, photo, leader),
        record.last,
        now.astimezone(),
        record.attests,
        about_to_place,
    )
    if outcome.result is Result.REFUSED:
        raise UnsafeSidecar(outcome.sentence, path, "Nothing was written")
    remember(decider, photo, verdict, outcome)
    return Undoable(
        photo,
        outcome.sidecar,
        record.found.content,
        record.decision.written if record.decision is not None else None,
        record.pre_image,
        outcome.digest_after,
    )


def _fields(correction: Correction, photo: Photo, leader: Photo) -> FieldChanges:
    """The same in the terms of one file. A crop is left out of a file that is stored otherwise."""
    frame = photo.frame
    crop_format = correction.crop_format if stored_alike(frame, leader.frame) else None
    region = None
    if crop_format is not None and correction.crop is not None:
        region = own_crop(crop_format, correction.crop, frame.width, frame.height, frame.orientation)
    return FieldChanges(
        correction.stars,
        correction.stars_back,
        correction.add_words,
        correction.take_out_words,
        correction.words_back,
        correction.drop_words,
        crop_format,
        region,
    )


def remember(decider: Decider, photo: Photo, verdict: Verdict, outcome: SidecarOutcome) -> None:
    """Record what a step, or its undoing, has made of the sidecar of `photo`. Raises LedgerFailed."""
    path, ledger = photo.frame.path, decider.ledger
    last = ledger.decisions.latest(path)
    # What the photographer has had taken back stays so: to rate a frame is not to ask for eyeline's verdict.
    taken_back = last is not None and last.outcome is Outcome.TAKEN_BACK
    decision = Decision(
        path=path,
        digest=photo.frame.digest,
        verdict=last.verdict if last is not None else verdict,
        outcome=Outcome.TAKEN_BACK if taken_back else Outcome.CORRECTED,
        decided_at=datetime.now(UTC),
        sidecar=outcome.sidecar,
        sidecar_before=outcome.digest_before,
        sidecar_after=outcome.digest_after,
        written=(outcome.written or Written()).to_json(),
    )
    ledger.decisions.add(decision)
    decider.log.event("corrected", decision.decided_at, path=str(path), sidecar=str(outcome.sidecar))


def _records(decider: Decider) -> SidecarRecords:
    """Made anew each time: a step is one frame, and what lies beside it may have changed since the last."""
    return SidecarRecords(decider.ledger, decider.configuration.naming)


def _naming(decider: Decider, photo: Photo) -> Naming:
    """As configured, but where a namesake has the plain name, so that the photo got one of its full name."""
    last = decider.ledger.decisions.latest(photo.frame.path)
    full = usual_carrier(photo.frame.path, Naming.FULL)
    return Naming.FULL if last is not None and last.sidecar == full else decider.configuration.naming
