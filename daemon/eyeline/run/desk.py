"""The desk: measured photos are judged here, annotated, and the decision is recorded.

Works on numbers alone. Photos of one folder are judged together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from eyeline.cropping.suggest import suggest
from eyeline.errors import EyelineError, UnsafeSidecar
from eyeline.exiftool import ExifTool
from eyeline.intake.roots import root_of
from eyeline.judging.columns import columns_of
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.verdict import judge
from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome, Photo, Problem, State
from eyeline.run.annotation import annotation_of
from eyeline.run.configuration import Configuration
from eyeline.run.folder_file import folder_file
from eyeline.run.rules import RulesInForce
from eyeline.sidecar.annotate import Result, annotate
from eyeline.sidecar.naming import Naming, locate
from eyeline.sidecar.ownership import Written
from eyeline.terms.verdict import Verdict

OUTCOMES = {
    Result.WRITTEN: Outcome.WRITTEN,
    Result.PLANNED: Outcome.DRY_RUN,
    Result.UNCHANGED: Outcome.UNCHANGED,
    Result.KEPT: Outcome.KEPT,
    Result.DOUBT: Outcome.REFUSED,
    Result.REFUSED: Outcome.REFUSED,
}


@dataclass(frozen=True, slots=True)
class Desk:
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

        `only_new`: pass over photos whose verdict is the one that was decided and written last.
        """
        for folder, of_folder in _by_folder(photos):
            brief = self.brief(folder)
            for photo, verdict in self.judged(of_folder, brief):
                last = self.ledger.decisions.latest(photo.frame.path)
                if only_new and last is not None and last.verdict == verdict and self._is_written(photo):
                    continue
                decision = self._write(photo, verdict)
                self._record(photo, decision, last)
                yield photo, decision

    def brief(self, folder: Path) -> tuple[Rulebook, ...]:
        """The lines for photos in `folder`: command line, folder file, configuration, default."""
        if self.genres:
            return self.rules.brief(self.genres)
        root = root_of(folder, self.roots) or folder
        said = folder_file(folder, root, self.rules.rules.genres)
        if said.fault is not None:
            self.problem(said.fault)
        return self.rules.brief(said.genres or self.configuration.genres_for(folder))

    def judged(self, photos: Sequence[Photo], brief: tuple[Rulebook, ...]) -> Iterator[tuple[Photo, Verdict]]:
        """The verdict of each photo as shot, with its crops."""
        measurements = [{each.name: each for each in photo.measurements} for photo in photos]
        columns = columns_of(measurements, self.rules.quantities.values())
        judgement = judge(
            columns,
            brief,
            self.rules.vocabulary,
            self.rules.quantities,
            five_stars=self.configuration.five_stars,
        )
        for row, photo in enumerate(photos):
            verdict = judgement.verdict(row)
            if photo.points is not None and verdict.stars is not None:
                found = suggest(
                    photo.points,
                    photo.frame.width,
                    photo.frame.height,
                    measurements[row],
                    self.rules.rules.genre(verdict.genre),
                    self.rules.quantities.values(),
                )
                verdict = replace(verdict, crops=found.crops, no_crops=found.no_crops)
            yield photo, verdict

    def problem(self, error: EyelineError) -> None:
        """Enter a problem into ledger and log, and tell it."""
        problem = Problem.of(error, datetime.now(UTC))
        self.ledger.problems.add(problem)
        self.log.problem(problem)
        self.tell_problem(problem)

    def _write(self, photo: Photo, verdict: Verdict) -> Decision:
        path = photo.frame.path
        naming = Naming(self.configuration.sidecar_name)
        outcome = annotate(
            self.exiftool,
            path,
            photo.frame.orientation,
            annotation_of(verdict, {each.name: each for each in photo.measurements}, photo.points),
            self._last_written(path, naming),
            photo.frame.capture.rating_inside,
            naming,
            datetime.now(UTC).astimezone(),
            self.dry_run,
        )
        kind = OUTCOMES[outcome.result]
        return Decision(
            path=path,
            digest=photo.frame.digest,
            verdict=verdict,
            outcome=kind,
            decided_at=datetime.now(UTC),
            refused_because=outcome.sentence if kind is Outcome.REFUSED else None,
            sidecar=outcome.sidecar,
            sidecar_before=outcome.digest_before,
            sidecar_after=outcome.digest_after,
            written=outcome.written.to_json() if outcome.written is not None else None,
        )

    def _last_written(self, photo: Path, naming: Naming) -> Written | None:
        """What eyeline left in the sidecar of `photo` last, as the ledger has it."""
        try:
            sidecar = locate(photo, naming).path
        except (OSError, UnsafeSidecar):
            return None  # `annotate` meets the same obstacle and says so
        last = self.ledger.decisions.latest_written(sidecar)
        return Written.from_json(last.written) if last is not None and last.written else None

    def _is_written(self, photo: Photo) -> bool:
        known = self.ledger.files.known(photo.frame.path)
        return known is not None and known.state is State.WRITTEN

    def _record(self, photo: Photo, decision: Decision, last: Decision | None) -> None:
        # Looking again and finding all as it was is no new decision.
        same = last is not None and last.verdict == decision.verdict and last.outcome is decision.outcome
        if same and decision.outcome in (Outcome.UNCHANGED, Outcome.KEPT, Outcome.DRY_RUN):
            return
        with self.ledger.transaction():
            self.ledger.decisions.add(decision)
            if decision.outcome is not Outcome.DRY_RUN:
                self.ledger.files.written(photo.frame.path, decision.decided_at)
        self.log.decided(decision)
        if decision.refused_because is not None:
            self.tell_problem(Problem(photo.frame.path, decision.refused_because, "", decision.decided_at))


def _by_folder(photos: Iterable[Photo]) -> Iterator[tuple[Path, list[Photo]]]:
    folders: dict[Path, list[Photo]] = {}
    for photo in photos:
        folders.setdefault(photo.frame.path.parent, []).append(photo)
    yield from folders.items()
