"""`eyeline status`: what the ledger holds."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime, timedelta

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import folded
from eyeline.cli.words import configuration_of, counted, stars
from eyeline.errors import message, printable
from eyeline.ledger.ledger import Ledger

PROBLEMS_SHOWN = 10
"""Latest problems that are listed; the ledger and the decision log hold all."""

PROBLEM_DAYS = 7
"""Problems of so many days are listed."""


def run(arguments: argparse.Namespace) -> int:
    """Print counts and the latest problems."""
    configuration = configuration_of(arguments)
    if not configuration.ledger.exists():
        print(f"There is no ledger yet ({printable(configuration.ledger)}).")
        print("First run: eyeline run FOLDER --dry-run")
        return DONE
    with Ledger.reader(configuration.ledger) as ledger:
        status = ledger.status()
        problems = ledger.problems.since(datetime.now(UTC) - timedelta(days=PROBLEM_DAYS))
    print(f"Ledger:    {printable(configuration.ledger)} ({status.size_bytes / 1e6:.1f} MB)")
    print(f"Photos:    {status.photos} measured, {status.decisions} decisions")
    print("Files:     " + (", ".join(f"{n} {state}" for state, n in status.files.items()) or "none"))
    for number in (5, 4, 3, 2, 1, None):
        if status.stars.get(number):
            label = "no portrait" if number is None else stars(number)
            print(f"           {status.stars[number]:>6}  {label}")
    pictures, taken = configuration.small_versions.size()
    print(
        f"Pictures:  small versions of {counted(pictures, 'photo')}, {taken / 1e6:.0f} MB of at most "
        f"{configuration.previews_gb:g} GB"
    )
    if pictures:
        print(folded(f"           {printable(configuration.previews)}", 11))
    if status.last_activity is not None:
        print(f"Last work: {status.last_activity:%Y-%m-%d %H:%M} UTC")
    if problems:
        print(f"Problems of the last {PROBLEM_DAYS} days, latest last ({len(problems)} in all):")
        for problem in problems[-PROBLEMS_SHOWN:]:
            said = " ".join(message(problem.what, problem.path, problem.cure).split())
            print(folded(f"  {problem.at:%m-%d %H:%M}  {said}", 15))
    return DONE
