"""The command `eyeline`: finds the verb, runs it, turns errors into messages and exit codes."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module
from types import ModuleType

VERBS = {
    "run": "one pass over files or folders, then exit",
    "watch": "the daemon: measure, judge and annotate photos as they arrive",
    "judge": "judge anew what is measured, by the rules in force",
    "measure": "measures only, nothing is judged or written",
    "why": "the reasons for a photo's stars, in words",
    "brief": "what of the brief is there, what is missing, what the nearest frame lacks",
    "team": "portraits of many sitters kept alike: matching crops, and who does not fit",
    "genres": "list the genres, check a rule file, show one in full",
    "undo": "take back all that eyeline wrote into sidecars, and nothing else",
    "take-back": "let eyeline write anew where all that it wrote has gone",
    "forget": "erase all that eyeline keeps about a folder",
    "ledger": "check, back up or export the ledger",
    "learn": "compare your ratings with eyeline's and propose changes of a genre",
    "service": "run the daemon as a service of yours",
    "status": "what the ledger holds",
    "doctor": "is everything here that eyeline needs?",
    "demo": "let the bundled shoot arrive, and see what comes out",
}
"""Each verb is a module of this room with `add_arguments(parser)` and `run(arguments) -> int`; it is
imported only when it is asked for, so that `eyeline --help` answers at once."""

DONE, SOME_UNREADABLE, MISUSED = 0, 1, 2
"""Exit codes: done; some photos could not be read (each is named); usage or configuration."""

INTERRUPTED = 130
"""Exit code after Ctrl-C: 128 + SIGINT, as shells have it."""


def main(words: Sequence[str] | None = None) -> int:
    """Run one command line; `words` without the program's own name. Returns the exit code."""
    _speak_any_file_name()
    try:
        return _obey(list(sys.argv[1:] if words is None else words))
    except KeyboardInterrupt:
        said = "stopped. Nothing is half-written; the same command goes on from here."
        print(f"eyeline: {said}", file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        sys.stderr.close()
        return DONE


def _obey(words: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="eyeline",
        description="Measures portraits as they arrive, judges them by the rules of their genre, and "
        "writes stars, keywords and crops into XMP sidecars. No photo is ever altered.",
        epilog="eyeline VERB --help says more. First run: eyeline run FOLDER --dry-run",
    )
    parser.add_argument("--version", action=_ShowVersion, nargs=0, help="show the version")
    verbs = parser.add_subparsers(dest="verb", metavar="VERB", required=True)
    asked = next((word for word in words if word in VERBS), None)
    for verb, says in VERBS.items():
        subparser = verbs.add_parser(verb, help=says, description=says[0].upper() + says[1:] + ".")
        if verb == asked:
            _module(verb).add_arguments(subparser)
    arguments = parser.parse_args(words)
    from eyeline.errors import EyelineError

    try:
        return int(_module(arguments.verb).run(arguments))
    except EyelineError as error:
        print(f"eyeline: {error}", file=sys.stderr)
        return error.exit_code


def _module(verb: str) -> ModuleType:
    return import_module(f"eyeline.cli.{verb.replace('-', '_')}")


def _speak_any_file_name() -> None:
    # File names are bytes; one that is no UTF-8 must not end the program when it is printed.
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="backslashreplace")


class _ShowVersion(argparse.Action):
    """Look the version up only when it is asked for: reading package metadata takes time."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object, **__: object) -> None:
        from importlib.metadata import version

        print(f"eyeline {version('eyeline')}")
        parser.exit(0)
