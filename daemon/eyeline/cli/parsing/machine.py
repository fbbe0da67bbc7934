"""The words of the verbs about what eyeline keeps and where it runs."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path

from eyeline.cli.parsing.verb import ArgumentParser, Verb, configuration, genres, paths


def _undo(parser: ArgumentParser) -> None:
    paths(parser, "a photo, or a folder with all below it")
    parser.add_argument(
        "--yes", action="store_true", help="do it; without it, only what would be done is said"
    )
    parser.add_argument(
        "--by-history",
        action="store_true",
        help="where the ledger knows nothing, believe what the history inside the sidecar says",
    )
    configuration(parser)


def _take_back(parser: ArgumentParser) -> None:
    paths(parser, "a photo, or a folder with all below it")
    genres(parser)
    configuration(parser)


def _forget(parser: ArgumentParser) -> None:
    paths(parser, "a photo, or a folder with all below it")
    parser.add_argument("--yes", action="store_true", help="do it; without it, only what is kept is counted")
    configuration(parser)


def _ledger(parser: ArgumentParser) -> None:
    configuration(parser)
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    what.add_parser("check", help="is the file sound? says so, or what is wrong")
    backup = what.add_parser("backup", help="copy it as it is now")
    backup.add_argument("file", type=Path, nargs="?", metavar="FILE", help="a new file (else: a dated one)")
    what.add_parser("export", help="all of it as JSON on stdout, a row a line")


def _setup(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--folder",
        action="append",
        type=Path,
        default=[],
        metavar="FOLDER",
        help="watch this folder; repeat it for several",
    )
    genres(parser)
    parser.add_argument(
        "--write",
        choices=("sidecar", "embedded"),
        help="into .xmp files beside the photos, or for JPEGs into the JPEG itself",
    )
    parser.add_argument(
        "--service",
        action=argparse.BooleanOptionalAction,
        default=None,
        help="start with your session and watch by itself",
    )
    parser.add_argument("--config", type=Path, metavar="FILE", help="write this file (else: the usual one)")


def _service(parser: ArgumentParser) -> None:
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    install = what.add_parser("install", help="install and start it (launchd on macOS: unverified)")
    install.add_argument(
        "paths", nargs="*", type=Path, metavar="PATH", help="folders (else: those of the configuration)"
    )
    install.add_argument("--print", action="store_true", help="print the service's file, do nothing")
    configuration(install)
    for name, says in (("remove", "stop and remove it"), ("status", "is it installed, does it run?")):
        configuration(what.add_parser(name, help=says))


def _workers(parser: ArgumentParser) -> None:
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    start = what.add_parser("start", help="measure on this machine, for the daemon of another")
    start.add_argument(
        "scheduler",
        nargs="?",
        metavar="ADDRESS",
        help="tls://studio:8786, say (else: as configured)",
    )
    start.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="THERE=HERE",
        help="a folder as the daemon names it, and as this machine does; repeat it for several",
    )
    start.add_argument("--count", type=int, metavar="N", help="photos at the same time (else: as usual)")
    listen = what.add_parser("scheduler", help="run the scheduler that daemon and stations meet at")
    listen.add_argument(
        "scheduler", nargs="?", metavar="ADDRESS", help="where it listens (else: the configuration's)"
    )
    status = what.add_parser("status", help="which stations are there, and who does what")
    status.add_argument("scheduler", nargs="?", metavar="ADDRESS", help="(else: the configuration's)")
    make = what.add_parser("certificates", help="make certificates for machines, a folder for each")
    make.add_argument("machines", nargs="+", metavar="NAME", help="a machine, such as studio")
    make.add_argument("--folder", type=Path, metavar="FOLDER", help="where (else: beside the configuration)")
    for verb in (start, listen, status):
        verb.add_argument(
            "--certificates", type=Path, metavar="FOLDER", help="this machine's (else: the configuration's)"
        )
    for verb in (start, listen):  # what eyeline starts itself ends with it, however that ends
        verb.add_argument("--until-input-ends", action="store_true", help=argparse.SUPPRESS)
    for verb in (start, listen, status, make):
        configuration(verb)


def _demo(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--folder",
        type=Path,
        metavar="FOLDER",
        help="a new folder for it (else: a temporary one, which stays)",
    )


VERBS: Mapping[str, Verb] = {
    "undo": Verb(
        "take back all that eyeline wrote into sidecars, and nothing else",
        "eyeline undo ~/shoots/monday --yes",
        _undo,
    ),
    "take-back": Verb(
        "let eyeline write anew where all that it wrote has gone",
        "eyeline take-back ~/shoots/monday/NL1_0213.jpg",
        _take_back,
    ),
    "forget": Verb(
        "erase all that eyeline keeps about a folder", "eyeline forget ~/shoots/monday --yes", _forget
    ),
    "ledger": Verb("check, back up or export the ledger", "eyeline ledger check", _ledger),
    "setup": Verb(
        "four questions, then a commented configuration of yours",
        "eyeline setup --folder ~/shoots --write sidecar",
        _setup,
    ),
    "service": Verb("run the daemon as a service of yours", "eyeline service install ~/shoots", _service),
    "workers": Verb(
        "measure on several machines: stations, their scheduler, their certificates",
        "eyeline workers start tls://studio:8786 --map /volumes/shoot=/mnt/nas/shoot",
        _workers,
    ),
    "status": Verb("what the ledger holds", "eyeline status", configuration),
    "doctor": Verb("is everything here that eyeline needs?", "eyeline doctor", configuration),
    "demo": Verb("let the bundled shoot arrive, and see what comes out", "eyeline demo", _demo),
}
