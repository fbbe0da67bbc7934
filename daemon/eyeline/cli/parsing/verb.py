"""What a verb is, and the words that several of them take."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

ArgumentParser = argparse.ArgumentParser


@dataclass(frozen=True, slots=True)
class Verb:
    """What a verb does, in a line; an example of it, ready to be typed; and how its words are declared.

    Its module has the verb's name and `run(arguments) -> int`; it is imported only when it is to run.
    """

    says: str
    example: str
    declare: Callable[[ArgumentParser], None]

    @property
    def description(self) -> str:
        """`says`, as a sentence."""
        return self.says[0].upper() + self.says[1:] + ("" if self.says.endswith("?") else ".")


def paths(parser: ArgumentParser, what: str) -> None:
    """Take photos and folders, one at least; `what` says which."""
    parser.add_argument("paths", nargs="+", type=Path, metavar="PATH", help=what)


def genres(parser: ArgumentParser) -> None:
    """Take `--genre`, as often as wanted."""
    parser.add_argument(
        "--genre",
        action="append",
        default=[],
        metavar="NAME",
        help="judge on this genre; repeat it for several (else: eyeline.toml, configuration, usual brief)",
    )


def configuration(parser: ArgumentParser) -> None:
    """Take `--config`."""
    parser.add_argument("--config", type=Path, metavar="FILE", help="use this configuration file")


def nothing_written(parser: ArgumentParser) -> None:
    """Take `--dry-run`."""
    parser.add_argument("--dry-run", action="store_true", help="write nothing outside the ledger")


def json_lines(parser: ArgumentParser) -> None:
    """Take `--json`, one object a photo."""
    parser.add_argument("--json", action="store_true", help="one JSON object a photo, a line each, on stdout")


def folders(parser: ArgumentParser, done: str) -> None:
    """Take folders, one at least, that eyeline has `done` something with before."""
    parser.add_argument(
        "folders", nargs="+", type=Path, metavar="FOLDER", help=f"a folder that eyeline has {done}"
    )
