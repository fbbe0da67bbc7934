"""`eyeline review`: the page on which a shoot is looked at, corrected and tuned, while it arrives."""

from __future__ import annotations

import argparse

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, say_problem
from eyeline.errors import BadConfiguration
from eyeline.pages.review.reviewing import reviewing
from eyeline.run.daemon import Daemon
from eyeline.run.session import open_session
from eyeline.run.signals import listen_to_signals


def run(arguments: argparse.Namespace) -> int:
    """Watch and serve the page until SIGINT or SIGTERM."""
    configuration = configuration_of(arguments)
    paths = [path.resolve() for path in arguments.folders] or [each.path for each in configuration.folders]
    if not paths:
        raise BadConfiguration(
            "there is no folder to look at", cure="Name one, or put [[folder]] in the configuration"
        )
    for path in paths:
        if not path.is_dir():
            raise BadConfiguration("this is no folder", path, "Name a folder with photos")
    with (
        open_session(configuration, paths, arguments.genre, False, say_problem) as session,
        reviewing(session, arguments.port) as (daemon, address),
    ):
        listen_to_signals(daemon)
        say("Open this in a browser of this machine; it lets one browser in, once:")
        say(f"  {address}")
        if isinstance(daemon, Daemon):
            say("New photos are judged and written as with eyeline watch. Ctrl-C stops.")
        else:
            say("Another eyeline watches here; this one looks on. Ctrl-C stops.")
        daemon.run()
    say("Stopped. Everything measured is written.")
    return DONE
