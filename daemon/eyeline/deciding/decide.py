"""The decider: measured photos are judged here, annotated, and the decision is recorded.

Works on numbers alone. Photos of one folder are judged together, among all that the folder holds: what is
usual for a sitter, and which frame of a series is the best, shows only in company.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from shlex import quote

from eyeline.deciding.annotation import annotation_of
from eyeline.deciding.in_order import Job, in_order
from eyeline.deciding.judge_folder import judged_together
from eyeline.deciding.pre_image import digests_left, keep_pre_image
from eyeline.deciding.same_exposure import ToWrite, exposures_around, fitted
from eyeline.errors import ExifToolFailed, EyelineError, UnsafeSidecar, printable
from eyeline.exiftool import ExifTool
from eyeline.intake.roots import root_of
from eyeline.judging.rulebook import Rulebook
from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome, Photo, Problem, State
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import FolderFile, folder_file
from eyeline.settings.rules import RulesInForce
from eyeline.sidecar import outcome as sidecar_outcome
from eyeline.sidecar.annotate import Result, annotate
from eyeline.sidecar.carrier import read_whole
from eyeline.sidecar.naming import Naming, locate, usual_carrier
from eyeline.sidecar.outcome import digest_of
from eyeline.sidecar.ownership import Written
from eyeline.sidecar.replacing import Interrupted, remove_leftovers
from eyeline.sidecar.restoring import cleared, doubt, now_in
from eyeline.terms.verdict import Verdict

OUTCOMES = {
    Result.WRITTEN: Outcome.WRITTEN,
    Result.PLANNED: Outcome.DRY_RUN,
    Result.UNCHANGED: Outcome.UNCHANGED,
    Result.KEPT: Outcome.KEPT,
    Result.DOUBT: Outcome.REFUSED,
    Result.REFUSED: Outcome.REFUSED,
}

FIRST_WAIT = timedelta(seconds=5)
LONGEST_WAIT = timedelta(hours=1)
MOST_DOUBLINGS = 10
"""A sidecar that could not be written for a cause that may pass (a full disk, a right that is missing) is
tried again after the first wait, then after twice as long each time."""

MOST_FAILURES = 3
"""Photos in a row over which ExifTool may fail: from then on it is ExifTool, not the photos."""

NO_REGIONS = (
    "crops and other regions were left out: the files of this exposure are stored turned or shaped otherwise"
)
NAMESAKE = "another photo of this name shows another moment, so the sidecar of this one is"
NAMESAKE_CURE = "Rename one of the two if your viewer does not find it"
NO_REGIONS_CURE = 'Give each a sidecar of its own: sidecar_name = "append"'


@dataclass(frozen=True, slots=True)
class Decider:
    """What is needed to decide about a photo and to say so.

    `genres`: asked for on the command line, before all else. `roots`: the watched paths, above which no
    folder file counts. `tell_problem` is called for each problem once it is in the ledger.
    """

    configuration: Configuration
    rules: RulesInForce
    ledger: Ledger
    log: DecisionLog
    exiftool: ExifTool
    roots: tuple[Path, ...]
    tell_problem: Callable[[Problem], None]
    genres: tuple[str, ...] = ()
    dry_run: bool = False

    def decide(self, photos: Sequence[Photo], only_new: bool = False) -> Iterator[tuple[Photo, Decision]]:
        """Judge `photos` and write what follows; yields each with its decision.

        `only_new`: pass over photos whose verdict is the one that was decided and written last, and leave
        a sidecar alone in which somebody else has changed anything since: programs that read sidecars once
        would not see the revision, and people would wonder who touched theirs.
        A photo over which ExifTool fails is refused, and the next gets a new one; raises ExifToolFailed when
        that happens MOST_FAILURES times in a row.
        A few sidecars are in hand at a time, those that other files share one by one; each decision is
        recorded before it is yielded, and that of a sidecar in hand also where the caller stops.
        """
        for folder in {photo.frame.path.parent for photo in photos}:
            with suppress(OSError):
                remove_leftovers(folder, datetime.now(UTC))
        failures = 0
        with closing(in_order(self._jobs(photos, only_new), self._record_written)) as results:
            for annotated in results:
                self._record(annotated)
                yield annotated.photo, annotated.decision
                failures = failures + 1 if annotated.failure is not None else 0
                if annotated.failure is not None and failures == MOST_FAILURES:
                    raise annotated.failure

    def verdicts(self, photos: Sequence[Photo]) -> Iterator[tuple[Photo, Verdict]]:
        """The verdict of each of `photos`, judged in the company of all that lies in its folder.

        Files of one exposure are judged once, in the company of the one that leads.
        """
        for told in self._told(photos):
            yield told.photo, told.verdict

    def _told(self, photos: Sequence[Photo]) -> Iterator[ToWrite]:
        """What each of `photos` is told, and whatever follows one of them."""
        asked = {photo.frame.path: photo for photo in photos}
        exposures = exposures_around(self.ledger, asked)
        leaders = dict.fromkeys(map(exposures.leader, asked))
        for folder in dict.fromkeys(leader.parent for leader in leaders):
            said = self.said(folder)
            brief = self.brief(folder, said)
            five_stars = self.configuration.five_stars
            company = exposures.company(folder)
            judged = judged_together(company, brief, said.sitting, self.rules, five_stars, leaders)
            for photo, verdict in judged:
                if photo.frame.path in leaders:
                    yield from exposures.told(photo, verdict, asked)

    def said(self, folder: Path) -> FolderFile:
        """What the folder's own file says; a fault in it is told."""
        said = folder_file(folder, root_of(folder, self.roots) or folder, self.rules.rules.genres)
        if said.fault is not None:
            self.problem(said.fault)
        return said

    def brief(self, folder: Path, said: FolderFile) -> tuple[Rulebook, ...]:
        """The lines for photos in `folder`: command line, folder file, configuration, default."""
        return self.rules.brief(self.genres or said.genres or self.configuration.genres_for(folder))

    def problem(self, error: EyelineError) -> None:
        """Enter a problem into ledger and log, and tell it."""
        problem = Problem.of(error, datetime.now(UTC))
        self.record(problem)
        self.tell_problem(problem)

    def record(self, problem: Problem) -> None:
        """Enter a problem that was told already into ledger and log."""
        self.log.problem(problem)
        self.ledger.problems.add(problem)

    def _jobs(self, photos: Sequence[Photo], only_new: bool) -> Iterator[Job[_Annotated]]:
        for told in self._told(photos):
            last = self.ledger.decisions.latest(told.photo.frame.path)
            if only_new and last is not None and self._is_settled(told.photo, told.verdict, last):
                continue
            yield Job(partial(self._annotated, told, last, only_new), bool(told.siblings or told.namesakes))

    def _annotated(self, told: ToWrite, last: Decision | None, only_new: bool) -> _Annotated:
        return (self._left_alone(told, last) if only_new else None) or self._write(told, last)

    def _write(self, told: ToWrite, before: Decision | None) -> _Annotated:
        photo, verdict = told.photo, told.verdict
        path = photo.frame.path
        naming = self._naming(told)
        now = datetime.now(UTC)
        last, sidecar = self._last_written(path, naming)
        if self.configuration.when_gone == "write" and sidecar is not None and _is_gone(sidecar, last):
            last = cleared(last)
        annotation = annotation_of(
            verdict, {each.name: each for each in photo.measurements}, replace(photo, frame=told.measured_in)
        )
        sharing = [each for each in told.siblings if self._last_written(each.path, naming)[1] == sidecar]
        annotation, complete = fitted(annotation, told, sharing)
        failure = None
        try:
            outcome = annotate(
                self.exiftool,
                path,
                photo.frame.orientation,
                annotation,
                last,
                told.rating_inside,
                naming,
                now.astimezone(),
                self.dry_run,
                lambda carrier, content, after: keep_pre_image(
                    self.ledger, carrier, content, after, last, now
                ),
            )
        except ExifToolFailed as error:
            failure = type(error)(error.what, path, error.cure)  # not by the name of the copy it worked on
            outcome = sidecar_outcome.Outcome(
                Result.REFUSED, sidecar or path, str(failure), written=last, may_pass=True
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
        return _Annotated(photo, decision, outcome, failure, before)

    def _naming(self, told: ToWrite) -> Naming:
        """The name of a sidecar; the full one where the plain one is that of another exposure."""
        naming, path = self.configuration.naming, told.photo.frame.path
        plain = usual_carrier(path, Naming.REPLACE)
        if not told.namesakes or usual_carrier(path, naming) == path:
            return naming
        wrote = self.ledger.decisions.latest_written(plain)
        owner = wrote.path if wrote is not None else told.plain_name_is_due_to
        return naming if owner in (path, *(each.path for each in told.siblings)) else Naming.FULL

    def _left_alone(self, told: ToWrite, last: Decision | None) -> _Annotated | None:
        """The new verdict without a write, where somebody else changed what eyeline wrote before."""
        try:
            sidecar = locate(told.photo.frame.path, self.configuration.naming).path
            content = read_whole(sidecar)
        except (OSError, UnsafeSidecar, Interrupted):
            return None  # `annotate` meets the same obstacle and says so
        before = self.ledger.decisions.latest_written(sidecar)
        if content is None or before is None or before.sidecar_after is None:
            return None
        kept = self.ledger.pre_images.of(sidecar)
        left = digests_left(self.ledger, sidecar, kept) if kept is not None else (before.sidecar_after,)
        if digest_of(content) in left:  # a kill between writing and recording is nobody else's change
            return None
        record = Written.from_json(before.written) if before.written else None
        if _is_gone(sidecar, record):
            return None
        decision = Decision(
            path=told.photo.frame.path,
            digest=told.photo.frame.digest,
            verdict=told.verdict,
            outcome=Outcome.KEPT,
            decided_at=datetime.now(UTC),
            sidecar=sidecar,
            sidecar_before=before.sidecar_before,
            sidecar_after=before.sidecar_after,
            written=before.written,
        )
        outcome = sidecar_outcome.Outcome(Result.KEPT, sidecar, "")
        return _Annotated(told.photo, decision, outcome, None, last)

    def _last_written(self, photo: Path, naming: Naming) -> tuple[Written | None, Path | None]:
        """What eyeline left in the sidecar of `photo` last, as the ledger has it, and which file that is."""
        try:
            sidecar = locate(photo, naming).path
        except (OSError, UnsafeSidecar):
            return None, None  # `annotate` meets the same obstacle and says so
        last = self.ledger.decisions.latest_written(sidecar)
        return (Written.from_json(last.written) if last is not None and last.written else None), sidecar

    def _is_settled(self, photo: Photo, verdict: Verdict, last: Decision) -> bool:
        """Whether this is decided and written already, or was undone: the daemon does not do it again."""
        if last.outcome is Outcome.TAKEN_BACK and last.digest == photo.frame.digest:
            return True  # also where taking it back changed the photo's own file
        known = self.ledger.files.known(photo.frame.path)
        return known is not None and known.state is State.WRITTEN and last.verdict == verdict

    def _record_written(self, annotated: _Annotated) -> None:
        """Record what was in hand at the end; what ExifTool failed over, the next pass tries again."""
        if annotated.failure is None:
            self._record(annotated)

    def _record(self, annotated: _Annotated) -> None:
        photo, decision = annotated.photo, annotated.decision
        with self.ledger.transaction():
            if annotated.outcome.may_pass:
                self._postpone(decision)
            elif decision.outcome is not Outcome.DRY_RUN:
                self.ledger.files.written(photo.frame.path, decision.decided_at)
            if _is_the_same_again(decision, annotated.last):
                return
            self.ledger.decisions.add(decision)
        self.log.decided(decision)
        if decision.refused_because is not None:
            self.tell_problem(Problem(photo.frame.path, decision.refused_because, "", decision.decided_at))

    def _postpone(self, refused: Decision) -> None:
        """Have the daemon try again, ever more rarely."""
        known = self.ledger.files.known(refused.path)
        tries = known.attempts if known is not None else 1
        wait = min(FIRST_WAIT * 2 ** min(tries - 1, MOST_DOUBLINGS), LONGEST_WAIT)
        now = refused.decided_at
        self.ledger.files.postpone(refused.path, now + wait, refused.refused_because or "", now)


def _is_gone(sidecar: Path, last: Written | None) -> bool:
    """Whether all that eyeline wrote into `sidecar` is gone; False where it cannot be read."""
    try:
        return doubt(last, now_in(sidecar)[1]) is not None
    except (OSError, UnsafeSidecar, Interrupted):
        return False  # `annotate` meets the same obstacle and says so


def _is_the_same_again(decision: Decision, last: Decision | None) -> bool:
    """Whether somebody looked again and found all as it was, which is no new decision."""
    return (
        last is not None
        and last.verdict == decision.verdict
        and last.outcome is decision.outcome
        and last.refused_because == decision.refused_because
        and last.written == decision.written
        and decision.outcome in (Outcome.UNCHANGED, Outcome.KEPT, Outcome.DRY_RUN, Outcome.REFUSED)
    )


@dataclass(frozen=True, slots=True)
class _Annotated:
    """A decision about `photo`, what became of the sidecar, what ExifTool died of over it, and the decision
    before."""

    photo: Photo
    decision: Decision
    outcome: sidecar_outcome.Outcome
    failure: ExifToolFailed | None
    last: Decision | None
