"""One file that is to be made of a frame: its source, box, size, name, what it is made of and promises."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from functools import partial
from hashlib import blake2b
from pathlib import Path, PurePosixPath

from eyeline.delivery.box import Box, box_of
from eyeline.delivery.crop_choice import CropChoice, Whose
from eyeline.delivery.metadata import packet
from eyeline.delivery.names import file_name, filled
from eyeline.delivery.promise import Promise, promise
from eyeline.delivery.specification import Specification
from eyeline.judging.rulebook import Rulebook
from eyeline.ledger.records import Photo
from eyeline.rendering.profile import target_profile
from eyeline.rendering.render import EDITION
from eyeline.run.delivery_frames import DeliveredFrame
from eyeline.run.delivery_source import DeliverySource
from eyeline.selecting.name import frame_name
from eyeline.sitting.brief import BriefLine, Size
from eyeline.terms.rectangle import Rectangle

LETTERS_OF_ID = 32
"""Hex digits, 128 bits: no two files of one name have the same by chance."""


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


def file_of(
    frame: DeliveredFrame,
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
