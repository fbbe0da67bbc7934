"""Sheets of invented frames, without a ledger or a file."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from PIL import Image

from eyeline.ledger.records import Photo
from eyeline.pages.pictures import Key, key_of
from eyeline.pages.sheet import Sheet, SheetFrame, SheetSitter
from eyeline.terms.frame import Frame
from eyeline.terms.measurement import Measurement
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Crop

POINTS = Points((0.4, 0.38), (0.6, 0.38), (0.5, 0.55), False, 0.2, False, None, 0.3, 0.7)
KNOWN = {
    each.name: each
    for each in (
        Measurement("headroom", 0.2),
        Measurement("eye_line", 0.38),
        Measurement("head_height", 0.35),
        Measurement("gaze", "left"),
        Measurement("gaze_yaw_deg", -20.0),
    )
}
CROP = Crop("4:5", Rectangle(0.1, 0.1, 0.7, 0.8), 0.9, 0.7, 1400, 1750, "4:5 from this frame")


def photo(number: int, upright: bool = True, path: Path | None = None) -> Photo:
    width, height = (4000, 6000) if upright else (6000, 4000)
    frame = Frame(
        path or Path(f"/photos/NL1_{number}.jpg"), f"{number:032x}", width, height, width, height, 1
    )
    return Photo(frame, (), POINTS, "the only face", {}, datetime(2026, 9, 14, tzinfo=UTC), 1)


def sheet_frame(place: int, **changes: object) -> SheetFrame:
    frame = SheetFrame(
        photo=photo(place, upright=place % 3 != 0),
        number=str(place),
        genre="corporate headshot",
        stars=place % 5 + 1 if place % 7 else None,
        words=("headshot", "check gaze"),
        binds="the eyes are closed",
        crops=(CROP,),
        series="NL1_1.jpg" if place % 10 in (1, 2, 3) else None,
        known=KNOWN,
    )
    return replace(frame, **changes)  # type: ignore[arg-type]


def sheet(*sitters: tuple[SheetFrame, ...], title: str = "monday") -> Sheet:
    held = tuple(
        SheetSitter(str(number), f"2026-09-14T10:{number:02}:00", frames)
        for number, frames in enumerate(sitters, 1)
    )
    return Sheet(title, held, sum(map(len, sitters)))


def usual(frames: int = 24, sitters: int = 2) -> Sheet:
    return sheet(
        *(
            tuple(sheet_frame(100 * each + number) for number in range(frames // sitters))
            for each in range(1, sitters + 1)
        )
    )


def jpegs(shown: Sheet) -> dict[Key, bytes]:
    """A small JPEG for each frame, each of another grey."""
    found = {}
    for place, frame in enumerate(shown.frames):
        out = io.BytesIO()
        Image.new("RGB", (20, 30), (place % 256,) * 3).save(out, "JPEG")
        found[key_of(frame.photo)] = out.getvalue()
    return found
