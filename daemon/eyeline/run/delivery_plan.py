"""Which files are to be delivered: each frame, its line, its sizes, its crop, its name."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import partial
from hashlib import blake2b
from pathlib import Path, PurePosixPath

from eyeline.deciding.decide import Decider
from eyeline.deciding.judge_folder import measured_exposures
from eyeline.deciding.mark_selected import SELECTED
from eyeline.deciding.seating import sitters_in
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.delivery.box import Box, box_of
from eyeline.delivery.crop_choice import CropChoice, Whose
from eyeline.delivery.metadata import packet
from eyeline.delivery.names import file_name, filled, told_apart
from eyeline.delivery.promise import Promise, promise
from eyeline.delivery.specification import Specification
from eyeline.errors import EyelineError
from eyeline.judging.rulebook import Rulebook
from eyeline.ledger.records import Photo
from eyeline.rendering.profile import target_profile
from eyeline.rendering.render import EDITION
from eyeline.run.brief import FolderBrief, brief_of
from eyeline.run.delivery_crops import Crops, drawn_on
from eyeline.run.delivery_finals import find_finals
from eyeline.run.delivery_source import DeliverySource, Finals, source_of
from eyeline.run.delivery_team import team_crops
from eyeline.selecting.name import frame_name
from eyeline.settings.folder_file import FolderFile, valid_folder_file
from eyeline.sitting.brief import BriefLine, Size
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Verdict

LETTERS_OF_ID = 32


@dataclass(frozen=True, slots=True)
class FileToMake:
    """One file. `box`: upright pixels of `source`. `name`: below the target folder. `inputs`: hex digits that
    change with anything that the file is made of."""

    photo: Photo
    sitter: str
    line: BriefLine
    size: Size
    source: DeliverySource
    box: Box
    whose: Whose
    name: PurePosixPath
    packet: str
    promise: Promise
    inputs: str
    caution: str = ""

    @property
    def scale(self) -> float:
        """Pixels of the file for each of the source's."""
        return self.size[0] / self.box.width


@dataclass(frozen=True, slots=True)
class NotMade:
    """A file that will not be, and why. `size` None: of any size."""

    path: Path
    line: str
    size: Size | None
    reason: str


@dataclass(frozen=True, slots=True)
class DeliveryPlan:
    """All that a delivery comes to. `frames`: how many are delivered. `told`: of finals, a sentence each."""

    files: tuple[FileToMake, ...]
    not_made: tuple[NotMade, ...]
    frames: int
    told: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Frame:
    photo: Photo
    verdict: Verdict
    line: BriefLine
    sitter: str


def delivery_plan(
    decider: Decider,
    folders: Sequence[Path],
    specification: Specification,
    best: bool,
    from_preview: bool,
    finals_in: Sequence[Path] = (),
) -> DeliveryPlan:
    """What is to be made of the selected frames in `folders`, or with `best` of those that fill each line.

    `finals_in`: folders in which retouched files lie, besides those beside their frames.

    Raises EyelineError where nothing is measured or selected, BadConfiguration for a folder's file with a
    fault.
    """
    frames: list[_Frame] = []
    for folder in folders:
        frames += _frames_in(decider, folder, best)
    if not frames:
        cure = "Mark frames with eyeline select or in your viewer, or deliver the best of each line: --best"
        raise EyelineError(f"no frame has the keyword '{SELECTED}'", folders[0], cure)
    everything = measured_exposures(decider.ledger, folders)
    finals = find_finals(decider, everything, [each.photo for each in frames], finals_in)
    team = team_crops(decider, [(each.photo, each.verdict) for each in frames if _is_team(each.line)])
    files: list[FileToMake] = []
    not_made: list[NotMade] = []
    for frame in frames:
        made, missing = _files_of(decider, frame, specification, from_preview, finals, team)
        files += made
        not_made += missing
    names = told_apart([each.name for each in files], [each.photo.frame.path.stem for each in files])
    named = tuple(replace(each, name=name) for each, name in zip(files, names, strict=True))
    return DeliveryPlan(named, tuple(not_made), len(frames), finals.told)


def _is_team(line: BriefLine) -> bool:
    return line.genre == "team page"


def _frames_in(decider: Decider, folder: Path, best: bool) -> list[_Frame]:
    ledger, configuration, rules = decider.ledger, decider.configuration, decider.rules
    roots = [one.path for one in configuration.folders]
    folder_rules = valid_folder_file(folder, roots, rules.rules.genres)
    brief = brief_of(folder, ledger, configuration, rules)
    photos = measured_exposures(ledger, [folder])
    lines = _lines_of(brief, folder)
    if best:
        wanted = [photo for photo in photos if photo.frame.path in lines]
    else:
        records = SidecarRecords(ledger, configuration.naming)
        wanted = [photo for photo in photos if _is_selected(records, photo.frame.path)]
    every_line = [each.line for each in brief.lines]
    every_line += [each.line for sitter in brief.sitters[:1] for each in sitter.lines]
    called = _sitters(folder_rules, decider)
    frames = []
    asked = {photo.frame.path for photo in wanted}
    for photo, verdict in decider.verdicts(wanted):
        path = photo.frame.path
        if path not in asked:  # the RAW beside a JPEG
            continue
        line = lines.get(path) or _line_served(verdict, every_line)
        sitter = called.get(path) or folder_rules.sitting or path.parent.name
        frames.append(_Frame(photo, verdict, line, sitter))
    return frames


