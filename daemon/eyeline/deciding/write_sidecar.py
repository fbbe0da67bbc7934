"""One verdict into one sidecar: what is asked of the sidecar room, and the decision that follows from it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from shlex import quote

from eyeline.deciding.annotation import annotation_of
from eyeline.deciding.pre_image import keep_pre_image
from eyeline.deciding.same_exposure import ToWrite, fitted
from eyeline.deciding.sidecar_record import SidecarRecord, SidecarRecords
from eyeline.errors import ExifToolFailed, EyelineError, printable, unforeseen
from eyeline.exiftool import ExifTool
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome, Photo
from eyeline.settings.configuration import Configuration
from eyeline.sidecar import outcome as sidecar_outcome
from eyeline.sidecar.annotate import Request, Result, annotate
from eyeline.sidecar.found import Found
from eyeline.sidecar.naming import Naming, usual_carrier
from eyeline.sidecar.restoring import cleared
from eyeline.sidecar.written import Written

OUTCOMES = {
    Result.WRITTEN: Outcome.WRITTEN,
    Result.PLANNED: Outcome.DRY_RUN,
    Result.UNCHANGED: Outcome.UNCHANGED,
    Result.KEPT: Outcome.KEPT,
    Result.DOUBT: Outcome.REFUSED,
    Result.REFUSED: Outcome.REFUSED,
}

NO_REGIONS = (
    "crops and other regions were left out: the files of this exposure are stored turned or shaped otherwise"
)
NAMESAKE = "another photo of this name shows another moment, so the sidecar of this one is"
NAMESAKE_CURE = "Rename one of the two if your viewer does not find it"
NO_REGIONS_CURE = 'Give each a sidecar of its own: sidecar_name = "append"'


@dataclass(frozen=True, slots=True)
class Annotated:
    """A decision about `photo`, what became of the sidecar, what ExifTool died of over it, and the decision
    before."""

    photo: Photo
    decision: Decision
    outcome: sidecar_outcome.Outcome
    failure: ExifToolFailed | None
    last: Decision | None


@dataclass(frozen=True, slots=True)
class SidecarWriter:
    """Writes the sidecars of one pass. `problem` is called for what a person should know of a written one."""

    configuration: Configuration
    ledger: Ledger
    exiftool: ExifTool
    records: SidecarRecords
    problem: Callable[[EyelineError], None]
    dry_run: bool

    def annotated(self, to_write: ToWrite, last: Decision | None, only_new: bool) -> Annotated:
        """Write one verdict. `last`: the decision before.

        `only_new`: leave a sidecar alone in which somebody else has changed anything since.
        Raises LedgerFailed.
        """
        try:
            naming = self._naming(to_write)
            record = self.records.readable(to_write.photo.frame.path, naming)
            if only_new and record is not None and _is_changed_by_another(record):
                return self._left_alone(to_write, record, last)
            return self._written(to_write, naming, record, last)
        except EyelineError:
            raise
        except Exception as error:  # whatever it is: one photo's, and the pass goes on
            return _failed(to_write, unforeseen(error, to_write.photo.frame.path), last)

    def _written(
        self, to_write: ToWrite, naming: Naming, record: SidecarRecord | None, before: Decision | None
    ) -> Annotated:
        photo, verdict = to_write.photo, to_write.verdict
        path = photo.frame.path
        now = datetime.now(UTC)
        last = record.last if record is not None else None
        anew = self.configuration.when_gone == "write" and record is not None and record.is_gone
        if anew:
            last = cleared(last)
        annotation = annotation_of(
            verdict,
            {each.name: each for each in photo.measurements},
            replace(photo, frame=to_write.measured_in),
        )
        carrier = record.path if record is not None else None
        sharing = [each for each in to_write.siblings if self.records.path(each.path, naming) == carrier]
        annotation, complete = fitted(annotation, to_write, sharing)

        def keep(found: Found, after: bytes, written: Written) -> None:
            with self.ledger.transaction():
                keep_pre_image(self.ledger, self.records.about(path, found), after, now, anew)
                self.ledger.intentions.note(found.path, written.to_json(), now)

        failure = None
        try:
            outcome = annotate(
                self.exiftool,
                self.records.lookup(path, naming),
                Request(
                    annotation,
                    photo.frame.orientation,
                    now.astimezone(),
                    last,
                    to_write.rating_inside,
                    self.dry_run,
                    record.attests if record is not None else lambda _: False,
                ),
                keep,
                record.found if record is not None else None,
            )
        except ExifToolFailed as error:
            failure = type(error)(error.what, path, error.cure)  # not by the name of the copy it worked on
            outcome = sidecar_outcome.Outcome(
                Result.REFUSED, carrier or path, str(failure), written=last, may_pass=True
            )
        if not complete and outcome.result is Result.WRITTEN:
            self.problem(EyelineError(NO_REGIONS, path, NO_REGIONS_CURE))
        if naming is Naming.FULL and outcome.result is Result.WRITTEN:
            self.problem(EyelineError(f"{NAMESAKE} {printable(outcome.sidecar.name)}", path, NAMESAKE_CURE))
        kind = OUTCOMES[outcome.result]
        sentence = outcome.sentence
        if outcome.result is Result.DOUBT:
            sentence += f". If eyeline may write anew: eyeline take-back {quote(printable(path))}"
        decision = Decision(
            path=path,
            digest=photo.frame.digest,
            verdict=verdict,
            outcome=kind,
            decided_at=datetime.now(UTC),
            refused_because=sentence if kind is Outcome.REFUSED else None,
            sidecar=outcome.sidecar,
            sidecar_before=outcome.digest_before,
            sidecar_after=outcome.digest_after,
            written=outcome.written.to_json() if outcome.written is not None else None,
        )
        return Annotated(photo, decision, outcome, failure, before)

    def _left_alone(self, to_write: ToWrite, record: SidecarRecord, last: Decision | None) -> Annotated:
        """The new verdict without a write."""
        before = record.decision
        assert before is not None
        decision = Decision(
            path=to_write.photo.frame.path,
            digest=to_write.photo.frame.digest,
            verdict=to_write.verdict,
            outcome=Outcome.KEPT,
            decided_at=datetime.now(UTC),
            sidecar=record.path,
            sidecar_before=before.sidecar_before,
            sidecar_after=before.sidecar_after,
            written=before.written,
        )
        return Annotated(
            to_write.photo, decision, sidecar_outcome.Outcome(Result.KEPT, record.path, ""), None, last
        )

    def _naming(self, to_write: ToWrite) -> Naming:
        """The name of a sidecar; the full one where the plain one is that of another exposure."""
        naming, path = self.configuration.naming, to_write.photo.frame.path
        plain = usual_carrier(path, Naming.REPLACE)
        if not to_write.namesakes or usual_carrier(path, naming) == path:
            return naming
        wrote = self.ledger.decisions.latest_written(plain)
        owner = wrote.path if wrote is not None else to_write.plain_name_is_due_to
        return naming if owner in (path, *(each.path for each in to_write.siblings)) else Naming.FULL


def _failed(to_write: ToWrite, error: EyelineError, last: Decision | None) -> Annotated:
    """The refusal of a photo over which eyeline itself went wrong."""
    path, sentence = to_write.photo.frame.path, str(error)
    decision = Decision(
        path=path,
        digest=to_write.photo.frame.digest,
        verdict=to_write.verdict,
        outcome=Outcome.REFUSED,
        decided_at=datetime.now(UTC),
        refused_because=sentence,
    )
    outcome = sidecar_outcome.Outcome(Result.REFUSED, path, sentence)
    return Annotated(to_write.photo, decision, outcome, None, last)


def _is_changed_by_another(record: SidecarRecord) -> bool:
    """Whether somebody else has changed a sidecar that eyeline wrote, and left something of eyeline's in it.

    A kill between writing and recording is nobody else's change.
    """
    before = record.decision
    if record.found.content is None or before is None or before.sidecar_after is None:
        return False
    return not record.is_as_left and not record.is_gone
