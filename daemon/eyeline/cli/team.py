"""`eyeline team`: portraits of many sitters kept alike."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import UTC, datetime
from functools import partial
from shlex import quote

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
from eyeline.cli.lines import folded, say
from eyeline.cli.report import print_report
from eyeline.cli.words import configuration_of, counted, say_problem
from eyeline.errors import BadConfiguration, printable
from eyeline.judging.wording import per_cent
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Problem
from eyeline.pages.pictures import key_of, pictures
from eyeline.pages.sheet_file import HTML_ENDINGS, write_sheet
from eyeline.pages.team_html import cut, team_html
from eyeline.pages.team_words import cropped_alike, who_fits
from eyeline.previews.drawing import Kind
from eyeline.run.team import FolderTeam, team_of
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import RulesInForce


def run(arguments: argparse.Namespace) -> int:
    """Print the crops, who does not fit, and the consistency."""
    folders = [folder.resolve() for folder in arguments.folders]
    made: list[FolderTeam] = []
    if arguments.sheet is not None and arguments.sheet.suffix.lower() not in HTML_ENDINGS:
        raise BadConfiguration("the team's sheet is an .html", arguments.sheet, "Give it that ending")

    def report(ledger: Ledger, configuration: Configuration, rules: RulesInForce) -> FolderTeam:
        made.append(team_of(folders, ledger, configuration, rules, each_photo=arguments.each_photo))
        return made[0]

    ended = print_report(arguments, report, in_words, _record)
    if arguments.sheet is None and not arguments.json:
        again = " ".join(quote(printable(folder)) for folder in folders)
        say(f"To see them side by side: eyeline team {again} --sheet team.html")
    return max(ended, _write_sheet(made[0], arguments)) if arguments.sheet is not None else ended


def _write_sheet(found: FolderTeam, arguments: argparse.Namespace) -> int:
    """Write the crops side by side; 1 if a photo of which no small version is kept could not be read."""
    configuration = configuration_of(arguments)
    areas = {
        key_of(photo): member.crop.area
        for member, photo in zip(found.team.members, found.photos, strict=True)
    }
    shown = pictures(
        found.photos,
        Kind.LARGE,
        configuration.small_versions,
        configuration.workers,
        partial(cut, areas=areas),
    )
    for problem in shown.problems:
        say_problem(Problem.of(problem, datetime.now(UTC)))
    title = ", ".join(folder.resolve().name for folder in arguments.folders)
    write_sheet(arguments.sheet, team_html(found, title, shown.of))
    if not arguments.json:
        say(f"Their crops side by side: {printable(arguments.sheet)}")
    return SOME_UNREADABLE if shown.problems else DONE


def in_words(found: FolderTeam) -> list[str]:
    """The team in words, 80 columns wide: who fits, each crop, one line for each thing that does not fit."""
    team = found.team
    words = [who_fits(team), folded(cropped_alike(team), 2)]
    for member in team.members:
        crop = member.crop
        left, top = (
            round(corner / size * pixels)
            for corner, size, pixels in (
                (crop.area.left, crop.area.width, crop.width),
                (crop.area.top, crop.area.height, crop.height),
            )
        )
        place = f"{left} px from the left, {top} px from the top"
        words.append(folded(f"  {printable(member.name)}  {crop.width} × {crop.height} px, {place}", 6))
        words += [folded(f"    - {misfit}", 6) for misfit in member.misfits]
    if team.without:
        of = ", ".join(_frames_of(found.frames[sitter]) for sitter in team.without)
        words.append(folded(f"  no frame will do of {of}. Why? eyeline why PHOTO", 4))
    if team.more_at is not None:
        head_height, count = team.more_at
        words.append(
            f"At heads of {per_cent(head_height)} of the height {counted(count, 'sitter')} would match."
        )
    return words


def _frames_of(names: Sequence[str]) -> str:
    """The frames of one sitter, by the first and the last."""
    return printable(names[0]) + (f" to {printable(names[-1])}" if len(names) > 1 else "")


def _record(found: FolderTeam) -> dict[str, object]:
    team = found.team
    return {
        "place": {
            "eye_line": team.place.eye_line,
            "head_height": team.place.head_height,
            "eye_x": team.place.eye_x,
            "ratio": team.place.ratio,
        },
        "side": {-1: "left", 0: None, 1: "right"}[team.side],
        "consistency": team.consistency,
        "members": [
            {
                "file": member.name,
                "left": member.crop.area.left,
                "top": member.crop.area.top,
                "width": member.crop.area.width,
                "height": member.crop.area.height,
                "pixels": [member.crop.width, member.crop.height],
                "eye_line": member.crop.place.eye_line,
                "head_height": member.crop.place.head_height,
                "eye_x": member.crop.place.eye_x,
                "likeness": member.likeness,
                "misfits": list(member.misfits),
            }
            for member in team.members
        ],
        "without": [list(found.frames[sitter]) for sitter in team.without],
    }
