"""The team in some folders, from what the ledger knows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.deciding.judge_folder import by_folder, judged_together, measured_exposures, shot_of
from eyeline.deciding.seating import sittings_of
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.run.nothing_measured import nothing_measured
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import valid_folder_file
from eyeline.settings.rules import RulesInForce
from eyeline.sitting.shot import Shot
from eyeline.sitting.sittings import sittings
from eyeline.sitting.team import Team, TeamFrame, team
from eyeline.terms.verdict import Verdict

TEAM_PAGE = "team page"
"""The genre whose numbers a team is kept to."""


@dataclass(frozen=True, slots=True)
class FolderTeam:
    """The team; for each sitter by number, the frames that show it, by name; and the photo of each member."""

    team: Team
    frames: tuple[tuple[str, ...], ...]
    photos: tuple[Photo, ...]


def team_of(
    folders: Sequence[Path],
    ledger: Ledger,
    configuration: Configuration,
    rules: RulesInForce,
    genre: str = TEAM_PAGE,
    each_photo: bool = False,
) -> FolderTeam:
    """Keep the sitters in `folders` alike: one for each sitting, or with `each_photo` for each photo.

    Raises
    ------
    EyelineError
        When nothing there is measured yet.
    BadConfiguration
        When there is no such genre, or a folder's file has a fault.
    """
    photos = measured_exposures(ledger, folders)
    if not photos:
        raise nothing_measured(folders)
    page = rules.rules.genre(genre)
    roots = [one.path for one in configuration.folders]
    judged: list[tuple[Photo, Shot, Verdict]] = []
    for folder, inside in by_folder(photos).items():
        folder_rules = valid_folder_file(folder, roots, rules.rules.genres)
        named = sittings_of([photo.frame.path for photo in inside], folder_rules, ledger)
        for photo, verdict in judged_together(inside, (page,), named, rules, False):
            judged.append((photo, shot_of(photo, named.get(photo.frame.path)), verdict))
    shots = [shot for _, shot, _ in judged]
    groups: list[tuple[int, ...]]
    if each_photo:
        groups = [(row,) for row, shot in enumerate(shots) if not shot.shows_no_face]
    else:
        groups = [each.rows for each in sittings(shots)]
    candidates = [
        TeamFrame(number, shots[row], judged[row][0].frame.width, judged[row][0].frame.height, judged[row][2])
        for number, rows in enumerate(groups)
        for row in rows
    ]
    names = tuple(tuple(shots[row].name for row in rows) for rows in groups)
    found = team(candidates, page)
    photos_of = {
        (number, shots[row].name): judged[row][0] for number, rows in enumerate(groups) for row in rows
    }
    return FolderTeam(found, names, tuple(photos_of[each.sitter, each.name] for each in found.members))
