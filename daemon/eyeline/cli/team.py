"""`eyeline team`: portraits of many sitters kept alike."""

from __future__ import annotations

import argparse

from eyeline.cli.lines import folded
from eyeline.cli.report import print_report
from eyeline.cli.words import counted
from eyeline.errors import printable
from eyeline.ledger.ledger import Ledger
from eyeline.run.team import FolderTeam, team_of
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import RulesInForce


def run(arguments: argparse.Namespace) -> int:
    """Print the crops, who does not fit, and the consistency."""
    folders = [folder.resolve() for folder in arguments.folders]

    def report(ledger: Ledger, configuration: Configuration, rules: RulesInForce) -> FolderTeam:
        return team_of(folders, ledger, configuration, rules, each_photo=arguments.each_photo)

    return print_report(arguments, report, in_words, _record)


def in_words(found: FolderTeam) -> list[str]:
    """The team in words, 80 columns wide: who fits, each crop, one line for each thing that does not fit."""
    team, place = found.team, found.team.place
    fitting = sum(not member.misfits for member in team.members)
    sitters = counted(len(team.members) + len(team.without), "sitter")
    missing = f", {len(team.without)} without a frame that will do" if team.without else ""
    turned = {-1: ", turned to camera left", 0: "", 1: ", turned to camera right"}[team.side]
    words = [
        f"{sitters}: {fitting} fit as they are, {len(team.members) - fitting} not quite{missing}.",
        folded(
            f"All are cropped to heads of {place.head_height:.0%} of the height, eyes {place.eye_line:.0%} "
            f"down{turned}.",
            2,
        ),
    ]
    for member in team.members:
        crop = member.crop
        left, top = (
            round(corner / size * pixels)
            for corner, size, pixels in (
                (crop.area.left, crop.area.width, crop.width),
                (crop.area.top, crop.area.height, crop.height),
            )
        )
        words.append(f"  {printable(member.name)}  {crop.width}×{crop.height}+{left}+{top}")
        words += [folded(f"    - {misfit}", 6) for misfit in member.misfits]
    for sitter in team.without:
        names = found.frames[sitter]
        frames = printable(names[0]) + (f" to {printable(names[-1])}" if len(names) > 1 else "")
        words.append(folded(f"  no frame will do of {frames}. Why? eyeline why PHOTO", 4))
    if team.more_at is not None:
        head_height, count = team.more_at
        words.append(f"At heads of {head_height:.0%} of the height {counted(count, 'sitter')} would match.")
    return words


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
