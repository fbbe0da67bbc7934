"""Which files are to be delivered: each frame, its line, its sizes, its crop, its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.judge_folder import measured_exposures
from eyeline.deciding.mark_selected import SELECTED
from eyeline.delivery.names import told_apart
from eyeline.delivery.specification import Specification
from eyeline.errors import EyelineError
from eyeline.run.delivery_crops import Crops, drawn_on
from eyeline.run.delivery_finals import find_finals
from eyeline.run.delivery_frames import DeliveredFrame, frames_in
from eyeline.run.delivery_item import FileToMake, NotMade, file_of
from eyeline.run.delivery_source import Finals, source_of
from eyeline.run.delivery_team import team_crops
from eyeline.run.team import TEAM_PAGE
from eyeline.terms.rectangle import Rectangle


@dataclass(frozen=True, slots=True)
class DeliveryPlan:
    """All that a delivery comes to. `frames`: how many are delivered. `told`: of finals, a sentence each."""

    files: tuple[FileToMake, ...]
    not_made: tuple[NotMade, ...]
    frames: int
    told: tuple[str, ...] = ()


def delivery_plan(
    decider: Decider,
    folders: Sequence[Path],
    specification: Specification,
    best: bool,
    from_preview: bool,
    finals_in: Sequence[Path] = (),
    stopped: Callable[[], bool] = lambda: False,
) -> DeliveryPlan:
    """What is to be made of the selected frames in `folders`, or with `best` of those that fill each line.

    `finals_in`: folders in which retouched files lie, besides those beside their frames. `stopped`: asked
    before each of them, which takes a second or so; the rest are left out then.

    Raises EyelineError where nothing is measured or selected, BadConfiguration for a folder's file with a
    fault.
    """
    frames: list[DeliveredFrame] = []
    for folder in folders:
        frames += frames_in(decider, folder, best)
    if not frames:
        cure = "Mark frames with eyeline select or in your viewer, or deliver the best of each line: --best"
        raise EyelineError(f"no frame has the keyword '{SELECTED}'", folders[0], cure)
    everything = measured_exposures(decider.ledger, folders)
    finals = find_finals(decider, everything, [each.photo for each in frames], finals_in, stopped)
    team = team_crops(
        decider, [(each.photo, each.verdict) for each in frames if each.line.genre == TEAM_PAGE]
    )
    files: list[FileToMake] = []
    not_made: list[NotMade] = []
    for frame in frames:
        made, missing = _files_of(decider, frame, specification, from_preview, finals, team)
        files += made
        not_made += missing
    names = told_apart([each.name for each in files], [each.photo.frame.path.stem for each in files])
    named = tuple(replace(each, name=name) for each, name in zip(files, names, strict=True))
    return DeliveryPlan(named, tuple(not_made), len(frames), finals.told)


def _files_of(
    decider: Decider,
    frame: DeliveredFrame,
    specification: Specification,
    from_preview: bool,
    finals: Finals,
    team: Mapping[Path, Rectangle],
) -> tuple[list[FileToMake], list[NotMade]]:
    photo, line = frame.photo, frame.line
    path = photo.frame.path
    source = source_of(photo, finals, from_preview)
    if isinstance(source, str):
        return [], [NotMade(path, line.name, None, source)]
    (page,) = decider.rules.brief([line.genre])
    crops = Crops(decider, photo, page, team.get(path))
    made, missing = [], []
    for size in line.sizes or (None,):
        found = drawn_on(source, size) or crops.of(size)
        found = crops.fitted(found, source, size)
        if isinstance(found, str):
            missing.append(NotMade(path, line.name, size, found))
            continue
        file = file_of(frame, source, found, size, specification, page)
        if isinstance(file, str):
            missing.append(NotMade(path, line.name, size, file))
        else:
            made.append(file)
    return made, missing