def _is_selected(records: SidecarRecords, path: Path) -> bool:
    record = records.readable(path)
    return record is not None and SELECTED in {word.casefold() for word in record.present.keywords}


def _lines_of(brief: FolderBrief, folder: Path) -> dict[Path, BriefLine]:
    """The line that each frame fills, for those that fill one, as many as are wanted."""
    reports = [*brief.lines, *(line for sitter in brief.sitters for line in sitter.lines)]
    return {folder / name: report.line for report in reports for name in report.there[: report.line.wanted]}


def _line_served(verdict: Verdict, lines: Sequence[BriefLine]) -> BriefLine:
    """The line on whose genre the frame scores best."""
    scores = dict(verdict.scores)
    return max(lines, key=lambda line: scores.get(line.genre, 0.0))


def _sitters(folder_rules: FolderFile, decider: Decider) -> Mapping[Path, str]:
    seats = folder_rules.seats
    if seats is None:
        return {}
    return {path: seats.name(label) for path, label in sitters_in(seats, decider.ledger).items()}


def _files_of(
    decider: Decider,
    frame: _Frame,
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
        file = _file(frame, source, found, size, specification, page)
        if isinstance(file, str):
            missing.append(NotMade(path, line.name, size, file))
        else:
            made.append(file)
    return made, missing


def _file(
    frame: _Frame,
    source: DeliverySource,
    choice: CropChoice,
    size: Size | None,
    specification: Specification,
    page: Rulebook,
) -> FileToMake | str:
    """The file, or why it cannot be made."""
    photo = frame.photo
    shot = photo.frame.width, photo.frame.height
    of_final = choice.whose in (Whose.OWN_FINAL, Whose.SUGGESTED_FINAL)
    carried = choice.area if of_final else source.carried(choice.area, shot)
    if carried is None:
        return f"the crop reaches beyond what {source.path.name} shows"
    area, width, height = carried, source.width, source.height
    ratio = size[0] / size[1] if size is not None else area.width * width / (area.height * height)
    box = box_of(area, width, height, ratio)
    wanted = size or (box.width, box.height)
    if box.width < wanted[0] and not specification.enlarge:
        return f"the crop has {box.width} × {box.height} px, the size wants {wanted[0]} × {wanted[1]}"
    path = photo.frame.path
    values = {
        "sitter": frame.sitter,
        "line": frame.line.name,
        "format": _format_name(wanted, page),
        "size": f"{wanted[0]}x{wanted[1]}",
        "frame": path.stem,
        "number": frame_name(path.name).digits or path.stem,
        "folder": path.parent.name,
    }
    caption = filled(specification.caption, values)
    described = partial(packet, specification.creator, specification.rights, specification.contact, caption)
    which = f"{photo.frame.digest}/{frame.line.name}/{values['size']}/{specification.kind.value}"
    inputs = _digest(EDITION, source.identity, asdict(box), wanted, _plain(specification), caption)
    blur = _blur(photo) if source.is_the_frame else None
    return FileToMake(
        photo,
        frame.sitter,
        frame.line,
        wanted,
        source,
        box,
        choice.whose,
        file_name(specification.name, values, specification.kind),
        described(which, f"{which}/{inputs}", photo.frame.digest),
        promise(photo.points, _seen(source, box, shot), shot, blur, wanted[0] / box.width),
        inputs,
        page.caution,
    )


def _seen(source: DeliverySource, box: Box, shot: Size) -> Rectangle:
    """What the box shows of the frame as shot, in its fractions."""
    return source.back(box.area(source.width, source.height), shot)


def _format_name(size: Size, page: Rulebook) -> str:
    ratio = size[0] / size[1]
    alike = [each.name for each in page.formats if abs(each.ratio / ratio - 1) < 0.01]
    return alike[0].replace(":", "x") if alike else f"{size[0]}x{size[1]}"


def _blur(photo: Photo) -> float | None:
    for each in photo.measurements:
        if each.name == "eye_blur_px" and isinstance(each.value, (int, float)):
            return float(each.value)
    return None


def _plain(specification: Specification) -> dict[str, object]:
    profile = blake2b(target_profile(specification.profile), digest_size=16).hexdigest()
    return asdict(specification) | {"profile": profile, "name": ""}


def _digest(*parts: object) -> str:
    text = json.dumps(parts, sort_keys=True, default=str)
    return blake2b(text.encode("utf-8", "surrogatepass"), digest_size=LETTERS_OF_ID // 2).hexdigest()


def paths_of(files: Iterable[FileToMake]) -> set[Path]:
    """The frames that `files` are of."""
    return {each.photo.frame.path for each in files}
