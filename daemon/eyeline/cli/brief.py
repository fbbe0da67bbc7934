"""`eyeline brief`: what of the brief is there, what is missing, what the nearest frame lacks."""

from __future__ import annotations

import argparse
from pathlib import Path
from shlex import quote

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import folded
from eyeline.cli.report import print_report
from eyeline.cli.words import configuration_of
from eyeline.errors import BadConfiguration, printable
from eyeline.ledger.ledger import Ledger
from eyeline.run.brief import FolderBrief, brief_of
from eyeline.settings.brief_lines import brief_file
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import any_brief
from eyeline.settings.new_brief import write_new_brief
from eyeline.settings.rules import RulesInForce, rules_in_force

NAMES_SHOWN = 4
"""Frames that are named for a line that is filled: enough to show, and the rest is in the viewer."""


def run(arguments: argparse.Namespace) -> int:
    """Print the report, check a brief, or write a new one."""
    match arguments.words:
        case ["check", file]:
            return _check(Path(file), arguments)
        case [folder] if arguments.new:
            return _write_new(Path(folder), arguments)
        case [folder]:
            return _report(Path(folder), arguments)
    raise BadConfiguration("name one folder", cure="One after the other: eyeline brief FOLDER")


def _check(file: Path, arguments: argparse.Namespace) -> int:
    rules, _ = rules_in_force(configuration_of(arguments))
    lines = any_brief(file, rules.rules.genres)
    print(f"{printable(file)}: no mistakes.")
    for line in lines:
        sizes = ", ".join(f"{width} × {height} px" for width, height in line.sizes)
        called = f" ({line.called})" if line.called else ""
        print(folded(f"  {line.wanted:3} × {line.genre}{called}{f', in {sizes}' if sizes else ''}", 8))
    return DONE


def _write_new(folder: Path, arguments: argparse.Namespace) -> int:
    rules, _ = rules_in_force(configuration_of(arguments))
    path = write_new_brief(folder, rules.rules.genres)
    print(f"Written: {printable(path)}")
    print(f"Change it as the job wants, then: eyeline brief check {quote(printable(path))}")
    return DONE


def _report(folder: Path, arguments: argparse.Namespace) -> int:
    def report(ledger: Ledger, configuration: Configuration, rules: RulesInForce) -> FolderBrief:
        own = None
        if arguments.brief is not None:
            own = arguments.brief, brief_file(arguments.brief, rules.rules.genres)
        return brief_of(folder.resolve(), ledger, configuration, rules, own)

    return print_report(arguments, report, in_words, _record)


def in_words(report: FolderBrief) -> list[str]:
    """The report in words: what is still to be taken, then each line of the brief, 80 columns wide."""
    missing = sum(line.missing for line in report.lines)
    photos = "1 photo" if report.photos == 1 else f"{report.photos} photos"
    state = f"{missing} still to take." if missing else "all that the brief wants is there."
    words = [f"{photos}: {state}"]
    for line in report.lines:
        words.append(folded(f"  {len(line.there)} of {line.line.wanted}  {printable(line.line.name)}", 10))
        if line.there:
            names = ", ".join(map(printable, line.there[:NAMES_SHOWN]))
            more = f" and {len(line.there) - NAMES_SHOWN} more" if len(line.there) > NAMES_SHOWN else ""
            words.append(folded(f"          {names}{more}", 10))
        if line.missing and line.nearest is not None:
            lacks = "; ".join(line.lacks)
            words.append(folded(f"          nearest {printable(line.nearest)}: {printable(lacks)}", 10))
        elif line.missing:
            words.append("          nothing comes near")
    if report.source is None:
        return [*words, "This is the usual brief. To write one: eyeline brief --new FOLDER"]
    return [*words, f"The brief: {printable(report.source)}"]


def _record(report: FolderBrief) -> dict[str, object]:
    return {
        "photos": report.photos,
        "brief": None if report.source is None else str(report.source),
        "lines": [
            {
                "called": line.line.name,
                "genre": line.line.genre,
                "wanted": line.line.wanted,
                "sizes": [list(size) for size in line.line.sizes],
                "there": list(line.there),
                "missing": line.missing,
                "nearest": line.nearest,
                "lacks": list(line.lacks),
            }
            for line in report.lines
        ],
    }
