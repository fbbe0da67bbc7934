"""A team as one HTML file: matching crops side by side, and below each what does not fit, fault by fault."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot
from typing import Any

import cv2
import numpy as np
import simplejpeg

from eyeline.errors import printable
from eyeline.ledger.records import Photo
from eyeline.pages.marked import QUALITY
from eyeline.pages.numbers import numbers
from eyeline.pages.pictures import Key, key_of
from eyeline.pages.sheet_html import environment, in_base64, style
from eyeline.pages.stave import DIAGONAL, Hung, stave
from eyeline.pages.team_words import cropped_alike, who_fits
from eyeline.run.team import FolderTeam
from eyeline.terms.rectangle import Rectangle

UNIT_PX, UNIT_MM = 6.6, 1.15
"""Pixels and millimetres of a unit: seven square crops side by side on a screen of 1440 px, four on A4."""

LONGEST_PX = 480
"""Long side of a crop: more than twice the pixels that it has on the screen."""


def team_html(found: FolderTeam, title: str, pictures: Mapping[Key, bytes]) -> bytes:
    """The team as HTML in UTF-8; `pictures`: the crop of each member's frame, by photo."""
    called = numbers([photo.frame.path for photo in found.photos])
    hangs = []
    for member in found.team.members:
        ratio = found.team.place.ratio
        height = DIAGONAL / hypot(ratio, 1)
        hangs.append(Hung(ratio * height, height, member.crop.place.eye_line * height))
    line = stave(hangs) if hangs else None
    members: list[dict[str, Any]] = []
    for member, photo, hung in zip(found.team.members, found.photos, hangs, strict=True):
        assert line is not None
        picture = pictures.get(key_of(photo))
        members.append(
            {
                "number": called[photo.frame.path],
                "width": f"{hung.width:.2f}",
                "height": f"{hung.height:.2f}",
                "top": f"{line.top(hung):.2f}",
                "picture": None if picture is None else in_base64(picture),
                "pixels": f"{member.crop.width} × {member.crop.height} px",
                "misfits": member.misfits,
            }
        )
    text = (
        environment()
        .get_template("sheets/team.html")
        .render(
            title=title,
            style=style(),
            unit_px=UNIT_PX,
            unit_mm=UNIT_MM,
            size="small",
            who_fits=who_fits(found.team),
            cropped_alike=cropped_alike(found.team).replace("%", "\N{NO-BREAK SPACE}%"),
            above=f"{line.above:.2f}" if line else "0",
            height=f"{line.height:.2f}" if line else "0",
            members=members,
            without=[", ".join(map(printable, found.frames[sitter])) for sitter in found.team.without],
        )
    )
    return text.encode("utf-8", "replace")


def cut(photo: Photo, jpeg: bytes, areas: Mapping[Key, Rectangle]) -> bytes:
    """The part of a small version of `photo` that `areas` name, as JPEG without metadata."""
    rgb = simplejpeg.decode_jpeg(jpeg)
    area = areas[key_of(photo)]
    high, wide = rgb.shape[:2]
    top, left = round(area.top * high), round(area.left * wide)
    part = rgb[top : max(top + 1, round(area.bottom * high)), left : max(left + 1, round(area.right * wide))]
    scale = LONGEST_PX / max(part.shape[:2])
    if scale < 1:
        size = (max(1, round(part.shape[1] * scale)), max(1, round(part.shape[0] * scale)))
        part = cv2.resize(part, size, interpolation=cv2.INTER_AREA)
    return bytes(simplejpeg.encode_jpeg(np.ascontiguousarray(part), QUALITY, "RGB", "420", fastdct=True))
