"""Finals: retouched files of frames, found beside them or in folders that are named."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.errors import UnreadablePhoto, printable
from eyeline.finals.match import Match, match
from eyeline.finals.registration import shown
from eyeline.intake.status import status_of
from eyeline.ledger.records import Photo
from eyeline.rendering.reduced import Reduced, reduced_grey
from eyeline.run.delivery_source import Final, Finals
from eyeline.run.final_candidates import COMPARED_PX, FinalCandidates
from eyeline.selecting.name import frame_name
from eyeline.sidecar.own_crops import own_crops
from eyeline.terms.rectangle import Rectangle


def find_finals(
    decider: Decider,
    frames: Sequence[Photo],
    wanted: Sequence[Photo],
    folders: Sequence[Path],
    stopped: Callable[[], bool] = lambda: False,
) -> Finals:
    """The final of each of the `wanted` among `frames`: in `folders`, or beside the frame under its name and
    more. Of several the one that was saved last. `stopped`: asked before each file; the rest are left out."""
    files = FinalCandidates(decider, frames, wanted, folders)
    found: dict[Path, Final] = {}
    told: list[str] = []
    asked = {photo.frame.path for photo in wanted}
    for path in files.paths():
        if stopped():
            break
        try:
            seen = reduced_grey(path, COMPARED_PX)
        except UnreadablePhoto as error:
            told.append(str(error))
            continue
        numbered, taken = files.numbered(path), files.taken_when(path)
        if taken is not None and not numbered and not taken:
            why = "was taken when none of these frames was: if it is of one, give it the number"
            told.append(f"{printable(path.name)} {why}")
            continue
        result = match(
            shown(seen.grey, seen.width, seen.height),
            len(files.originals),
            numbered or taken or (),
            files.shown_at,
            files.beside_gaps,
        )
        problem = _problem(path, result, files.originals)
        if problem is not None:
            told.append(problem)
        if result.place is None or result.registered is None:
            continue
        of = files.originals[result.place].frame.path
        final = _final(decider, path, seen, result)
        earlier = found.get(of)
        if of not in asked:
            continue
        if earlier is not None:
            newer = max(earlier, final, key=lambda each: each.saved_ns)
            told.append(
                f"{printable(of.name)} has several finals: {printable(newer.path.name)} is the newest"
            )
            final = newer
        found[of] = final
    return Finals(found, tuple(told))


def _final(decider: Decider, path: Path, seen: Reduced, result: Match) -> Final:
    assert result.registered is not None
    status = status_of(path)
    record = SidecarRecords(decider.ledger, decider.configuration.naming).readable(path)
    own: tuple[Rectangle, ...] = ()
    if record is not None:
        own = own_crops(record.found, record.believed, seen.orientation)
    identity = f"{path}:{status.size}:{status.mtime_ns}" if status is not None else str(path)
    return Final(
        path,
        seen.width,
        seen.height,
        seen.orientation,
        result.registered.transform,
        identity,
        own,
        status.mtime_ns if status is not None else 0,
    )


def _problem(path: Path, result: Match, originals: Sequence[Photo]) -> str | None:
    """What a person should know of a final."""
    name = printable(path.name)
    if result.rivals:
        names = [printable(originals[place].frame.path.name) for place in result.rivals[:3]]
        looks = f"fits {' and '.join(names)}" if len(names) > 1 else f"looks like {names[0]}, but not surely"
        return f"{name} {looks}: give it the number of its frame"
    if result.place is None:
        return f"{name} fits no frame here"
    shows = originals[result.place].frame.path.name
    own, others = frame_name(path.name), frame_name(shows)
    if own.number is not None and not result.named and own.number != others.number:
        return f"{name} shows {printable(shows)}, whatever its number says"
    return None if result.named else f"{name} is taken for {printable(shows)} by its picture alone: look"
