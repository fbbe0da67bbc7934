"""`eyeline sitter`: who sits now, or whose frames these are."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, counted, say_problem
from eyeline.deciding.judge_folder import photos_in
from eyeline.errors import BadConfiguration, EyelineError, printable
from eyeline.run import local_socket
from eyeline.run.session import open_session
from eyeline.run.sitter_moves import move
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import FILE_NAME

NO_DAEMON = "no daemon runs that could be told who sits"
NO_DAEMON_CURE = "Start it: eyeline watch FOLDER"


def run(arguments: argparse.Namespace) -> int:
    """Tell the daemon who sits, ask who does, or move frames to their sitter."""
    configuration = configuration_of(arguments)
    if arguments.files:
        return _move(arguments.sitter, arguments.files, configuration)
    request: dict[str, Any] = {"do": "sitter"}
    if arguments.sitter is not None:
        request["sitter"] = arguments.sitter
    if arguments.folder is not None:
        request["folder"] = str(arguments.folder.resolve())
    answer = _asked(configuration, request)
    if answer is None:
        raise EyelineError(NO_DAEMON, cure=NO_DAEMON_CURE)
    called = answer["called"]
    if called is None:
        say("Nobody sits yet. Say who: eyeline sitter NUMBER")
    else:
        holds = "now" if arguments.sitter is None else "from now on"
        say(f"{called} sits {holds} in {printable(answer['folder'])}.")
        _say_doubt(answer.get("doubt"))
    return DONE


def _move(sitter: str, files: list[Path], configuration: Configuration) -> int:
    request = {"do": "move", "sitter": sitter, "files": [str(path.resolve()) for path in files]}
    answer = _asked(configuration, request)
    if answer is not None:
        say(f"{counted(answer['photos'], 'frame')} of {answer['called']}. The daemon judges them anew.")
        _say_doubt(answer.get("doubt"))
        return DONE
    with open_session(configuration, _jobs(files), (), False, say_problem) as session:
        moved = move(session.decider, sitter, files)
        written = 0
        for folder in moved.folders:
            written += sum(
                1 for _ in session.decider.decide(photos_in(session.ledger, folder), only_new=True)
            )
    changed = f"{counted(written, 'verdict')} changed." if written else "No verdict changed."
    say(f"{counted(moved.photos, 'frame')} of {moved.called}. {changed}")
    _say_doubt(moved.doubt)
    return DONE


def _say_doubt(doubt: str | None) -> None:
    """A name that the list does not have may be a slip; it holds all the same, until it is said anew."""
    if doubt:
        say(doubt)


def _jobs(files: list[Path]) -> list[Path]:
    """The folders whose brief speaks of `files`: the nearest at or above each that has one, else its own."""
    jobs: dict[Path, None] = {}
    for file in files:
        above = (file.resolve(), *file.resolve().parents)
        jobs[next((each for each in above if (each / FILE_NAME).is_file()), file)] = None
    return list(jobs)


def _asked(configuration: Configuration, request: dict[str, Any]) -> dict[str, Any] | None:
    """What the daemon answers, None where none runs. Raises EyelineError where it refuses."""
    place = configuration.ledger.with_name(local_socket.NAME)
    try:
        answer = local_socket.ask(place, request)
    except (OSError, ValueError) as error:
        raise EyelineError("the daemon does not answer", cure="Try again, or start it anew") from error
    if answer is not None and not answer.get("ok"):
        raise BadConfiguration(str(answer.get("problem")), cure=str(answer.get("cure") or ""))
    return answer
