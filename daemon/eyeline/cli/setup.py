"""`eyeline setup`: four questions, or as many flags, then a commented configuration."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Literal, TypeVar

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of
from eyeline.errors import BadConfiguration, printable
from eyeline.settings.configuration import configuration_path, load_configuration
from eyeline.settings.new_configuration import Answers, already_there, write_new_configuration
from eyeline.settings.rules import DEFAULT_BRIEF, rules_in_force

Answer = TypeVar("Answer")
Where = Literal["sidecar", "embedded"]

YES, NO = ("y", "yes"), ("n", "no")


def run(arguments: argparse.Namespace) -> int:
    """Ask what no flag has answered, write the configuration, and install the service if wanted."""
    path = (arguments.config or configuration_path()).absolute()
    if path.exists():
        raise already_there(path)
    arguments.config = None
    rules, _ = rules_in_force(configuration_of(arguments))
    known = sorted(rules.rules.genres)
    answers = Answers(
        folders=_folders(arguments.folder),
        genres=_genres(arguments.genre, known),
        write=_write(arguments.write),
    )
    wants_service = _wants_service(arguments.service) if answers.folders else False
    write_new_configuration(path, answers)
    load_configuration(path)
    say(f"Written: {printable(path)}")
    say("Change it in any editor whenever you like; it explains itself.")
    named = "" if path == configuration_path().absolute() else f" --config {printable(path)}"
    if wants_service:
        return _install(path, named)
    if answers.folders:
        say(f"Look at a shoot first: eyeline run {printable(answers.folders[0])} --dry-run{named}")
        say(f"Then let it work by itself: eyeline watch{named}")
    else:
        say(f"Look at a shoot first: eyeline run FOLDER --dry-run{named}")
    return DONE


def _install(path: Path, named: str) -> int:
    from eyeline.cli import service

    words = argparse.Namespace(what="install", paths=[], config=path if named else None, print=False)
    return service.run(words)


def _folders(given: Sequence[Path]) -> tuple[Path, ...]:
    def there(answer: str) -> tuple[Path, ...]:
        paths = [Path(each.strip()) for each in answer.split(",") if each.strip()]
        return tuple(dict.fromkeys(map(_folder, paths)))

    if given:
        return tuple(dict.fromkeys(map(_folder, given)))
    return _ask(
        "1. Which folder do your photos arrive in? All below it is watched too; several: a comma between "
        "them; Enter: none for now.",
        there,
        (),
    )


def _folder(path: Path) -> Path:
    path = path.expanduser().absolute()
    if not path.is_dir():
        raise BadConfiguration("there is no such folder", path, "Make it first, or name another")
    return path


def _genres(given: Sequence[str], known: Sequence[str]) -> tuple[str, ...]:
    def named(answer: str) -> tuple[str, ...]:
        names = [each.strip() for each in answer.split(",") if each.strip()]
        for name in names:
            if name not in known:
                raise BadConfiguration(f"no genre is called '{name}'", cure=f"Known are {', '.join(known)}")
        return tuple(dict.fromkeys(names))

    if given:
        return named(",".join(given))
    say_before = f"   There are: {', '.join(known)}."
    return _ask(
        "2. What do you photograph? Names with a comma between them; Enter: the usual brief of a sitting "
        f"({', '.join(DEFAULT_BRIEF)}).",
        named,
        (),
        say_before,
    )


def _write(given: Where | None) -> Where:
    def chosen(answer: str) -> Where:
        if answer in ("1", "sidecar"):
            return "sidecar"
        if answer in ("2", "embedded"):
            return "embedded"
        raise BadConfiguration("answer 1 or 2")

    if given is not None:
        return given
    sidecar: Where = "sidecar"
    return _ask(
        "3. Where does your viewer look for stars? 1: in .xmp files beside the photos (programs that "
        "develop RAW, and viewers that read sidecars). 2: only inside a JPEG. Enter: 1.",
        chosen,
        sidecar,
    )


def _wants_service(given: bool | None) -> bool:
    def chosen(answer: str) -> bool:
        if answer.lower() in (*YES, *NO):
            return answer.lower() in YES
        raise BadConfiguration("answer y or n")

    if given is not None:
        return given
    return _ask(
        "4. Shall eyeline start with your session and watch by itself, as a service? y or n; Enter: n.",
        chosen,
        False,
    )


def _ask(question: str, understood: Callable[[str], Answer], otherwise: Answer, more: str = "") -> Answer:
    """The answer to `question`; `otherwise` for an empty one, and where nobody is there to be asked."""
    if not sys.stdin.isatty():
        return otherwise
    for line in _said(question, more):
        say(line, 3)
    while True:
        print("   > ", end="", flush=True)
        answer = sys.stdin.readline()
        if not answer:  # the end of input, Ctrl-D
            print()
            return otherwise
        if not answer.strip():
            return otherwise
        try:
            return understood(answer.strip())
        except BadConfiguration as error:
            say(f"   {error}", 3)


def _said(question: str, more: str) -> Iterable[str]:
    return filter(None, (question, more))
