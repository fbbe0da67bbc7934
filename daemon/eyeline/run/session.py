"""Everything that has to be open while eyeline works: ledger, log, ExifTool, workers, rules."""

from __future__ import annotations

import queue
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from eyeline.deciding.decide import Decider
from eyeline.errors import BadConfiguration, EyelineError
from eyeline.exiftool import ExifTool
from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo, Problem
from eyeline.run.engines import engine_of
from eyeline.run.preview_upkeep import PreviewUpkeep
from eyeline.run.reachable import roots_of
from eyeline.run.recovery import open_ledger
from eyeline.settings.configuration import Configuration, check_genres
from eyeline.settings.rules import rules_in_force
from eyeline.workers.engine import Engine
from eyeline.workers.ingest import Ingest

LOG_NAME = "decisions.jsonl"
"""The decision log lies beside the ledger."""


@dataclass(slots=True)
class Session:
    """What is open. `answers`: where workers' answers arrive. `decider` is replaced when rules change."""

    configuration: Configuration
    ledger: Ledger
    log: DecisionLog
    pool: Engine
    decider: Decider
    answers: queue.SimpleQueue[Any]

    def ingest(
        self,
        measured: Callable[[Photo], None],
        failed: Callable[[Path, EyelineError], None],
        reachable: Callable[[Path], bool] = lambda _: True,
        newest_first: bool = False,
    ) -> Ingest:
        """An ingest whose answers arrive in `answers`; the rest as `Ingest` has it."""
        upkeep = PreviewUpkeep(self.configuration.small_versions, lambda error: self.decider.problem(error))
        return Ingest(
            self.pool, self.ledger, measured, failed, self.answers, reachable, upkeep.heard, newest_first
        )

    def reload_rules(self) -> None:
        """Judge by the rules as they are now. Where they cannot be read, or no longer hold a genre that was
        asked for, those in force stay, and the problem is reported."""
        try:
            rules, _ = rules_in_force(self.configuration)
            asked = (self.configuration.genres, *(each.genres for each in self.configuration.folders))
            for genres in (self.decider.genres, *asked):
                rules.brief(genres)
        except EyelineError as error:
            self.decider.problem(error)
            return
        self.decider = replace(self.decider, rules=rules)
        for mistake in rules.mistakes:
            self.decider.problem(EyelineError(str(mistake), cure="The rest of the rules are in force"))


@contextmanager
def open_session(
    configuration: Configuration,
    paths: Iterable[Path],
    genres: Iterable[str],
    dry_run: bool,
    tell_problem: Callable[[Problem], None],
) -> Iterator[Session]:
    """Open all that work on `paths` needs, and close it in the end, whatever happens.

    Raises
    ------
    BadConfiguration
        When a genre that was asked for does not exist.
    LedgerFailed, ExifToolFailed
        When the ledger cannot be opened or ExifTool is missing.
    """
    rules, guest_problems = rules_in_force(configuration)
    check_genres(configuration, rules.rules.genres)
    rules.brief(genres)
    with ExitStack() as stack:
        exiftool = stack.enter_context(ExifTool())
        _ = exiftool.version  # missing or too old: said before any photo is read
        paths = tuple(paths)
        folders = (*paths, *(watched.path for watched in configuration.folders))
        opened, recovered = open_ledger(
            configuration.ledger, folders, configuration.naming, datetime.now(UTC)
        )
        ledger = stack.enter_context(opened)
        ledger.files.free_claims_of_the_dead()
        log = DecisionLog(configuration.ledger.with_name(LOG_NAME))
        decider = Decider(
            configuration,
            rules,
            ledger,
            log,
            exiftool,
            roots_of(paths),
            tell_problem,
            tuple(genres),
            dry_run,
        )
        for event in recovered:
            decider.problem(event)
        for mistake in rules.mistakes:
            decider.problem(BadConfiguration(str(mistake), cure="The rest of the rules are in force"))
        for problem in guest_problems:
            decider.problem(BadConfiguration(problem))
        pool = stack.enter_context(engine_of(configuration, decider.roots, decider.problem))
        yield Session(configuration, ledger, log, pool, decider, queue.SimpleQueue())
