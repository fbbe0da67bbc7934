"""`eyeline run`: one pass over files or folders."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from eyeline.cli.exit_codes import DONE, MISUSED, SOME_UNREADABLE
from eyeline.cli.progress import Progress
from eyeline.cli.streams import console
from eyeline.cli.table import Tally, print_table
from eyeline.cli.words import configuration_of, json_line, say_problem
from eyeline.deciding.shoot import Shoot
from eyeline.ledger.records import Decision, Photo, Summary
from eyeline.run.once import Listener, run_once
from eyeline.run.session import open_session


def run(arguments: argparse.Namespace) -> int:
    """Measure, judge, write; 1 if a photo could not be read or its sidecar not written, 2 if a folder's own
    file has a mistake."""
    tally = Tally()
    shown: list[Decision] = []  # a table is for a person, who looks at all of it
    first: list[Path] = []
    with_table = (sys.stdout.isatty() or arguments.dry_run) and not arguments.json

    with Progress(console(stderr=True)) as progress:

        def decided(photo: Photo, decision: Decision) -> None:
            tally.add(decision)
            first[:] = first or [decision.path]
            progress.written()
            if with_table:
                shown.append(decision)
            if arguments.json:
                print(json_line(photo, decision), flush=True)

        def unchanged(shoot: Shoot, summary: Summary) -> None:
            tally.add_all(summary)
            first[:] = first or [next(iter(shoot.photos))]
            progress.measured(len(shoot.photos))
            progress.written(len(shoot.photos))
            for folder in shoot.folders if with_table else ():
                shown.extend(session.ledger.decisions.latest_in(folder))

        listener = Listener(
            progress.found, lambda _: progress.measured(), decided, None if arguments.json else unchanged
        )
        configuration = configuration_of(arguments)
        with open_session(
            configuration, arguments.paths, arguments.genre, arguments.dry_run, say_problem
        ) as session:
            failures = run_once(session, arguments.paths, listener)
            warned = tally.cautions(session.decider.rules.rules.genres)
            refused = session.decider.refused

    if not arguments.json:
        if with_table:
            common = os.path.commonpath([str(each.path.parent) for each in shown] or ["."])
            print_table(console(), shown, Path(common))
        print(tally.summary())
        for caution in warned:
            print(caution)
        if first:
            print(f"Why? eyeline why {first[0]}", file=sys.stderr)
    if refused:
        return MISUSED
    return SOME_UNREADABLE if failures else DONE
