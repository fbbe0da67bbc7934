"""`eyeline watch`: the daemon."""

from __future__ import annotations

import argparse
from pathlib import Path

from eyeline.cli.brief import in_words
from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import folded
from eyeline.cli.words import configuration_of, say_problem, stars
from eyeline.errors import BadConfiguration, printable
from eyeline.ledger.records import Decision, Photo
from eyeline.run.brief import own_brief
from eyeline.run.daemon import Daemon
from eyeline.run.session import open_session
from eyeline.run.signals import listen_to_signals


def decided_line(decision: Decision) -> str:
    """One photo that was decided, in 80 columns: stars first, so that they stand in a column."""
    verdict = decision.verdict
    name = printable(f"{decision.path.parent.name}/{decision.path.name}")
    words = f": {', '.join(verdict.keywords)}" if verdict.keywords else ""
    return folded(f"{stars(verdict.stars):5} {name}  {verdict.genre or 'no portrait'}{words}", 6)


def run(arguments: argparse.Namespace) -> int:
    """Watch until SIGINT or SIGTERM."""
    configuration = configuration_of(arguments)
    paths = arguments.paths or [folder.path for folder in configuration.folders]
    if not paths:
        raise BadConfiguration(
            "there is no folder to watch", cure="Name one, or put [[folder]] in the configuration"
        )

    def decided(_: Photo, decision: Decision) -> None:
        print(decided_line(decision), flush=True)

    def wrote(folder: Path) -> None:
        decider = session.decider
        report = own_brief(folder, session.ledger, configuration, decider.rules, decider.roots)
        if report is not None:
            print("\n".join(in_words(report)), flush=True)

    with open_session(configuration, paths, arguments.genre, arguments.dry_run, say_problem) as session:
        daemon = Daemon(session, decided, measured=lambda _: None, wrote=wrote)
        listen_to_signals(daemon)
        watched = ", ".join(printable(path) for path in paths)
        print(
            f"Watching {watched}. Ctrl-C stops; sidecars are written when a sitting has been quiet.",
            flush=True,
        )
        daemon.run()
        refused = session.decider.refused
    print("Stopped. Everything measured is written.", flush=True)
    for file in refused:
        print(f"But nothing where {printable(file)} speaks: it has a mistake.", flush=True)
    return DONE
