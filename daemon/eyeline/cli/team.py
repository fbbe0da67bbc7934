"""`eyeline team`: portraits of many sitters kept alike."""

from __future__ import annotations

import argparse

from eyeline.cli.report import print_report
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

    return print_report(arguments, report, told, _record)


def told(found: FolderTeam) -> list[str]:
    """The team in words: the common place, one line a sitter with what does not fit, one figure."""
    team, place = found.team, found.team.place
    turned = {-1: ", turned to camera left", 0: "", 1: ", turned to camera right"}[team.side]
    words = [
        f"{len(team.members)} sitters, heads {place.head_height:.1%} of the height, eyes "
        f"{place.eye_line:.1%} down and {place.eye_x:.0%} across{turned}:"
    ]
    for member in team.members:
        crop = member.crop
        corner = f"+{round(crop.area.left / crop.area.width * crop.width)}"
        corner += f"+{round(crop.area.top / crop.area.height * crop.height)}"
        said = "; ".join(member.misfits) or "fits"
        words.append(f"  {printable(member.name)}  {crop.width}×{crop.height}{corner}  {said}")
    for sitter in team.without:
        names = found.frames[sitter]
        words.append(
            f"  no frame will do of {printable(names[0])} to {printable(names[-1])}: eyes, focus, light or a "
            "cut head; eyeline why says more"
        )
    if team.more_at is not None:
        words.append(
            f"At heads of {team.more_at[0]:.0%} of the height {team.more_at[1]} sitters would match."
        )
    if team.consistency is not None:
        fitting = sum(not member.misfits for member in team.members)
        words.append(
            f"{fitting} fit. Consistency: {team.consistency:.2f} (1 = all alike, as the page wants)."
        )
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
