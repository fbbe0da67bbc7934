"""Crops of a team page that match one another, for the frames that are delivered."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.judge_folder import shot_of
from eyeline.ledger.records import Photo
from eyeline.run.team import TEAM_PAGE
from eyeline.sitting.team import TeamFrame, team
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Verdict


def team_crops(decider: Decider, frames: Sequence[tuple[Photo, Verdict]]) -> dict[Path, Rectangle]:
    """The matched crop of each frame, each another sitter's; none for fewer than two."""
    if len(frames) < 2:
        return {}
    candidates = [
        TeamFrame(row, shot_of(photo, None), photo.frame.width, photo.frame.height, verdict)
        for row, (photo, verdict) in enumerate(frames)
    ]
    found = team(candidates, decider.rules.rules.genre(TEAM_PAGE))
    return {frames[each.sitter][0].frame.path: each.crop.area for each in found.members}
