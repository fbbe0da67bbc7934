"""`eyeline forget`: erase all that eyeline keeps about a folder. Photos and sidecars are not touched."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from shlex import quote

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, counted
from eyeline.errors import printable
from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.run.forget import forget
from eyeline.run.session import LOG_NAME
from eyeline.run.undo import check_known


def run(arguments: argparse.Namespace) -> int:
    """Erase rows, pre-images, log lines and backups that hold them; 1 if something had to be left."""
    configuration = configuration_of(arguments)
    if not configuration.ledger.exists():
        say("There is no ledger, so nothing is kept.")
        return DONE
    paths = [path.resolve() for path in arguments.paths]
    now = datetime.now(UTC)
    with Ledger(configuration.ledger, now) as ledger:
        check_known(ledger, paths)
        if not arguments.yes:
            for path in paths:
                rows = counted(ledger.about(path), "row")
                say(f"{printable(path)}: {rows} about it and what lies under it.")
            say("Nothing was done. Sidecars stay as they are; undo them first if they are to go.")
            again = " ".join(quote(printable(path)) for path in arguments.paths)
            say(f"To erase: eyeline forget --yes {again}")
            return DONE
        log = DecisionLog(configuration.ledger.with_name(LOG_NAME))
        forgotten = forget(ledger, log, paths, now, configuration.small_versions)
    if forgotten.rows or forgotten.log_lines or forgotten.previews:
        small = f", small versions of {counted(forgotten.previews, 'photo')}" if forgotten.previews else ""
        say(
            f"Erased: {counted(forgotten.rows, 'row')} of the ledger, "
            f"{counted(forgotten.log_lines, 'line')} of the decision log{small}."
        )
    else:
        say("Nothing was kept about it, so nothing was erased.")
    if forgotten.backups:
        say(f"One new backup took the place of {counted(forgotten.backups, 'old one')}.")
    for path in paths:
        if any(path == each.path or each.path in path.parents for each in configuration.folders):
            say(f"{printable(path)} is watched: what lies there will be measured again.")
    for kept in forgotten.kept_aside:
        say(f"{printable(kept)}: a damaged ledger, kept aside; delete it if it is to be forgotten too.")
    return SOME_UNREADABLE if forgotten.kept_aside else DONE
