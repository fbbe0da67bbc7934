"""`eyeline run`: one pass over files or folders."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Mapping
from pathlib import Path
from shlex import quote

from eyeline.cli.exit_codes import DONE, MISUSED, SOME_UNREADABLE
from eyeline.cli.lines import say
from eyeline.cli.progress import Progress
from eyeline.cli.streams import console
from eyeline.cli.table import Tally, print_table
from eyeline.cli.words import configuration_of, counted, json_line, say_problem, stars
from eyeline.deciding.shoot import Shoot
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.errors import printable
from eyeline.ledger.records import Decision, Photo, Summary
from eyeline.run.once import Listener, run_once
from eyeline.run.ratings import their_stars
from eyeline.run.session import open_session

WORTH_A_LOOK = 3
"""Stars from which a frame is sound: where none is, none is first to be looked at."""

CHECK = "check "
"""Keywords of doubt begin so (rules/vocabulary.toml)."""


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
            records = SidecarRecords(session.ledger, configuration.naming)
            photos = [session.ledger.photos.at(each.path) for each in shown]
            rated = {each.frame.path: their_stars(records, each) for each in photos if each is not None}
            theirs = {path: given for path, given in rated.items() if given is not None}

    if not arguments.json:
        say(tally.summary())
        if with_table:
            _show(shown, theirs)
        for caution in warned:
            say(caution)
        _say_next(arguments, tally, first)
    if refused:
        return MISUSED
    return SOME_UNREADABLE if failures else DONE


def _show(decisions: list[Decision], theirs: Mapping[Path, int]) -> None:
    """What to look at first, whose stars are shown where the photographer has given some, and the table."""
    given = {each.verdict.stars or 0 for each in decisions}
    best = max(given, default=0)
    doubtful = sum(any(word.startswith(CHECK) for word in each.verdict.keywords) for each in decisions)
    if best >= WORTH_A_LOOK and len(given) > 1:
        say(f"Look first at those with {stars(best)}.")
    if doubtful:
        say(f"Where the keyword begins with '{CHECK}', eyeline is in doubt: {doubtful} to look at yourself.")
    if theirs:
        say(f"Where it says 'yours', the stars are your own and stay: in {counted(len(theirs), 'photo')}.")
    if decisions:
        print()
        common = os.path.commonpath([str(each.path.parent) for each in decisions])
        print_table(console(), decisions, Path(common), theirs)
        print()


def _say_next(arguments: argparse.Namespace, tally: Tally, first: list[Path]) -> None:
    """What to type next."""
    if not first:
        return
    say(f"Why? eyeline why {quote(printable(first[0]))}")
    if arguments.dry_run and tally.stars:
        paths = " ".join(quote(printable(path)) for path in arguments.paths)
        say(f"To write the sidecars: eyeline run {paths}")
