"""`eyeline judge`: judge anew by the rules in force what is measured already."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from shlex import quote

from eyeline.cli.exit_codes import DONE, MISUSED
from eyeline.cli.lines import say
from eyeline.cli.table import tally as tally_of
from eyeline.cli.words import configuration_of, counted, say_problem, stars
from eyeline.deciding.judge_folder import measured_photos
from eyeline.deciding.rejudge import Tally, apply, changes, tally
from eyeline.errors import printable
from eyeline.run.nothing_measured import nothing_measured
from eyeline.run.session import open_session


def run(arguments: argparse.Namespace) -> int:
    """Show what would change; write it unless this is a dry run. 2 if a folder's own file has a mistake."""
    paths = [path.resolve() for path in arguments.paths]
    with open_session(
        configuration_of(arguments), paths, arguments.genre, arguments.dry_run, say_problem
    ) as session:
        photos = measured_photos(session.ledger, paths)
        if not photos:
            raise nothing_measured(paths)
        _show(tally(changes(session.decider, photos)), len(photos))
        code = MISUSED if session.decider.refused else DONE
        if arguments.dry_run:
            say(f"Nothing was written. To do it: eyeline judge {_shown(arguments.paths)}")
            return code
        decisions = [decision for _, decision in apply(session.decider, photos)]
        judged = tally_of(decisions)
        warned = judged.cautions(session.decider.rules.rules.genres)
    say(judged.summary() if decisions else "Nothing to write.")
    for caution in warned:
        say(caution)
    return code


def _show(found: Tally, photos: int) -> None:
    """What would change, counted, each with an example."""
    say(f"{counted(photos, 'measured photo')}, {found.photos} with other stars, genre or keywords.")
    rows: list[tuple[str, object, str, int]] = [
        ("stars", step, f"{stars(step[0])} → {stars(step[1])}", count)
        for step, count in found.stars.most_common()
    ]
    rows += [
        ("genres", step, f"{step[0] or 'no portrait'} → {step[1] or 'no portrait'}", count)
        for step, count in found.genres.most_common()
    ]
    for kind, words in (("gained", found.gained), ("lost", found.lost)):
        rows += [(kind, word, f"{kind} '{word}'", count) for word, count in words.most_common()]
    for kind, what, said, count in rows:
        say(f"  {count:5}  {said}, e.g. {printable(found.examples[kind, what].name)}", 9)
    if found.first:
        say(f"{counted(found.first, 'photo')} judged for the first time.")
    if found.others:
        say(f"{counted(found.others, 'photo')} with other crops, scores or reasons only.")


def _shown(paths: Sequence[Path]) -> str:
    return " ".join(quote(printable(path)) for path in paths)
