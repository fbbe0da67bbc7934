"""`eyeline ledger`: check it, back it up, export it."""

from __future__ import annotations

import argparse
from pathlib import Path

from eyeline.cli.words import add_configuration


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What to do with the ledger."""
    add_configuration(parser)
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    what.add_parser("check", help="is the file sound? says so, or what is wrong")
    backup = what.add_parser("backup", help="copy it as it is now")
    backup.add_argument("file", type=Path, nargs="?", metavar="FILE", help="a new file (else: a dated one)")
    what.add_parser("export", help="all of it as JSON on stdout, a row a line")


def run(arguments: argparse.Namespace) -> int:
    """Check, back up or export; 1 where the ledger is damaged."""
    import sys
    from datetime import UTC, datetime

    from eyeline.cli.main import DONE, SOME_UNREADABLE
    from eyeline.cli.words import configuration_of
    from eyeline.errors import printable
    from eyeline.ledger.ledger import Ledger
    from eyeline.run.backups import back_up, backups

    path = configuration_of(arguments).ledger
    with Ledger.reader(path) as ledger:
        if arguments.what == "export":
            for line in ledger.export():
                print(line)
            return DONE
        if arguments.what == "backup":
            if arguments.file is None:
                target = back_up(ledger, datetime.now(UTC))
            else:
                target = arguments.file.absolute()
                ledger.backup(target)
            print(f"Backed up: {printable(target)}")
            return DONE
        wrong = ledger.check()
        if not wrong:
            status = ledger.status()
            print(
                f"{printable(path)} is sound: {status.photos} photos, {status.decisions} decisions, "
                f"{len(backups(path))} backups."
            )
            return DONE
    for line in wrong:
        print(f"{printable(path)}: {line}", file=sys.stderr)
    print("At its next start eyeline keeps it aside and restores the newest sound backup.", file=sys.stderr)
    return SOME_UNREADABLE
