"""The words of the verbs that measure and judge a shoot, and say why."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path

from eyeline.cli.parsing.verb import (
    ArgumentParser,
    Verb,
    configuration,
    genres,
    json_lines,
    nothing_written,
    paths,
)


def _run(parser: ArgumentParser) -> None:
    paths(parser, "a photo, or a folder with all below it")
    genres(parser)
    json_lines(parser)
    nothing_written(parser)
    configuration(parser)


def _watch(parser: ArgumentParser) -> None:
    parser.add_argument(
        "paths", nargs="*", type=Path, metavar="PATH", help="folders (else: those of the configuration)"
    )
    genres(parser)
    nothing_written(parser)
    configuration(parser)


def _judge(parser: ArgumentParser) -> None:
    paths(parser, "a measured photo, or a folder with all below it")
    genres(parser)
    parser.add_argument("--dry-run", action="store_true", help="show what would change, write nothing")
    configuration(parser)


def _measure(parser: ArgumentParser) -> None:
    paths(parser, "a photo")
    json_lines(parser)


def _review(parser: ArgumentParser) -> None:
    parser.add_argument(
        "folders", nargs="*", type=Path, metavar="FOLDER", help="folders (else: those of the configuration)"
    )
    parser.add_argument(
        "--port", type=int, default=0, metavar="N", help="port on this machine (else: one that is free)"
    )
    genres(parser)
    configuration(parser)


def _why(parser: ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE", help="a photo that eyeline has judged")
    parser.add_argument("--numbers", action="store_true", help="with every number")
    parser.add_argument("--json", action="store_true", help="the decision as JSON")
    configuration(parser)


def _genre_files(parser: ArgumentParser) -> None:
    configuration(parser)
    what = parser.add_subparsers(dest="what", metavar="WHAT")
    show = what.add_parser("show", help="what a genre wants, what caps its stars, what is written")
    show.add_argument("name", metavar="NAME")
    show.add_argument("--origin", action="store_true", help="every effective line, with its file and line")
    check = what.add_parser("check", help="every mistake of a rule file, with its line")
    check.add_argument("file", type=Path, metavar="FILE")
    for verb in (show, check):  # before or after the verb, as one likes
        verb.add_argument("--config", type=Path, default=argparse.SUPPRESS, help=argparse.SUPPRESS)


def _learn(parser: ArgumentParser) -> None:
    paths(parser, "a folder of measured photos that you have rated")
    parser.add_argument("--apply", action="store_true", help="write the changes into your own genre files")
    parser.add_argument(
        "--agreed",
        action="store_true",
        help="you have gone through all of it: stars of eyeline's that stand count as your own",
    )
    parser.add_argument("--json", action="store_true", help="the comparison as JSON, with its statistics")
    genres(parser)
    configuration(parser)


VERBS: Mapping[str, Verb] = {
    "run": Verb("one pass over files or folders, then exit", "eyeline run ~/shoots/monday --dry-run", _run),
    "watch": Verb(
        "the daemon: measure, judge and annotate photos as they arrive", "eyeline watch ~/shoots", _watch
    ),
    "judge": Verb(
        "judge anew what is measured, by the rules in force",
        "eyeline judge ~/shoots/monday --dry-run",
        _judge,
    ),
    "measure": Verb(
        "measures only, nothing is judged or written", "eyeline measure NL1_0213.jpg --json", _measure
    ),
    "review": Verb(
        "look at a shoot in the browser while it arrives, correct it, tune a genre",
        "eyeline review ~/shoots/monday",
        _review,
    ),
    "why": Verb(
        "the reasons for a photo's stars, in words", "eyeline why ~/shoots/monday/NL1_0213.jpg", _why
    ),
    "genres": Verb(
        "list the genres, check a rule file, show one in full",
        'eyeline genres show "corporate headshot"',
        _genre_files,
    ),
    "learn": Verb(
        "compare your ratings with eyeline's and propose changes of a genre",
        "eyeline learn ~/shoots/monday ~/shoots/tuesday",
        _learn,
    ),
}
