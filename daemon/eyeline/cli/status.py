"""`eyeline status`: what the ledger holds."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, counted, stars
from eyeline.errors import EyelineError, message, printable
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Problem
from eyeline.settings.configuration import Configuration

PROBLEMS_SHOWN = 10
"""Latest problems that are listed; the ledger and the decision log hold all."""

PROBLEM_DAYS = 7
"""Problems of so many days are listed."""


def run(arguments: argparse.Namespace) -> int:
    """Print counts and the latest problems."""
    configuration = configuration_of(arguments)
    if not configuration.ledger.exists():
        say(f"There is no ledger yet ({printable(configuration.ledger)}).")
        say("First run: eyeline run FOLDER --dry-run")
        return DONE
    with Ledger.up_to_date(configuration.ledger, datetime.now(UTC)) as ledger:
        status = ledger.status()
        problems = ledger.problems.since(datetime.now(UTC) - timedelta(days=PROBLEM_DAYS))
    say(f"Ledger:    {printable(configuration.ledger)} ({status.size_bytes / 1e6:.1f} MB)")
    say(f"Photos:    {status.photos} measured, {status.decisions} decisions")
    say("Files:     " + (", ".join(f"{n} {state}" for state, n in status.files.items()) or "none"))
    for number in (5, 4, 3, 2, 1, None):
        if status.stars.get(number):
            label = "no portrait" if number is None else stars(number)
            say(f"           {status.stars[number]:>6}  {label}")
    pictures, taken = configuration.small_versions.size()
    say(
        f"Pictures:  small versions of {counted(pictures, 'photo')}, {taken / 1e6:.0f} MB of at most "
        f"{configuration.previews_gb:g} GB",
        11,
    )
    if pictures:
        say(f"           {printable(configuration.previews)}", 11)
    if status.last_activity is not None:
        say(f"Last work: {status.last_activity:%Y-%m-%d %H:%M} UTC")
    if configuration.engine == "dask" and configuration.scheduler is not None:
        _say_stations(configuration, configuration.scheduler)
    _say_problems(problems)
    return DONE


def _say_stations(configuration: Configuration, scheduler: str) -> None:
    """Who does what on other machines; or why nobody says."""
    from eyeline.cli.workers import stations_in_words

    try:
        first, *more = stations_in_words(scheduler, configuration.certificates)
    except EyelineError as error:
        first, more = str(error), []
    say(f"Stations:  {first}", 11)
    for line in more:
        say(f"         {line}", 13)


def _say_problems(problems: Sequence[Problem]) -> None:
    """The latest, each once however often it was met, with when that was last."""
    latest: dict[str, datetime] = {}
    for problem in problems:
        said = " ".join(message(problem.what, problem.path, problem.cure).split())
        latest.pop(said, None)  # so that the latest stands last
        latest[said] = problem.at
    if latest:
        say(f"Problems of the last {PROBLEM_DAYS} days, latest last ({len(latest)} in all):")
    for said, at in list(latest.items())[-PROBLEMS_SHOWN:]:
        say(f"  {at:%m-%d %H:%M}  {said}", 15)
