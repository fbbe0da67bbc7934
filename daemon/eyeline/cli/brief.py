"""`eyeline brief`: what of the brief is there, what is missing, what the nearest frame lacks."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from shlex import quote

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import folded, say
from eyeline.cli.report import print_report
from eyeline.cli.words import configuration_of, counted
from eyeline.errors import BadConfiguration, printable
from eyeline.ledger.ledger import Ledger
from eyeline.run.brief import FolderBrief, SitterBrief, brief_of
from eyeline.settings.brief_lines import brief_file
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import any_brief
from eyeline.settings.new_brief import write_new_brief
from eyeline.settings.rules import RulesInForce, rules_in_force
from eyeline.sitting.brief import LineReport
from eyeline.sitting.seats import Seats

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
    lines, seats = any_brief(file, rules.rules.genres)
    say(f"{printable(file)}: no mistakes.")
    for line in lines:
        sizes = ", ".join(f"{width} × {height} px" for width, height in line.sizes)
        called = f" ({line.called})" if line.called else ""
        each = " for each sitter" if line.per == "sitter" else ""
        print(folded(f"  {line.wanted:3} × {line.genre}{called}{each}{f', in {sizes}' if sizes else ''}", 8))
    if seats is not None:
        print(folded(f"  {_seats_words(seats)}", 4))
    return DONE


def _seats_words(seats: Seats) -> str:
    parted = {
        "slates": "a frame without a face begins the next",
        "pauses": "a frame without a face or a pause of five minutes begins the next",
        "folders": "each folder is one",
        "said": "whom you name by eyeline sitter",
    }[seats.parted_by]
    listed = f"{len(seats.chairs)} in the list" if seats.chairs else "numbered as they come"
    return f"Sitters: {listed}; {parted}."


def _write_new(folder: Path, arguments: argparse.Namespace) -> int:
    rules, _ = rules_in_force(configuration_of(arguments))
    path = write_new_brief(folder, rules.rules.genres)
    say(f"Written: {printable(path)}")
    say(f"Change it as the job wants, then: eyeline brief check {quote(printable(path))}")
    return DONE


def _report(folder: Path, arguments: argparse.Namespace) -> int:
    def report(ledger: Ledger, configuration: Configuration, rules: RulesInForce) -> FolderBrief:
        own = None
        if arguments.brief is not None:
            own = arguments.brief, brief_file(arguments.brief, rules.rules.genres)
        return brief_of(folder.resolve(), ledger, configuration, rules, own)

    return print_report(arguments, report, in_words, _record)


def in_words(report: FolderBrief) -> list[str]:
    """The report in words, 80 columns wide: what is still to be taken, each sitter who lacks something, then
    each line that counts for the whole job."""
    missing = sum(line.missing for line in report.lines)
    missing += sum(line.missing for sitter in report.sitters for line in sitter.lines)
    state = f"{missing} still to take." if missing else "all that the brief wants is there."
    sitters = f" of {counted(len(report.sitters), 'sitter')}" if report.sitters else ""
    words = [f"{counted(report.photos, 'photo')}{sitters}: {state}"]
    complete = []
    for sitter in report.sitters:
        if any(line.missing or line.doubts for line in sitter.lines):
            words += sitter_words(sitter)
        else:
            complete.append(sitter.sitter)
    if complete:
        words.append(folded(f"  {counted(len(complete), 'sitter')} with all: {_runs(complete)}", 4))
    if report.nobodys:
        which = _some(report.nobodys)
        say = "Say whose: eyeline sitter NUMBER FILE..."
        words.append(folded(f"  {counted(len(report.nobodys), 'frame')} of no sitter: {which}. {say}", 4))
    if report.sitters and report.lines:
        words.append("For the whole job:")
    for line in report.lines:
        words += _line_words(line)
    if report.source is None:
        return [*words, "This is the usual brief. To write one: eyeline brief --new FOLDER"]
    return [*words, f"The brief: {printable(report.source)}"]


def sitter_words(sitter: SitterBrief) -> list[str]:
    """One sitter in words: how many frames there are, then each line that wants some or is in doubt."""
    if not sitter.frames:
        wanted = sum(line.missing for line in sitter.lines)
        return [folded(f"  {printable(sitter.called)}: no frame yet, {wanted} to take", 4)]
    aside = f", {sitter.set_aside} set aside" if sitter.set_aside else ""
    words = [folded(f"  {printable(sitter.called)}: {counted(sitter.frames, 'frame')}{aside}", 4)]
    for line in sitter.lines:
        if line.missing or line.doubts:
            words += _line_words(line, "  ")
    return words


def _line_words(line: LineReport, inset: str = "") -> list[str]:
    """A line of the brief: how many of how many, which, and what the nearest lacks."""
    indent = len(inset) + 10
    words = [folded(f"{inset}  {len(line.there)} of {line.line.wanted}  {printable(line.line.name)}", indent)]
    blank = " " * indent
    if line.there:
        words.append(folded(f"{blank}{_some([_with_doubt(name, line) for name in line.there])}", indent))
    if line.missing and line.nearest is not None:
        lacks = "; ".join(line.lacks)
        words.append(folded(f"{blank}nearest {printable(line.nearest)}: {printable(lacks)}", indent))
    elif line.missing:
        words.append(f"{blank}nothing comes near")
    return words


def _with_doubt(name: str, line: LineReport) -> str:
    doubts = line.doubts.get(name)
    return f"{name} ({', '.join(doubts)})" if doubts else name


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - NAMES_SHOWN} more" if len(names) > NAMES_SHOWN else ""
    return ", ".join(map(printable, names[:NAMES_SHOWN])) + more


def _runs(labels: Sequence[str]) -> str:
    """Labels in few words: "1 to 16, 18"."""
    runs: list[list[str]] = []
    for label in labels:
        last = runs[-1][-1] if runs else ""
        if label.isdecimal() and last.isdecimal() and int(label) == int(last) + 1:
            runs[-1].append(label)
        else:
            runs.append([label])
    return ", ".join(
        f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(printable, run)) for run in runs
    )


def _record(report: FolderBrief) -> dict[str, object]:
    return {
        "photos": report.photos,
        "brief": None if report.source is None else str(report.source),
        "lines": [line_record(line) for line in report.lines],
        "sitters": [
            {
                "sitter": sitter.sitter,
                "called": sitter.called,
                "since": sitter.since,
                "frames": sitter.frames,
                "set_aside": sitter.set_aside,
                "lines": [line_record(line) for line in sitter.lines],
            }
            for sitter in report.sitters
        ],
        "of_no_sitter": list(report.nobodys),
    }


def line_record(line: LineReport) -> dict[str, object]:
    """A line of the brief as JSON holds it."""
    return {
        "called": line.line.name,
        "genre": line.line.genre,
        "wanted": line.line.wanted,
        "sizes": [list(size) for size in line.line.sizes],
        "there": list(line.there),
        "missing": line.missing,
        "nearest": line.nearest,
        "lacks": list(line.lacks),
        "doubts": {name: list(words) for name, words in line.doubts.items()},
    }
