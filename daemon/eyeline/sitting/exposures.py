"""Files of one exposure: a RAW and the JPEG that the camera made of it are one frame.

They lie side by side, or in sibling folders that are named for kinds of files (`RAW/`, `JPG/`), or one of
them in such a folder below the other's (common practice of cameras, card readers and photographers).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import PurePath

from eyeline.terms.rectangle import Rectangle

KINDS = ("JPEG", "HEIF", "TIFF", "PNG", "RAW")
"""Which file of an exposure is measured and judged, first of these that is there: what the camera or the
photographer rendered shows the picture as it was meant, and at its full size."""

KIND_FOLDERS = frozenset(
    {"raw", "raws", "cr2", "cr3", "nef", "arw", "raf", "orf", "rw2", "pef", "dng"}
    | {"jpg", "jpgs", "jpeg", "jpegs", "heic", "heif", "hif", "tif", "tiff", "png"}
)
"""Names of folders, lower case, that say nothing of a photo but its kind."""

SAME_SHAPE = 0.01
"""Difference of aspect ratio, as a share, up to which two files show the same part of the scene: a RAW keeps
some pixels more at its edges (up to 0.5 % on common sensors, figure from memory)."""

LEAST_KEPT = 0.5
"""Share of the larger picture that a camera's own crop keeps at the least: 1:1 of 16:9 keeps 0.56."""


@dataclass(frozen=True, slots=True)
class ExposureFile:
    """One file. `kind`: one of KINDS. `taken_at`: as `Capture.taken_at`. `camera`: serial number."""

    path: PurePath
    kind: str
    taken_at: str | None = None
    camera: str | None = None


def home(folder: PurePath) -> PurePath:
    """The folder that a shoot lies in: the one above where `folder` is named for a kind of files."""
    return folder.parent if folder.name.casefold() in KIND_FOLDERS else folder


def pairs(files: Iterable[ExposureFile]) -> dict[PurePath, PurePath]:
    """For each file that shows the exposure of another, that other one's path.

    Two files belong together when they have one name but for the suffix, one home folder, and different
    kinds, and neither time nor camera tells them apart: numbers wrap, and two cameras count alike. In
    different folders one of them has to be a RAW, since copies of other kinds are kept there for reasons.
    """
    named: dict[tuple[PurePath, str], list[ExposureFile]] = {}
    for file in files:
        named.setdefault((home(file.path.parent), file.path.stem.casefold()), []).append(file)
    found: dict[PurePath, PurePath] = {}
    for group in named.values():
        group.sort(key=lambda file: (KINDS.index(file.kind), str(file.path)))
        leaders: list[ExposureFile] = []
        for file in group:
            fitting = [leader for leader in leaders if _are_one(leader, file)]
            if fitting:
                beside = [leader for leader in fitting if leader.path.parent == file.path.parent]
                found[file.path] = (beside or fitting)[0].path
            else:
                leaders.append(file)
    return found


def seen_in(area: Rectangle, measured: tuple[int, int], raw: tuple[int, int]) -> Rectangle | None:
    """`area`, fractions of an upright picture of size `measured`, in fractions of its RAW of size `raw`.

    Sizes are (width, height) upright. Where the shapes differ the picture is the middle of the RAW, as wide
    or as high as that: so cameras crop. None where the two cannot be so related.
    """
    ratio = (measured[0] / measured[1]) / (raw[0] / raw[1])
    if abs(ratio - 1) <= SAME_SHAPE:
        return area
    if (measured[0] - measured[1]) * (raw[0] - raw[1]) < 0 or not LEAST_KEPT <= ratio <= 1 / LEAST_KEPT:
        return None
    if ratio > 1:
        return Rectangle(area.left, _squeezed(area.top, 1 / ratio), area.width, area.height / ratio)
    return Rectangle(_squeezed(area.left, ratio), area.top, area.width * ratio, area.height)


def _squeezed(place: float, share: float) -> float:
    return 0.5 + (place - 0.5) * share


def _are_one(one: ExposureFile, other: ExposureFile) -> bool:
    if one.kind == other.kind:
        return False
    if one.path.parent != other.path.parent and "RAW" not in (one.kind, other.kind):
        return False
    if one.camera and other.camera and one.camera != other.camera:
        return False
    return _same_moment(one.taken_at, other.taken_at)


def _same_moment(one: str | None, other: str | None) -> bool:
    """Whether two times can be one; a part that either leaves open (fraction, offset) decides nothing."""
    if one is None or other is None:
        return True
    if one[:19] != other[:19]:
        return False
    fractions = [_fraction(moment) for moment in (one, other)]
    return "" in fractions or fractions[0] == fractions[1]


def _fraction(moment: str) -> str:
    """Digits of the fraction of a second, without closing zeros."""
    rest = moment[19:]
    if not rest.startswith("."):
        return ""
    return rest[1:].split("+")[0].split("-")[0].rstrip("Z").rstrip("0") or "0"
