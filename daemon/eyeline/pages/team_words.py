"""What is said of a team first: who fits, and how all are cropped."""

from __future__ import annotations

from eyeline.judging.wording import per_cent
from eyeline.sitting.team import Team


def who_fits(team: Team) -> str:
    """How many sitters there are, and how many of them fit as they are."""
    fitting = sum(not member.misfits for member in team.members)
    many = len(team.members) + len(team.without)
    sitters = "1 sitter" if many == 1 else f"{many} sitters"
    missing = f", {len(team.without)} without a frame that will do" if team.without else ""
    fit = "fits as it is" if fitting == 1 else "fit as they are"
    return f"{sitters}: {fitting} {fit}, {len(team.members) - fitting} not quite{missing}."


def cropped_alike(team: Team) -> str:
    """Where all have the head."""
    place = team.place
    turned = {-1: ", turned to camera left", 0: "", 1: ", turned to camera right"}[team.side]
    heads = f"heads of {per_cent(place.head_height)} of the height, eyes {per_cent(place.eye_line)} down"
    return f"All are cropped to {heads}{turned}."
