"""`eyeline undo`: take back all that eyeline wrote, and nothing else."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from shlex import quote

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, counted
from eyeline.errors import printable
from eyeline.exiftool import ExifTool
from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.run.session import LOG_NAME
from eyeline.run.undo import check_known, undo


def run(arguments: argparse.Namespace) -> int:
    """Say what is, or would be, taken back; 1 if a sidecar could not be changed safely."""
    configuration = configuration_of(arguments)
    count = exact = refused = 0
    with ExifTool() as exiftool, Ledger(configuration.ledger, datetime.now(UTC)) as ledger:
        check_known(ledger, arguments.paths)
        log = DecisionLog(configuration.ledger.with_name(LOG_NAME))
        for undone in undo(
            ledger,
            log,
            exiftool,
            arguments.paths,
            configuration.naming,
            dry_run=not arguments.yes,
            by_history=arguments.by_history,
        ):
            refused += undone.refused
            count += not undone.refused
            exact += undone.exact
            say(f"{printable(undone.sidecar)}: {printable(undone.sentence)}")
    sidecars = counted(count, "sidecar")
    tail = f", {refused} left untouched" if refused else ""
    if not count:
        say(f"There is nothing of eyeline's to take back{tail}.")
    elif arguments.yes:
        say(f"{sidecars} taken back, {exact} of them to the byte{tail}.")
    else:
        by_history = "--by-history " if arguments.by_history else ""
        paths = " ".join(quote(printable(path)) for path in arguments.paths)
        say(f"{sidecars} would be taken back, {exact} of them to the byte{tail}. Nothing was done.")
        say(f"To do it: eyeline undo --yes {by_history}{paths}")
    return SOME_UNREADABLE if refused else DONE
