"""The words that each verb takes. Nothing but argparse is imported here, so that --help answers at once."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
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


def _paths(parser: ArgumentParser, what: str) -> None:
    parser.add_argument("paths", nargs="+", type=Path, metavar="PATH", help=what)


def _genres(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--genre",
        action="append",
        default=[],
        metavar="NAME",
        help="judge on this genre; repeat it for several (else: eyeline.toml, configuration, usual brief)",
    )


def _configuration(parser: ArgumentParser) -> None:
    parser.add_argument("--config", type=Path, metavar="FILE", help="use this configuration file")


def _nothing_written(parser: ArgumentParser) -> None:
    parser.add_argument("--dry-run", action="store_true", help="write nothing outside the ledger")


def _json_lines(parser: ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="one JSON object a photo, a line each, on stdout")


def _run(parser: ArgumentParser) -> None:
    _paths(parser, "a photo, or a folder with all below it")
    _genres(parser)
    _json_lines(parser)
    _nothing_written(parser)
    _configuration(parser)


def _watch(parser: ArgumentParser) -> None:
    parser.add_argument(
        "paths", nargs="*", type=Path, metavar="PATH", help="folders (else: those of the configuration)"
    )
    _genres(parser)
    _nothing_written(parser)
    _configuration(parser)


def _review(parser: ArgumentParser) -> None:
    parser.add_argument(
        "folders", nargs="*", type=Path, metavar="FOLDER", help="folders (else: those of the configuration)"
    )
    parser.add_argument(
        "--port", type=int, default=0, metavar="N", help="port on this machine (else: one that is free)"
    )
    _genres(parser)
    _configuration(parser)


def _judge(parser: ArgumentParser) -> None:
    _paths(parser, "a measured photo, or a folder with all below it")
    _genres(parser)
    parser.add_argument("--dry-run", action="store_true", help="show what would change, write nothing")
    _configuration(parser)


def _measure(parser: ArgumentParser) -> None:
    _paths(parser, "a photo")
    _json_lines(parser)


def _why(parser: ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE", help="a photo that eyeline has judged")
    parser.add_argument("--numbers", action="store_true", help="with every number")
    parser.add_argument("--json", action="store_true", help="the decision as JSON")
    _configuration(parser)


def _brief(parser: ArgumentParser) -> None:
    parser.usage = (
        "eyeline brief [--brief FILE] [--json] [--config FILE] FOLDER\n"
        "       eyeline brief --new FOLDER\n"
        "       eyeline brief check FILE"
    )
    parser.add_argument(
        "words",
        nargs="+",
        metavar="FOLDER",
        help="a folder that eyeline has judged; or check FILE: every mistake of a brief, with its line",
    )
    parser.add_argument(
        "--new", action="store_true", help="write a commented eyeline.toml into FOLDER, if it has none"
    )
    parser.add_argument(
        "--brief",
        type=Path,
        metavar="FILE",
        help="a TOML file of [[brief]] tables with genre, wanted, sizes, called (else: eyeline.toml)",
    )
    parser.add_argument("--json", action="store_true", help="the report as JSON")
    _configuration(parser)


def _sitter(parser: ArgumentParser) -> None:
    parser.usage = (
        "eyeline sitter [--folder FOLDER] [--config FILE] [next | NUMBER | NAME]\n"
        "       eyeline sitter [--config FILE] NUMBER FILE..."
    )
    parser.add_argument(
        "sitter",
        nargs="?",
        metavar="NUMBER",
        help="who sits from now on: next, a number or a name (else: say who sits); with FILE, whose they are",
    )
    parser.add_argument(
        "files",
        nargs="*",
        type=Path,
        metavar="FILE",
        help="measured photos or folders that show this sitter",
    )
    parser.add_argument(
        "--folder",
        type=Path,
        metavar="FOLDER",
        help="of which job (else: where the latest photo came in)",
    )
    _configuration(parser)


def _team(parser: ArgumentParser) -> None:
    parser.add_argument(
        "folders", nargs="+", type=Path, metavar="FOLDER", help="a folder that eyeline has judged"
    )
    parser.add_argument(
        "--each-photo",
        action="store_true",
        help="every photo is another sitter's (else: a folder, a long pause or a slate parts them)",
    )
    parser.add_argument(
        "--sheet", type=Path, metavar="FILE", help="write an .html with their crops side by side"
    )
    parser.add_argument("--json", action="store_true", help="crops and misfits as JSON")
    _configuration(parser)


def _proof(parser: ArgumentParser) -> None:
    parser.add_argument(
        "folders", nargs="+", type=Path, metavar="FOLDER", help="a folder that eyeline has judged"
    )
    parser.add_argument("--sent", action="store_true", help="keep that these frames go out to a client now")
    parser.add_argument(
        "--stars", type=int, choices=range(1, 6), default=0, metavar="N", help="those with N stars or more"
    )
    parser.add_argument("--csv", action="store_true", help="a table with a column for the client's choice")
    parser.add_argument("--json", action="store_true", help="the list as JSON")
    _configuration(parser)


def _select(parser: ArgumentParser) -> None:
    parser.add_argument(
        "folders", nargs="+", type=Path, metavar="FOLDER", help="a folder that eyeline has judged"
    )
    parser.add_argument(
        "--from",
        dest="source",
        metavar="FILE",
        help="the client's answer, a mail, a note or a table; - reads it from the terminal",
    )
    parser.add_argument("--known", action="store_true", help="go on without frames that do not exist")
    parser.add_argument("--undo", action="store_true", help="take the last answer back")
    parser.add_argument("--dry-run", action="store_true", help="say what was understood, write nothing")
    _configuration(parser)


def _deliver(parser: ArgumentParser) -> None:
    parser.add_argument(
        "folders", nargs="+", type=Path, metavar="FOLDER", help="a folder that eyeline has judged"
    )
    parser.add_argument("--to", type=Path, required=True, metavar="OUT", help="the folder for the files")
    parser.add_argument(
        "--best", action="store_true", help="the best frames of each line (else: those marked 'selected')"
    )
    parser.add_argument(
        "--settings",
        type=Path,
        metavar="FILE",
        help="a delivery.toml (else: that beside the configuration)",
    )
    parser.add_argument(
        "--finals",
        action="append",
        default=[],
        type=Path,
        metavar="FOLDER",
        help="retouched files lie there (those beside their frames, as NL1_0213-final.tif, are found anyway)",
    )
    parser.add_argument(
        "--from-preview", action="store_true", help="where there is only a RAW, take the preview inside it"
    )
    parser.add_argument("--report", type=Path, metavar="FILE", help="also a report with pictures, as HTML")
    parser.add_argument("--zip", action="store_true", help="also one ZIP of all files, with checksums")
    parser.add_argument("--json", action="store_true", help="the report as JSON")
    parser.add_argument("--dry-run", action="store_true", help="say what would be made, make nothing")
    _configuration(parser)


def _sheet(parser: ArgumentParser) -> None:
    parser.add_argument(
        "folders", nargs="+", type=Path, metavar="FOLDER", help="a folder that eyeline has measured"
    )
    parser.add_argument(
        "--out", type=Path, metavar="FILE", help="an .html or .pdf to write (else: named after the folder)"
    )
    parser.add_argument("--pdf", action="store_true", help="as PDF for print")
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="of the PDF (else: a4)")
    parser.add_argument("--stars", metavar="STARS", help="only frames with so many: 3, 3.., ..2 or 2..4")
    parser.add_argument(
        "--keyword", action="append", default=[], metavar="WORD", help="only frames with it; may be repeated"
    )
    parser.add_argument(
        "--sort", choices=("taken", "name", "stars"), default="taken", help="frames of a sitter (else: taken)"
    )
    parser.add_argument(
        "--geometry", action="store_true", help="draw thirds, eyes, look, headroom and calm areas"
    )
    parser.add_argument("--title", metavar="TEXT", help="what stands above (else: the folder, or Proof)")
    parser.add_argument(
        "--client", action="store_true", help="the proof: numbers and pictures, nothing of our judgement"
    )
    parser.add_argument("--watermark", metavar="TEXT", help="across each picture of a proof (else: proof)")
    parser.add_argument(
        "--size", choices=("small", "medium", "large"), default="small", help="of the pictures (else: small)"
    )
    _configuration(parser)


def _genre_files(parser: ArgumentParser) -> None:
    _configuration(parser)
    what = parser.add_subparsers(dest="what", metavar="WHAT")
    show = what.add_parser("show", help="what a genre wants, what caps its stars, what is written")
    show.add_argument("name", metavar="NAME")
    show.add_argument("--origin", action="store_true", help="every effective line, with its file and line")
    check = what.add_parser("check", help="every mistake of a rule file, with its line")
    check.add_argument("file", type=Path, metavar="FILE")
    for verb in (show, check):  # before or after the verb, as one likes
        verb.add_argument("--config", type=Path, default=argparse.SUPPRESS, help=argparse.SUPPRESS)


def _undo(parser: ArgumentParser) -> None:
    _paths(parser, "a photo, or a folder with all below it")
    parser.add_argument(
        "--yes", action="store_true", help="do it; without it, only what would be done is said"
    )
    parser.add_argument(
        "--by-history",
        action="store_true",
        help="where the ledger knows nothing, believe what the history inside the sidecar says",
    )
    _configuration(parser)


def _take_back(parser: ArgumentParser) -> None:
    _paths(parser, "a photo, or a folder with all below it")
    _genres(parser)
    _configuration(parser)


def _forget(parser: ArgumentParser) -> None:
    _paths(parser, "a photo, or a folder with all below it")
    parser.add_argument("--yes", action="store_true", help="do it; without it, only what is kept is counted")
    _configuration(parser)


def _ledger(parser: ArgumentParser) -> None:
    _configuration(parser)
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    what.add_parser("check", help="is the file sound? says so, or what is wrong")
    backup = what.add_parser("backup", help="copy it as it is now")
    backup.add_argument("file", type=Path, nargs="?", metavar="FILE", help="a new file (else: a dated one)")
    what.add_parser("export", help="all of it as JSON on stdout, a row a line")


def _learn(parser: ArgumentParser) -> None:
    _paths(parser, "a folder of measured photos that you have rated")
    parser.add_argument("--apply", action="store_true", help="write the changes into your own genre files")
    parser.add_argument(
        "--agreed",
        action="store_true",
        help="you have gone through all of it: stars of eyeline's that stand count as your own",
    )
    parser.add_argument("--json", action="store_true", help="the comparison as JSON, with its statistics")
    _genres(parser)
    _configuration(parser)


def _service(parser: ArgumentParser) -> None:
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    install = what.add_parser("install", help="install and start it (launchd on macOS: unverified)")
    install.add_argument(
        "paths", nargs="*", type=Path, metavar="PATH", help="folders (else: those of the configuration)"
    )
    install.add_argument("--print", action="store_true", help="print the service's file, do nothing")
    _configuration(install)
    for name, says in (("remove", "stop and remove it"), ("status", "is it installed, does it run?")):
        _configuration(what.add_parser(name, help=says))


def _setup(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--folder",
        action="append",
        type=Path,
        default=[],
        metavar="FOLDER",
        help="watch this folder; repeat it for several",
    )
    _genres(parser)
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
        _configuration(verb)


def _demo(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--folder",
        type=Path,
        metavar="FOLDER",
        help="a new folder for it (else: a temporary one, which stays)",
    )


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
    "brief": Verb(
        "what of the brief is there, what is missing, what the nearest frame lacks",
        "eyeline brief ~/shoots/monday",
        _brief,
    ),
    "sheet": Verb(
        "all frames on one page to look at, or the proof for the client; HTML or PDF",
        "eyeline sheet ~/shoots/monday --stars 3..",
        _sheet,
    ),
    "sitter": Verb(
        "say who sits from now on, or whose frames these are",
        "eyeline sitter next",
        _sitter,
    ),
    "team": Verb(
        "portraits of many sitters kept alike: matching crops, and who does not fit",
        "eyeline team ~/shoots/team-page",
        _team,
    ),
    "proof": Verb(
        "what went out to a client to choose from, and what was chosen",
        "eyeline proof ~/shoots/monday --sent --stars 3",
        _proof,
    ),
    "select": Verb(
        "mark the frames that a client's answer names",
        "eyeline select ~/shoots/monday --from answer.txt",
        _select,
    ),
    "deliver": Verb(
        "make the files that were sold, in their sizes, checked and named",
        "eyeline deliver ~/shoots/monday --to ~/clients/holm",
        _deliver,
    ),
    "genres": Verb(
        "list the genres, check a rule file, show one in full",
        'eyeline genres show "corporate headshot"',
        _genre_files,
    ),
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
    "learn": Verb(
        "compare your ratings with eyeline's and propose changes of a genre",
        "eyeline learn ~/shoots/monday ~/shoots/tuesday",
        _learn,
    ),
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
    "status": Verb("what the ledger holds", "eyeline status", _configuration),
    "doctor": Verb("is everything here that eyeline needs?", "eyeline doctor", _configuration),
    "demo": Verb("let the bundled shoot arrive, and see what comes out", "eyeline demo", _demo),
}
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
