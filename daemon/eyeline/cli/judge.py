"""`eyeline judge`: judge anew by the rules in force what is measured already."""

from __future__ import annotations

import argparse

from eyeline.cli.exit_codes import DONE, MISUSED
from eyeline.cli.table import tally as tally_of
from eyeline.cli.words import configuration_of, counted, say_problem, stars
from eyeline.deciding.judge_folder import measured_photos
from eyeline.deciding.rejudge import apply, changes, tally
from eyeline.errors import EyelineError, printable
from eyeline.run.session import open_session


def run(arguments: argparse.Namespace) -> int:
    """Show what would change; write it unless this is a dry run. 2 if a folder's own file has a mistake."""
    paths = [path.resolve() for path in arguments.paths]
    with open_session(
        configuration_of(arguments), paths, arguments.genre, arguments.dry_run, say_problem
    ) as session:
        photos = measured_photos(session.ledger, paths)
        if not photos:
            raise EyelineError("nothing under these paths is measured yet", paths[0], "Run: eyeline run PATH")
        found = list(changes(session.decider, photos))
        changed = tally(found)
        print(f"{counted(len(photos), 'measured photo')}, {len(found)} with other stars or keywords.")
        for (before, after), count in changed.stars.most_common():
            example = printable(changed.examples["stars", (before, after)])
            print(f"  {count:5}  {stars(before):>5} → {stars(after):5}  e.g. {example}")
        for kind, words in (("gained", changed.gained), ("lost", changed.lost)):
            for word, count in words.most_common():
                print(f"  {count:5}  {kind} '{word}'  e.g. {printable(changed.examples[kind, word])}")
        code = MISUSED if session.decider.refused else DONE
        if arguments.dry_run:
            print("Nothing was written (dry run).")
            return code
        decisions = [decision for _, decision in apply(session.decider, photos)]
        judged = tally_of(decisions)
        warned = judged.cautions(session.decider.rules.rules.genres)
    print(judged.summary() if decisions else "Nothing to write.")
    for caution in warned:
        print(caution)
    return code
