"""The decider: measured photos are judged here, annotated, and the decision is recorded.

Works on numbers alone. Photos of one folder are judged together, among all that the folder holds: what is
usual for a sitter, and which frame of a series is the best, shows only beside the others.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from shlex import quote

from eyeline.deciding.in_order import Job, in_order
from eyeline.deciding.judge_folder import judged_together
from eyeline.deciding.same_exposure import ToWrite, exposures_around
from eyeline.deciding.seating import SITTER, named_sittings, sitters_in
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.deciding.write_sidecar import Annotated, SidecarWriter
from eyeline.errors import EyelineError, printable
from eyeline.exiftool import ExifTool
from eyeline.intake.roots import root_of
from eyeline.intake.status import status_of
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.verdict import MOST_KEYWORDS
from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome, Photo, Problem, State
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import FolderFile, folder_file
from eyeline.settings.rules import RulesInForce
from eyeline.sidecar.naming import is_sidecar
from eyeline.sidecar.replacing import remove_leftovers
from eyeline.terms.verdict import Verdict

FIRST_WAIT = timedelta(seconds=5)
LONGEST_WAIT = timedelta(hours=1)
MOST_DOUBLINGS = 10
"""A sidecar that could not be written for a cause that may pass (a full disk, a right that is missing) is
tried again after the first wait, then after twice as long each time."""

MOST_FAILURES = 3
"""Photos in a row over which ExifTool may fail: from then on it is ExifTool, not the photos."""


@dataclass(frozen=True, slots=True)
class Decider:
    """What is needed to decide about a photo and to say so.

    `genres`: asked for on the command line, before all else. `roots`: the watched paths, above which no
    folder file counts. `tell_problem` is called for each problem once it is in the ledger. `refused`: the
    folder files that have a mistake, and which; no photo that they speak of is judged until it is mended.
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
    refused: dict[Path, str] = field(default_factory=dict)

    def decide(
        self, photos: Sequence[Photo], only_new: bool = False, judged: Iterable[ToWrite] | None = None
    ) -> Generator[tuple[Photo, Decision], None, None]:
        """Judge `photos` and write what follows; yields each with its decision.

        `judged`: what `judged` says of them, where the caller has it already.
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
        jobs = self._jobs(self.judged(photos) if judged is None else judged, only_new, self._writer())
        with closing(in_order(jobs, self._record_written)) as results:
            for annotated in results:
                self._record(annotated)
                yield annotated.photo, annotated.decision
                failures = failures + 1 if annotated.failure is not None else 0
                if annotated.failure is not None and failures == MOST_FAILURES:
                    raise annotated.failure

    def verdicts(self, photos: Sequence[Photo]) -> Iterator[tuple[Photo, Verdict]]:
        """The verdict of each of `photos`, judged among all that lies in its folder.

        Files of one exposure are judged once, among the peers of the one that leads.
        """
        for each in self.judged(photos):
            yield each.photo, each.verdict

    def judged(self, photos: Sequence[Photo]) -> Iterator[ToWrite]:
        """What is to be written about each of `photos`, and about whatever follows one of them."""
        asked = {photo.frame.path: photo for photo in photos}
        exposures = exposures_around(self.ledger, asked)
        leaders = dict.fromkeys(map(exposures.leader, asked))
        for folder in dict.fromkeys(leader.parent for leader in leaders):
            rules = self.folder_rules(folder)
            self._tell_of_fault(rules)
            if rules.fault is not None:
                continue
            brief = self.brief(folder, rules)
            five_stars = self.configuration.five_stars
            peers = exposures.judged_in(folder)
            sitters = self.sitters(rules)
            sittings = named_sittings([peer.frame.path for peer in peers], rules.sitting, sitters)
            judged = judged_together(peers, brief, sittings, self.rules, five_stars, leaders)
            for photo, verdict in judged:
                if photo.frame.path in leaders:
                    verdict = self._naming_its_sitter(verdict, sitters.get(photo.frame.path), rules)
                    yield from exposures.to_write(photo, verdict, asked)

    def folder_rules(self, folder: Path) -> FolderFile:
        """What the nearest folder file sets for photos in `folder`, or the fault in it."""
        return folder_file(folder, root_of(folder, self.roots) or folder, self.rules.rules.genres)

    def home_of_brief(self, folder: Path) -> Path:
        """The folder that the brief which holds for `folder` is about."""
        found = self.folder_rules(folder)
        home = found.path.parent if found.path is not None and found.brief else None
        return home or root_of(folder, self.roots) or folder

    def sitters(self, rules: FolderFile) -> Mapping[Path, str]:
        """Who sits in which photo, by label, where `rules` ask for that."""
        return sitters_in(rules.seats, self.ledger) if rules.seats is not None else {}

    def _naming_its_sitter(self, verdict: Verdict, sitter: str | None, rules: FolderFile) -> Verdict:
        """`verdict` with the keyword that names the sitter, where the photographer wants one."""
        wanted = self.configuration.sitter_keyword
        if sitter is None or rules.seats is None or wanted == "none":
            return verdict
        name = rules.seats.name(sitter) if wanted == "name" else f"{SITTER} {sitter}"
        keywords = (f"{self.rules.vocabulary.prefix}{name}", *verdict.keywords)
        return replace(verdict, keywords=keywords[:MOST_KEYWORDS])

    def _tell_of_fault(self, rules: FolderFile) -> None:
        """Tell of the fault in a folder's file once, and again when it is another."""
        if rules.path is None:
            return
        if rules.fault is None:
            self.refused.pop(rules.path, None)
        elif self.refused.get(rules.path) != str(rules.fault):
            self.refused[rules.path] = str(rules.fault)
            self.problem(rules.fault)

    def brief(self, folder: Path, rules: FolderFile) -> tuple[Rulebook, ...]:
        """The lines for photos in `folder`: command line, folder file, configuration, default."""
        return self.rules.brief(self.genres or rules.genres or self.configuration.genres_for(folder))

    def problem(self, error: EyelineError) -> None:
        """Enter a problem into ledger and log, and tell it."""
        problem = Problem.of(error, datetime.now(UTC))
        self.record(problem)
        self.tell_problem(problem)

    def record(self, problem: Problem) -> None:
        """Enter a problem into ledger and log that the user has seen already."""
        self.log.problem(problem)
        self.ledger.problems.add(problem)

    def _writer(self) -> SidecarWriter:
        records = SidecarRecords(self.ledger, self.configuration.naming)
        return SidecarWriter(
            self.configuration, self.ledger, self.exiftool, records, self.problem, self.dry_run
        )

    def _jobs(
        self, judged: Iterable[ToWrite], only_new: bool, writer: SidecarWriter
    ) -> Iterator[Job[Annotated]]:
        for each in judged:
            last = self.ledger.decisions.latest(each.photo.frame.path)
            if only_new and last is not None and self._is_settled(each.photo, each.verdict, last):
                continue
            self._tell_of_left_behind(each.photo, last)
            yield Job(partial(writer.annotated, each, last, only_new), bool(each.siblings or each.namesakes))

    def _tell_of_left_behind(self, photo: Photo, last: Decision | None) -> None:
        """Say so where a photo was renamed and the sidecar that eyeline wrote for it was not."""
        path = photo.frame.path
        if last is None or last.path == path or last.path.parent != path.parent or last.sidecar is None:
            return
        if is_sidecar(last.sidecar) and status_of(last.sidecar) is not None and status_of(last.path) is None:
            old, new = printable(last.path.name), printable(path.name)
            cure = f"Rename it as well, or take it back: eyeline undo --yes {quote(printable(last.path))}"
            self.problem(EyelineError(f"it is the sidecar of {old}, which is now {new}", last.sidecar, cure))

    def _is_settled(self, photo: Photo, verdict: Verdict, last: Decision) -> bool:
        """Whether this is decided and written already, or was undone: the daemon does not do it again.

        Undone is a picture in its folder, under whatever name: a copy elsewhere is a photo like any other.
        """
        here = self.ledger.decisions.latest_beside(photo.frame.path, photo.frame.digest)
        if here is not None and here.outcome is Outcome.TAKEN_BACK:
            return True  # also where taking it back changed the photo's own file
        known = self.ledger.files.known(photo.frame.path)
        return known is not None and known.state is State.WRITTEN and last.verdict == verdict

    def _record_written(self, annotated: Annotated) -> None:
        """Record what was in hand at the end; what ExifTool failed over, the next pass tries again."""
        if annotated.failure is None:
            self._record(annotated)

    def _record(self, annotated: Annotated) -> None:
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


def _is_the_same_again(decision: Decision, last: Decision | None) -> bool:
    """Whether somebody looked again and found all as it was, which is no new decision."""
    return (
        last is not None
        and last.path == decision.path
        and last.verdict == decision.verdict
        and last.outcome is decision.outcome
        and last.refused_because == decision.refused_because
        and last.written == decision.written
        and decision.outcome in (Outcome.UNCHANGED, Outcome.KEPT, Outcome.DRY_RUN, Outcome.REFUSED)
    )
