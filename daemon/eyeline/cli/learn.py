"""`eyeline learn`: the photographer's ratings against eyeline's, and what a genre would have to change."""

from __future__ import annotations

import argparse

from eyeline.agreement.proposal import Agreement
from eyeline.cli.exit_codes import DONE
from eyeline.cli.words import configuration_of, counted, say_problem, stars
from eyeline.deciding.judge_folder import measured_photos
from eyeline.errors import EyelineError, printable
from eyeline.run.learn import Lesson, RatedPhoto, lessons, overall, rated_photos
from eyeline.run.session import open_session
from eyeline.settings.own_genre import edit

EXAMPLES = 5
"""Photos named, those first on which the two are furthest apart."""


def run(arguments: argparse.Namespace) -> int:
    """Show agreement, where the two part, and the proposed changes; write them only with --apply."""
    configuration = configuration_of(arguments)
    paths = [path.resolve() for path in arguments.paths]
    with open_session(configuration, paths, arguments.genre, True, say_problem) as session:
        photos = measured_photos(session.ledger, paths)
        if not photos:
            raise EyelineError("nothing under these paths is measured yet", paths[0], "Run: eyeline run PATH")
        rated = rated_photos(session.decider, photos)
        print(f"{counted(len(photos), 'measured photo')}, {len(rated)} with a rating of your own.")
        if not rated:
            print("There is nothing to learn from yet: rate photos, or correct ratings of eyeline's.")
            return DONE
        print(f"Your stars and eyeline's: {_agreement(overall(rated))}.")
        _say_where(rated)
        found = lessons(session.decider, rated)
    for lesson in found:
        _say(lesson)
        if lesson.proposal.changes:
            _propose(lesson, arguments)
    return DONE


def _say_where(rated: list[RatedPhoto]) -> None:
    apart = sorted(rated, key=lambda each: -abs(each.theirs - (each.verdict.stars or 1)))
    furthest = [each for each in apart if abs(each.theirs - (each.verdict.stars or 1)) > 1][:EXAMPLES]
    higher = sum(each.theirs > (each.verdict.stars or 1) for each in rated)
    lower = sum(each.theirs < (each.verdict.stars or 1) for each in rated)
    print(f"You rated {higher} higher and {lower} lower.")
    if furthest:
        print("Furthest apart (you, eyeline):")
    for each in furthest:
        path = printable(each.photo.frame.path)
        print(f"  {stars(each.theirs):5} {stars(each.verdict.stars):5}  {path}")


def _say(lesson: Lesson) -> None:
    proposal = lesson.proposal
    print(f"\n{proposal.genre}: {_agreement(proposal.now)}.")
    for parting in lesson.partings:
        much = "more" if parting.tau > 0 else "less"
        name = parting.criterion.replace("_", " ")
        print(f"  you make {much} of {name} than eyeline (tau {parting.tau:+.2f}, {parting.photos} photos)")
    if proposal.why_not is not None:
        print(f"  Nothing is proposed: {proposal.why_not}.")
    elif proposal.held_out is not None:
        print(f"  On photos that the changes were not fitted to: {_agreement(proposal.held_out)}.")


def _propose(lesson: Lesson, arguments: argparse.Namespace) -> None:
    made = edit(lesson.proposal.genre, lesson.proposal.changes, configuration_of(arguments))
    print(made.difference())
    if arguments.apply:
        made.apply()
        print(f"Written: {printable(made.file)}. What it changes: eyeline judge --dry-run PATH")
    else:
        print("Nothing was written. To write it: eyeline learn --apply with the same paths")


def _agreement(found: Agreement) -> str:
    kappa = "undefined" if found.kappa is None else f"{found.kappa:.2f}"
    tau = "undefined" if found.tau is None else f"{found.tau:.2f}"
    return f"quadratic weighted kappa {kappa}, Kendall's tau-b {tau} on {found.photos} photos"
