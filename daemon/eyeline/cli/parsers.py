"""The parser of the command. Nothing but argparse is imported for it, so that --help answers at once."""

from __future__ import annotations

import argparse
from collections.abc import Mapping

from eyeline.cli.parsing import client, machine, shoot
from eyeline.cli.parsing.verb import ArgumentParser, Verb

VERBS: Mapping[str, Verb] = {**shoot.VERBS, **client.VERBS, **machine.VERBS}
"""Every verb, in the order in which --help lists them."""


def command_line(asked: str | None = None) -> ArgumentParser:
    """The parser of the command, with the words of the verb `asked` for, or of all where None is."""
    parser = ArgumentParser(
        prog="eyeline",
        description="Measures portraits as they arrive, judges them by the rules of their genre, and "
        "writes stars, keywords and crops into XMP sidecars. No photo is ever altered.",
        epilog="eyeline VERB --help says more. First run: eyeline run FOLDER --dry-run",
    )
    parser.add_argument("--version", action=_ShowVersion, nargs=0, help="show the version")
    verbs = parser.add_subparsers(dest="verb", metavar="VERB")
    for name, verb in VERBS.items():
        words = verbs.add_parser(
            name, help=verb.says, description=verb.description, epilog=f"Example: {verb.example}"
        )
        if asked in (name, None):
            verb.declare(words)
    return parser


class _ShowVersion(argparse.Action):
    """Look the version up only when it is asked for: reading package metadata takes time."""

    def __call__(self, parser: ArgumentParser, *_: object, **__: object) -> None:
        from importlib.metadata import version

        print(f"eyeline {version('eyeline')}")
        parser.exit(0)
