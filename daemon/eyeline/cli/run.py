"""`eyeline run`: one pass over files or folders."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from rich.console import Console

from eyeline.cli.exit_codes import DONE, MISUSED, SOME_UNREADABLE
from eyeline.cli.progress import Progress
from eyeline.cli.table import cautions, print_table, summary
from eyeline.cli.words import configuration_of, json_line, say_problem
from eyeline.ledger.records import Decision, Photo
from eyeline.run.once import Listener, run_once
from eyeline.run.session import open_session


def run(arguments: argparse.Namespace) -> int:
    """Measure, judge, write; 1 if a photo could not be read or its sidecar not written, 2 if a folder's own
    file has a mistake."""
    decisions: list[Decision] = []
    errors = Console(stderr=True)

    with Progress(errors) as progress:

        def decided(photo: Photo, decision: Decision) -> None:
            decisions.append(decision)
            progress.written()
            if arguments.json:
                print(json_line(photo, decision), flush=True)

        listener = Listener(progress.found, lambda _: progress.measured(), decided)
        configuration = configuration_of(arguments)
        with open_session(
            configuration, arguments.paths, arguments.genre, arguments.dry_run, say_problem
        ) as session:
            failures = run_once(session, arguments.paths, listener)
            warned = cautions(decisions, session.decider.rules.rules.genres)
            refused = session.decider.refused

    if not arguments.json:
        if sys.stdout.isatty():
            common = os.path.commonpath([str(each.path.parent) for each in decisions] or ["."])
            print_table(Console(), decisions, Path(common))
        print(summary(decisions))
        for caution in warned:
            print(caution)
        if decisions:
            print(f"Why? eyeline why {decisions[0].path}", file=sys.stderr)
    if refused:
        return MISUSED
    return SOME_UNREADABLE if failures else DONE
