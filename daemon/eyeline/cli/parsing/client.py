"""The words of the verbs about the job: its brief, its sitters, what the client sees, chooses and gets."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from eyeline.cli.parsing.verb import ArgumentParser, Verb, configuration, folders


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
    configuration(parser)


def _sheet(parser: ArgumentParser) -> None:
    folders(parser, "measured")
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
    configuration(parser)


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
    configuration(parser)


def _team(parser: ArgumentParser) -> None:
    folders(parser, "judged")
    parser.add_argument(
        "--each-photo",
        action="store_true",
        help="every photo is another sitter's (else: a folder, a long pause or a slate parts them)",
    )
    parser.add_argument(
        "--sheet", type=Path, metavar="FILE", help="write an .html with their crops side by side"
    )
    parser.add_argument("--json", action="store_true", help="crops and misfits as JSON")
    configuration(parser)


def _proof(parser: ArgumentParser) -> None:
    folders(parser, "judged")
    parser.add_argument("--sent", action="store_true", help="keep that these frames go out to a client now")
    parser.add_argument(
        "--stars", type=int, choices=range(1, 6), default=0, metavar="N", help="those with N stars or more"
    )
    parser.add_argument("--csv", action="store_true", help="a table with a column for the client's choice")
    parser.add_argument("--json", action="store_true", help="the list as JSON")
    configuration(parser)


def _select(parser: ArgumentParser) -> None:
    folders(parser, "judged")
    parser.add_argument(
        "--from",
        dest="source",
        metavar="FILE",
        help="the client's answer, a mail, a note or a table; - reads it from the terminal",
    )
    parser.add_argument("--known", action="store_true", help="go on without frames that do not exist")
    parser.add_argument("--undo", action="store_true", help="take the last answer back")
    parser.add_argument("--dry-run", action="store_true", help="say what was understood, write nothing")
    configuration(parser)


def _deliver(parser: ArgumentParser) -> None:
    folders(parser, "judged")
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
    configuration(parser)


VERBS: Mapping[str, Verb] = {
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
}
