"""Regions: what eyeline draws on a picture, and the same in the terms of XMP and of ExifTool.

They are given in fractions of the upright picture and become fractions of the stored pixels here, once.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from functools import lru_cache

from eyeline.sidecar import vocabulary as names
from eyeline.sidecar.meaning import Structure, Text, Value, canonical, container, structure
from eyeline.sidecar.notation import escaped, fixed_point, one_line
from eyeline.sidecar.orientation import stored_from_upright
from eyeline.terms.rectangle import Rectangle

ID_PREFIX = "eyeline-"
"""Every rId of ours begins so; ExifTool adds and removes regions by rId."""

OWN_CROP_PREFIX = "own-crop-"
"""The rId of a crop that the photographer has drawn begins so: never as an id of eyeline's."""

_EDGE_TOLERANCE = 1e-6
"""An edge may lie this far outside the frame (floating point) and is put on it; further out is an error."""

REGIONS_KEPT = 200
"""Regions, apart from where they lie, that are put into RDF once: a genre has some ten."""

_ID = re.compile(re.escape(ID_PREFIX) + r"[A-Za-z0-9.-]+")


@dataclass(frozen=True, slots=True)
class Region:
    """An IPTC image region. `area`: fractions of the upright frame. `roles`, `types`: vocabulary keys."""

    id: str
    name: str
    area: Rectangle
    roles: tuple[str, ...]
    types: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StoredRegion:
    """A region as it goes into the file. `area`: fractions of the stored picture, six decimals."""

    id: str
    name: str
    area: Rectangle
    roles: tuple[str, ...]
    types: tuple[str, ...]

    @property
    def content(self) -> str:
        """Eight hex digits over everything but place and id: tells whether somebody changed it."""
        return _content(self.name, self.roles, self.types)


def crop_region(
    format_name: str, area: Rectangle, frame_width: int, frame_height: int, *, best: bool, name: str = ""
) -> Region:
    """A suggested crop in `format_name` ("4:5"); `frame_width`, `frame_height`: upright pixels.

    The shape is that of the crop as displayed: square within half a percent, else landscape or portrait.
    `name`: shown by readers; the format's name when empty.
    """
    shape = _shape_role(area, frame_width, frame_height)
    roles = ("recomCropping", shape) if best else (shape,)
    return Region(crop_id(format_name), name or format_name, area, roles)


def crop_id(format_name: str) -> str:
    """The rId of the crop that eyeline suggests in `format_name`."""
    return f"{ID_PREFIX}crop-{_slug(format_name)}"


def own_crop_id(format_name: str) -> str:
    """The rId of the crop that the photographer has drawn in `format_name`."""
    return OWN_CROP_PREFIX + _slug(format_name)


def own_crop(
    format_name: str, area: Rectangle, frame_width: int, frame_height: int, orientation: int
) -> StoredRegion:
    """The photographer's own crop, as `crop_region`, ready for the file. Raises ValueError as `wanted`."""
    roles = ("recomCropping", _shape_role(area, frame_width, frame_height))
    return stored(Region(own_crop_id(format_name), format_name, area, roles), orientation)


def _shape_role(area: Rectangle, frame_width: int, frame_height: int) -> str:
    ratio = area.width * frame_width / (area.height * frame_height)
    if abs(ratio - 1) < 0.005:
        return "squareCropping"
    return f"{'landscape' if ratio > 1 else 'portrait'}Cropping"


def _slug(format_name: str) -> str:
    return re.sub(r"[^A-Za-z0-9.]+", "-", format_name.replace(":", "x")).strip("-")


def sitter_region(area: Rectangle) -> Region:
    """The sitter: main subject area, a human."""
    return Region(f"{ID_PREFIX}sitter", "sitter", area, ("mainSubjectArea",), ("human",))


def copy_space_region(area: Rectangle, side: str = "") -> Region:
    """Room for text; `side` ("left", "right") when there may be more than one."""
    suffix = f"-{side}" if side else ""
    name = f"copy space {side}".strip()
    return Region(f"{ID_PREFIX}copy-space{suffix}", name, area, ("areaOfInterest",))


def region_structure(region: StoredRegion) -> Structure:
    """The region as an RDF reader must find it."""
    boundary = structure((names.IPTC_EXT + key, Text(text)) for key, text in _boundary(region))
    return structure(
        [
            (names.IPTC_EXT + "rId", Text(region.id)),
            (names.IPTC_EXT + "RegionBoundary", boundary),
            *_named(region.name, region.roles, region.types),
        ]
    )


