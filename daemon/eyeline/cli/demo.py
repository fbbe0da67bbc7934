"""`eyeline demo`: the bundled shoot arrives while the daemon watches."""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path
from shlex import quote

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
from eyeline.cli.lines import say
from eyeline.cli.progress import Progress
from eyeline.cli.streams import console as console_of_stdout
from eyeline.cli.table import print_table, tally
from eyeline.cli.words import counted, say_problem
from eyeline.errors import printable
from eyeline.ledger.records import Decision, Photo
from eyeline.run.card_reader import CardReader, bundled_photos
from eyeline.run.daemon import Daemon
from eyeline.run.session import open_session
from eyeline.run.signals import listen_to_signals
from eyeline.settings.configuration import load_configuration

CONFIGURATION = """\
# The demo's own configuration: its ledger and pictures lie beside it, and it waits less than for a real card.
ledger = "ledger.sqlite3"
previews = "previews"
quiet_seconds = 0.4
sitting_quiet_seconds = 2
"""


def run(arguments: argparse.Namespace) -> int:
    """Watch an empty folder, deliver the shoot into it, show what comes out; 1 if a frame was not judged."""
    if arguments.folder is not None:
        arguments.folder.mkdir(parents=True)
    base = Path(arguments.folder or tempfile.mkdtemp(prefix="eyeline-demo-")).resolve()
    watched = base / "arriving"
    watched.mkdir()
    settings = base / "config.toml"
    settings.write_text(CONFIGURATION)
    configuration = load_configuration(settings)
    photos = bundled_photos()
    console = console_of_stdout()
    say(f"eyeline watches {printable(watched)}")
    say(f"{len(photos)} frames of an invented shoot arrive there, one by one.")

    decisions: dict[Path, Decision] = {}
    started = time.monotonic()
    with (
        open_session(configuration, [watched], (), False, say_problem) as session,
        Progress(console) as progress,
    ):
        progress.found(len(photos))

        def decided(_: Photo, decision: Decision) -> None:
            if decision.path not in decisions:
                progress.written()
            decisions[decision.path] = decision

        delivery = CardReader(photos, watched)

        def stop_when_done() -> None:
            if not delivery.is_alive() and not daemon.is_busy and delivery.delivered:
                daemon.stop()

        daemon = Daemon(session, decided, lambda _: progress.measured(), idle=stop_when_done)
        listen_to_signals(daemon)
        delivery.start()
        daemon.run()
    seconds = time.monotonic() - started

    ordered = [decisions[path] for path in sorted(decisions)]
    say(tally(ordered).summary())
    print()
    print_table(console, ordered, watched)
    print()
    say(
        f"{seconds:.0f} s with {counted(configuration.workers, 'worker')}, the start of the models included: "
        f"{len(ordered) / seconds:.1f} photos a second."
    )
    say(f"Sidecars: {printable(watched)}")
    say(f"Ledger:   {printable(configuration.ledger)}")
    first = next((d for d in ordered if d.verdict.stars == 1), ordered[0] if ordered else None)
    if first is not None:
        say("\nWhat to type next:")
        say(f"  eyeline why --config {quote(printable(settings))} {quote(printable(first.path))}", 4)
        say("  eyeline run FOLDER --dry-run     (your own folder; writes nothing)", 4)
        say("  eyeline genres                   (what it judges by)", 4)
    return DONE if len(ordered) == len(photos) else SOME_UNREADABLE
