"""`eyeline watch`: the daemon."""

from __future__ import annotations

import argparse
from pathlib import Path

from eyeline.cli.brief import in_words
from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import folded, say
from eyeline.cli.words import configuration_of, say_problem, stars
from eyeline.errors import BadConfiguration, printable
from eyeline.run.announcements import Announcement, FrameJudged, SitterSeated
from eyeline.run.brief import own_brief
from eyeline.run.daemon import Daemon
from eyeline.run.outlets import is_wanted
from eyeline.run.session import open_session
from eyeline.run.signals import listen_to_signals
from eyeline.run.telling import telling
from eyeline.run.words_told import in_words as told_in_words
from eyeline.settings.configuration import Tell

MOST_REMEMBERED = 2_000
"""Verdicts that are remembered so as not to be printed twice: more than one sitting has."""


class Terminal:
    """Prints what is announced, each verdict when it is first known and again where it has changed since."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._told: dict[Path, FrameJudged] = {}  # the latest last

    def hear(self, announcement: Announcement) -> None:
        """Print `announcement`, if there is anything to say."""
        if isinstance(announcement, FrameJudged):
            lines = self._judged(announcement)
        elif is_wanted(announcement, self._tell) or isinstance(announcement, SitterSeated):
            words = told_in_words(announcement)
            lines = [] if words is None else [folded(f"{words[0]}. {words[1]}.", 2)]
        else:
            lines = []
        for line in lines:
            print(line, flush=True)

    def _judged(self, judged: FrameJudged) -> list[str]:
        before = self._told.pop(judged.file, None)
        self._told[judged.file] = judged
        if len(self._told) > MOST_REMEMBERED:
            del self._told[next(iter(self._told))]
        if before is None:
            return [judged_line(judged)]
        if _said(before) == _said(judged):
            return []
        return [judged_line(judged, f"now, {stars(_standing(before))} before: ")]


def _said(judged: FrameJudged) -> tuple[object, ...]:
    return judged.genre, judged.stars, judged.keywords, judged.own_stars


def _standing(judged: FrameJudged) -> int | None:
    """The stars that stand: the photographer's, where they gave any."""
    return judged.stars if judged.own_stars is None else judged.own_stars


def judged_line(judged: FrameJudged, since: str = "") -> str:
    """One verdict in 80 columns: the stars that stand first, in a column."""
    name = printable(f"{judged.file.parent.name}/{judged.file.name}")
    words = f": {', '.join(judged.keywords)}" if judged.keywords else ""
    yours = "" if judged.own_stars is None else f"yours, {stars(judged.stars)} by eyeline: "
    said = f"{since}{yours}{judged.genre or 'no portrait'}{words}"
    return folded(f"{stars(_standing(judged)):5} {name}  {said}", 6)


def run(arguments: argparse.Namespace) -> int:
    """Watch until SIGINT or SIGTERM."""
    configuration = configuration_of(arguments)
    paths = arguments.paths or [folder.path for folder in configuration.folders]
    if not paths:
        raise BadConfiguration(
            "there is no folder to watch", cure="Name one, or put [[folder]] in the configuration"
        )

    def wrote(folder: Path) -> None:
        decider = session.decider
        if decider.folder_rules(folder).seats is not None:
            return  # gaps are told sitter by sitter, while each is there
        report = own_brief(folder, session.ledger, configuration, decider.rules, decider.roots)
        if report is not None:
            print("\n".join(in_words(report)), flush=True)

    with open_session(configuration, paths, arguments.genre, arguments.dry_run, say_problem) as session:
        daemon = Daemon(session, lambda *_: None, measured=lambda _: None, wrote=wrote)
        daemon.announcements.subscribe(Terminal(configuration.tell).hear)
        listen_to_signals(daemon)
        watched = ", ".join(printable(path) for path in paths)
        say(
            f"Watching {watched}. Ctrl-C stops; sidecars are written when a sitting has been quiet.",
        )
        with telling(daemon):
            daemon.run()
        refused = session.decider.refused
    say("Stopped. Everything measured is written.")
    for file in refused:
        say(f"But nothing where {printable(file)} speaks: it has a mistake.")
    return DONE