@lru_cache(REGIONS_KEPT)
def _named(name: str, roles: tuple[str, ...], types: tuple[str, ...]) -> tuple[tuple[str, Value], ...]:
    """The fields of a region that say nothing of where it lies."""
    fields: list[tuple[str, Value]] = [
        (names.IPTC_EXT + "Name", container("Alt", [Text(name, "x-default")])),
    ]
    for field, base, labels, keys in _entities(roles, types):
        entities = [
            structure(
                [
                    (names.XMP + "Identifier", container("Bag", [Text(base + key)])),
                    (names.IPTC_EXT + "Name", container("Alt", [Text(labels[key], "x-default")])),
                ]
            )
            for key in keys
        ]
        fields.append((names.IPTC_EXT + field, container("Bag", entities)))
    return tuple(fields)


@lru_cache(REGIONS_KEPT)
def _content(name: str, roles: tuple[str, ...], types: tuple[str, ...]) -> str:
    return content_digest(structure(_named(name, roles, types)))


def content_digest(region: Structure) -> str:
    """Eight hex digits over all fields of a region but its id and boundary."""
    own = (names.IPTC_EXT + "rId", names.IPTC_EXT + "RegionBoundary")
    rest = structure(field for field in region.fields if field[0] not in own)
    return hashlib.blake2b(canonical(rest).encode("utf-8", "surrogatepass"), digest_size=4).hexdigest()


def region_argument(region: StoredRegion) -> str:
    """The region in ExifTool's structure notation."""
    boundary = ",".join(f"{key[0].upper()}{key[1:]}={text}" for key, text in _boundary(region))
    parts = [f"RId={escaped(region.id)}", f"Name={escaped(region.name)}", f"RegionBoundary={{{boundary}}}"]
    for field, base, labels, keys in _entities(region.roles, region.types):
        entities = ",".join(f"{{Identifier=[{base}{key}],Name={escaped(labels[key])}}}" for key in keys)
        parts.append(f"{field[0].upper()}{field[1:]}=[{entities}]")
    return f"{{{','.join(parts)}}}"


def is_our_id(region_id: str) -> bool:
    """Whether a region of ours may have this rId."""
    return _ID.fullmatch(region_id) is not None


def stored(region: Region, orientation: int) -> StoredRegion:
    """`region` as it goes into the file. Raises ValueError for a word that is none of the vocabulary's, for a
    name that cannot be printed, for an area beyond the frame."""
    for keys, known in ((region.roles, names.ROLES), (region.types, names.TYPES)):
        for key in keys:
            if key not in known:
                raise ValueError(f"{region.id}: not in the IPTC vocabulary as used here: {key}")
    area = stored_from_upright(region.area, orientation)
    left, right = _edges(region.id, area.left, area.right)
    top, bottom = _edges(region.id, area.top, area.bottom)
    rounded = Rectangle(left, top, round(right - left, 6), round(bottom - top, 6))
    return StoredRegion(region.id, one_line(region.name, "region name"), rounded, region.roles, region.types)


def _edges(region_id: str, low: float, high: float) -> tuple[float, float]:
    """Both edges inside 0..1, rounded to six decimals."""
    if not -_EDGE_TOLERANCE <= low < high <= 1 + _EDGE_TOLERANCE:  # false for NaN too
        raise ValueError(f"{region_id}: {low:.6f} to {high:.6f} is no part of the frame")
    low, high = round(max(low, 0.0), 6), round(min(high, 1.0), 6)
    if low >= high:
        raise ValueError(f"{region_id}: narrower than a millionth of the frame")
    return low, high


def _boundary(region: StoredRegion) -> list[tuple[str, str]]:
    area = region.area
    numbers = zip(("rbX", "rbY", "rbW", "rbH"), (area.left, area.top, area.width, area.height), strict=True)
    return [("rbShape", "rectangle"), ("rbUnit", "relative"), *((key, fixed_point(n)) for key, n in numbers)]


def _entities(
    roles: tuple[str, ...], types: tuple[str, ...]
) -> list[tuple[str, str, dict[str, str], tuple[str, ...]]]:
    """Property, vocabulary base, labels and keys of `roles` and `types`, where there are any."""
    both = (
        ("rRole", names.ROLE_BASE, names.ROLES, roles),
        ("rCtype", names.TYPE_BASE, names.TYPES, types),
    )
    return [entry for entry in both if entry[3]]
