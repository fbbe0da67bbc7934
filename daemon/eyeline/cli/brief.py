"""`eyeline brief`: what of the brief is there, what is missing, what the nearest frame lacks."""

from __future__ import annotations

import argparse

from eyeline.cli.report import print_report
from eyeline.errors import printable
from eyeline.ledger.ledger import Ledger
from eyeline.run.brief import FolderBrief, brief_of
from eyeline.settings.brief_lines import brief_file
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import RulesInForce
from eyeline.sitting.brief import in_words

NAMES_SHOWN = 4
"""Frames that are named for a line that is filled: enough to show, and the rest is in the viewer."""


def run(arguments: argparse.Namespace) -> int:
    """Print the report."""

    def report(ledger: Ledger, configuration: Configuration, rules: RulesInForce) -> FolderBrief:
        own = None
        if arguments.brief is not None:
            own = arguments.brief, brief_file(arguments.brief, rules.rules.genres)
        return brief_of(arguments.folder.resolve(), ledger, configuration, rules, own)

    return print_report(arguments, report, told, _record)


def told(report: FolderBrief) -> list[str]:
    """The report in words: one line for each of the brief, and what is still to do."""
    source = "the default" if report.source is None else printable(report.source)
    words = [f"{report.photos} photos against the brief ({source}):"]
    for line in report.lines:
        names = ", ".join(map(printable, line.there[:NAMES_SHOWN]))
        more = f" and {len(line.there) - NAMES_SHOWN} more" if len(line.there) > NAMES_SHOWN else ""
        words.append(f"  {printable(in_words(line))}" + (f"  ({names}{more})" if names else ""))
    missing = sum(line.missing for line in report.lines)
    words.append("All is there." if not missing else f"Still to take: {missing}.")
    return words


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
