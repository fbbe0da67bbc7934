"""`eyeline learn`: the photographer's ratings against eyeline's, and what a genre would have to change."""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping, Sequence
from shlex import quote
from typing import Any

from eyeline.agreement.proposal import Agreement
from eyeline.cli.exit_codes import DONE
from eyeline.cli.hand_words import hand_record, say_hand
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, counted, say_problem, stars
from eyeline.deciding.judge_folder import measured_photos
from eyeline.errors import printable
from eyeline.run.learn import Lesson, RatedPhoto, Ratings, lessons, overall, ratings
from eyeline.run.nothing_measured import nothing_measured
from eyeline.run.own_hand_lessons import HandLesson, all_changes, hand_lessons
from eyeline.run.session import open_session
from eyeline.settings.own_genre import Edit, edit_what_fits

EXAMPLES = 5
"""Photos named, those first on which the two are furthest apart."""


def run(arguments: argparse.Namespace) -> int:
    """Show agreement, where the two part, and the proposed changes; write them only with --apply."""
    configuration = configuration_of(arguments)
    paths = [path.resolve() for path in arguments.paths]
    with open_session(configuration, paths, arguments.genre, True, say_problem) as session:
        photos = measured_photos(session.ledger, paths)
        if not photos:
            raise nothing_measured(paths, " --dry-run")
        judged = [*session.decider.verdicts(photos)]
        found = ratings(session.decider, judged, arguments.agreed)
        taught = lessons(session.decider, found.rated) if found.rated else []
        hands = hand_lessons(session.decider, judged)
        quantities = session.decider.rules.quantities
    edits: dict[str, Edit] = {}
    left: dict[str, tuple[str, ...]] = {}
    for genre, attempts in all_changes(taught, hands).items():
        made, left[genre] = edit_what_fits(genre, attempts, configuration)
        if made is not None:
            edits[genre] = made
    if arguments.json:
        print(json.dumps(_record(found, taught, hands, edits), ensure_ascii=True))
    else:
        _say_used(found, len(photos), any(each.crops for each in hands))
        if found.rated:
            _say_where(found.rated)
        for lesson in taught:
            _say(lesson)
        for hand in hands:
            say_hand(hand, quantities)
        for genre, criteria in left.items():
            if criteria:
                names = ", ".join(each.replace("_", " ") for each in criteria)
                say(
                    f"\n{genre}: {names} cannot be met beside its other ranges, or in a genre that inherits "
                    "them: left as it is."
                )
        for made in edits.values():
            print(made.difference())
    for made in edits.values():
        if arguments.apply:
            made.apply()
    if not arguments.json:
        _say_written([*edits.values()], arguments)
    return DONE


def _say_used(found: Ratings, photos: int, has_crops: bool) -> None:
    """How many ratings count, and why the others do not."""
    say(f"{counted(photos, 'measured photo')}: {counted(len(found.rated), 'rating')} of yours to learn from.")
    unused = [
        (
            found.stood,
            "with eyeline's own stars left as they were (you have gone through them all? add --agreed)",
        ),
        (found.unrated, "without a rating in sidecar or photo"),
        (found.no_portrait, "in which eyeline found no portrait"),
    ]
    for count, why in unused:
        if count:
            say(f"  not used: {count} {why}", 12)
    if not found.rated and not has_crops:
        say("Rate some photos, or correct ratings of eyeline's; then the same command again.")


def _say_where(rated: Sequence[RatedPhoto]) -> None:
    gaps = [each.theirs - (each.verdict.stars or 1) for each in rated]
    say(
        f"You gave the same stars to {gaps.count(0)}, more to {sum(gap > 0 for gap in gaps)}, "
        f"fewer to {sum(gap < 0 for gap in gaps)}."
    )
    apart = sorted(zip(rated, gaps, strict=True), key=lambda pair: -abs(pair[1]))
    furthest = [each for each, gap in apart if abs(gap) > 1][:EXAMPLES]
    if furthest:
        say("Furthest apart (you, eyeline):")
    for each in furthest:
        say(f"  {stars(each.theirs):5} {stars(each.verdict.stars):5}  {printable(each.photo.frame.path)}", 15)


def _say(lesson: Lesson) -> None:
    proposal = lesson.proposal
    say(f"\n{proposal.genre}, {counted(proposal.now.photos, 'rating')}:")
    for parting in lesson.partings:
        much = "more" if parting.tau > 0 else "less"
        say(f"  you make {much} of {parting.criterion.replace('_', ' ')} than eyeline does", 4)
    if proposal.why_not is not None:
        say(f"  Nothing is proposed: {proposal.why_not}.", 4)
    else:
        say("  These changes would bring its stars nearer to yours, on photos held back too:", 4)


def _say_written(edits: Sequence[Edit], arguments: argparse.Namespace) -> None:
    paths = " ".join(quote(printable(path)) for path in arguments.paths)
    if not edits:
        return
    if arguments.apply:
        for made in edits:
            say(f"Written: {printable(made.file)}")
        say(f"What it changes: eyeline judge --dry-run {paths}")
    else:
        agreed = "--agreed " if arguments.agreed else ""
        say(f"Nothing was written. To write it: eyeline learn --apply {agreed}{paths}")


def _record(
    found: Ratings, taught: Sequence[Lesson], hands: Sequence[HandLesson], edits: Mapping[str, Edit]
) -> dict[str, Any]:
    return {
        "used": len(found.rated),
        "left_as_eyeline_wrote": found.stood,
        "unrated": found.unrated,
        "no_portrait": found.no_portrait,
        "overall": _agreement(overall(found.rated)) if found.rated else None,
        "genres": [
            {
                "genre": each.proposal.genre,
                "now": _agreement(each.proposal.now),
                "held_out": None if each.proposal.held_out is None else _agreement(each.proposal.held_out),
                "partings": [
                    {"criterion": one.criterion, "tau_b": one.tau, "photos": one.photos}
                    for one in each.partings
                ],
                "why_nothing": each.proposal.why_not,
                "difference": _difference(edits, each.proposal.genre),
            }
            for each in taught
        ],
        "own_hand": [hand_record(each) | {"difference": _difference(edits, each.genre)} for each in hands],
    }


def _difference(edits: Mapping[str, Edit], genre: str) -> str | None:
    return edits[genre].difference() if genre in edits else None


def _agreement(found: Agreement) -> dict[str, Any]:
    return {"photos": found.photos, "quadratic_weighted_kappa": found.kappa, "tau_b": found.tau}
