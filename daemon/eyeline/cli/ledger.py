"""`eyeline ledger`: check it, back it up, export it."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
from eyeline.cli.lines import complain, say
from eyeline.cli.words import configuration_of, counted
from eyeline.errors import printable
from eyeline.ledger.ledger import Ledger
from eyeline.run.backups import back_up, backups


def run(arguments: argparse.Namespace) -> int:
    """Check, back up or export; 1 where the ledger is damaged."""
    path = configuration_of(arguments).ledger
    with Ledger.up_to_date(path, datetime.now(UTC)) as ledger:
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
            say(f"Backed up: {printable(target)}")
            return DONE
        wrong = ledger.check()
        if not wrong:
            status = ledger.status()
            say(
                f"{printable(path)} is sound: {counted(status.photos, 'photo')}, "
                f"{counted(status.decisions, 'decision')}, {counted(len(backups(path)), 'backup')}."
            )
            return DONE
    for line in wrong:
        complain(f"{printable(path)}: {line}")
    complain("At its next start eyeline keeps it aside and restores the newest sound backup.")
    return SOME_UNREADABLE
