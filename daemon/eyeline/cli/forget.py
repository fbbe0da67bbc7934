"""`eyeline forget`: erase all that eyeline keeps about a folder. Photos and sidecars are not touched."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from shlex import quote

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
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
        print("There is no ledger, so nothing is kept.")
        return DONE
    paths = [path.resolve() for path in arguments.paths]
    now = datetime.now(UTC)
    with Ledger(configuration.ledger, now) as ledger:
        check_known(ledger, paths)
        if not arguments.yes:
            for path in paths:
                print(f"{printable(path)}: {ledger.about(path)} rows about it and what lies under it.")
            print("Nothing was done. Sidecars stay as they are; undo them first if they are to go.")
            again = " ".join(quote(printable(path)) for path in arguments.paths)
            print(f"To erase: eyeline forget --yes {again}")
            return DONE
        log = DecisionLog(configuration.ledger.with_name(LOG_NAME))
        forgotten = forget(ledger, log, paths, now, configuration.small_versions)
    print(
        f"Erased: {forgotten.rows} rows, {forgotten.log_lines} lines of the decision log, "
        f"small versions of {counted(forgotten.previews, 'photo')}, "
        f"{forgotten.backups} old backups (one new was made)."
    )
    for path in paths:
        if any(path == each.path or each.path in path.parents for each in configuration.folders):
            print(f"{printable(path)} is watched: what lies there will be measured again.")
    for kept in forgotten.kept_aside:
        print(f"{printable(kept)}: a damaged ledger, kept aside; delete it if it is to be forgotten too.")
    return SOME_UNREADABLE if forgotten.kept_aside else DONE
