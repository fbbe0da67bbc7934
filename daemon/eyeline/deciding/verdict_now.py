"""The verdict of a measured photo that is not decided yet: it follows from what the ledger holds."""

from __future__ import annotations

from datetime import UTC, datetime

from eyeline.deciding.judge_folder import judged_together
from eyeline.deciding.same_exposure import exposures_around
from eyeline.deciding.seating import sittings_of
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome, Photo
from eyeline.settings.configuration import Configuration
from eyeline.settings.folder_file import valid_folder_file
from eyeline.settings.rules import RulesInForce


def verdict_now(
    photo: Photo, ledger: Ledger, configuration: Configuration, rules: RulesInForce
) -> tuple[Photo, Decision] | None:
    """`photo` with the measures of the set, and what would be decided about it by now, among all
    that is measured in its folder; None where nothing of its exposure is judged there.

    Raises BadConfiguration where the folder's file has a fault.
    """
    path = photo.frame.path
    exposures = exposures_around(ledger, {path: photo})
    leader = exposures.leader(path)
    folder_rules = valid_folder_file(
        leader.parent, [each.path for each in configuration.folders], rules.rules.genres
    )
    brief = rules.brief(folder_rules.genres or configuration.genres_for(leader.parent))
    peers = exposures.judged_in(leader.parent)
    sittings = sittings_of([each.frame.path for each in peers], folder_rules, ledger)
    together = judged_together(peers, brief, sittings, rules, configuration.five_stars, {leader})
    for judged, verdict in together:
        if judged.frame.path == leader:
            now = datetime.now(UTC)
            return judged, Decision(path, photo.frame.digest, verdict, Outcome.DRY_RUN, now)
    return None
