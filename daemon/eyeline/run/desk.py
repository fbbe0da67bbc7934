"""The desk: measured photos are judged here, annotated, and the decision is recorded.

Works on numbers alone. Photos of one folder are judged together, among all that the folder holds: what is
usual for a sitter, and which frame of a series is the best, shows only in company.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
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
from eyeline.run.folder_file import FolderFile, folder_file
from eyeline.run.rules import RulesInForce
from eyeline.sidecar.annotate import Result, annotate
from eyeline.sidecar.naming import Naming, locate
from eyeline.sidecar.ownership import Written
from eyeline.sitting.ranking import Judged, best_of_series
from eyeline.sitting.set_measures import set_measures
from eyeline.sitting.shot import Shot
from eyeline.terms.measurement import Measurement
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
        for photo, verdict in self.verdicts(photos):
            last = self.ledger.decisions.latest(photo.frame.path)
            if only_new and last is not None and last.verdict == verdict and self._is_written(photo):
                continue
            decision = self._write(photo, verdict)
            self._record(photo, decision, last)
            yield photo, decision

    def verdicts(self, photos: Sequence[Photo]) -> Iterator[tuple[Photo, Verdict]]:
        """The verdict of each of `photos`, judged in the company of all that lies in its folder."""
        for folder, of_folder in _by_folder(photos):
            said = self.said(folder)
            asked = {photo.frame.path for photo in of_folder}
            company = [*of_folder, *self._company(folder, asked)]
            for photo, verdict in self.judged(company, self.brief(folder, said), said.sitting):
                if photo.frame.path in asked:
                    yield photo, verdict

    def said(self, folder: Path) -> FolderFile:
        """What the folder's own file says; a fault in it is told."""
        said = folder_file(folder, root_of(folder, self.roots) or folder, self.rules.rules.genres)
        if said.fault is not None:
            self.problem(said.fault)
        return said

    def brief(self, folder: Path, said: FolderFile) -> tuple[Rulebook, ...]:
        """The lines for photos in `folder`: command line, folder file, configuration, default."""
        return self.rules.brief(self.genres or said.genres or self.configuration.genres_for(folder))

    def judged(
        self, photos: Sequence[Photo], brief: tuple[Rulebook, ...], sitting: str | None
    ) -> Iterator[tuple[Photo, Verdict]]:
        """The verdict of each photo as shot, with its crops; each photo comes back with the measures of
        the set. `photos` are all of one folder, `sitting` the name that it gives to them."""
        measurements = _measured_together(photos, sitting)
        columns = columns_of(measurements, self.rules.quantities.values())
        judgement = judge(
            columns,
            brief,
            self.rules.vocabulary,
            self.rules.quantities,
            five_stars=self.configuration.five_stars,
        )
        placed = best_of_series(
            [
                Judged(photo.frame.path.name, _series(known), judgement.verdict(row), known)
                for row, (photo, known) in enumerate(zip(photos, measurements, strict=True))
            ],
            self.rules.vocabulary,
        )
        for row, photo in enumerate(photos):
            verdict = placed[row].verdict
            if (rank := placed[row].rank) is not None:
                measurements[row]["series_rank"] = Measurement("series_rank", rank)
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
            yield replace(photo, measurements=tuple(measurements[row].values())), verdict

    def _company(self, folder: Path, asked: Collection[Path]) -> list[Photo]:
        """What else the ledger knows to lie in `folder`."""
        return [
            photo
            for photo in self.ledger.photos.under(folder)
            if photo.frame.path.parent == folder
            and photo.frame.path not in asked
            and photo.frame.path.exists()
        ]

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


def _measured_together(photos: Sequence[Photo], sitting: str | None) -> list[dict[str, Measurement]]:
    """The measurements of each photo by name, with those of the set."""
    alone = [{each.name: each for each in photo.measurements} for photo in photos]
    shots = [
        Shot(
            photo.frame.path.name,
            str(photo.frame.path.parent),
            photo.frame.capture.taken_at,
            photo.frame.capture.serial,
            known,
            photo.points,
            sitting,
        )
        for photo, known in zip(photos, alone, strict=True)
    ]
    return [known | together for known, together in zip(alone, set_measures(shots), strict=True)]


def _series(known: Mapping[str, Measurement]) -> str | None:
    value = known["series"].value
    return None if value is None else str(value)
