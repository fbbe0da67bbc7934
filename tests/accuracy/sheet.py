"""A picture sheet: landmarks, crops and measures drawn over each photo that a ledger knows.

`python -m tests.accuracy.sheet FOLDER OUT.jpg [--config FILE] [--columns N] [--only NAME...]`
draws every judged photo under FOLDER, so that a person can check a hundred in a few minutes. Cyan:
pupils and look; yellow: head box, crown and chin; green: the crop that scores best; white: calm rectangles
for text. The eyes are shown once more, enlarged from the full-size file.
"""

from __future__ import annotations

import argparse
from math import cos, hypot, radians, sin
from pathlib import Path

from PIL import Image, ImageDraw, ImageOps

from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Photo
from eyeline.settings.configuration import load_configuration
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle

CELL_PX = 360
TEXT_PX = 84
EYES_PX = 132
"""Width of the enlarged eyes in the corner of a cell."""

EYES_WIDE, EYES_HIGH = 2.0, 1.2
"""What they show, in eye distances."""

TEXT_LETTERS = 38
"""As many fit beside the eyes."""

TEXT = (230, 230, 230)
CYAN, YELLOW, GREEN, WHITE = (0, 230, 255), (255, 220, 0), (60, 255, 60), (255, 255, 255)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--config", type=Path)
    parser.add_argument("--columns", type=int, default=6)
    parser.add_argument("--only", nargs="*", default=[], metavar="NAME")
    arguments = parser.parse_args()
    with Ledger.reader(load_configuration(arguments.config).ledger) as ledger:
        found = [
            (photo, ledger.decisions.latest(photo.frame.path))
            for photo in ledger.photos.under(arguments.folder.resolve())
        ]
    cells = [
        _cell(photo, decision)
        for photo, decision in found
        if decision is not None and (not arguments.only or photo.frame.path.name in arguments.only)
    ]
    if not cells:
        raise SystemExit(f"no judged photo under {arguments.folder}: run eyeline run on it first")
    rows = -(-len(cells) // arguments.columns)
    sheet = Image.new("RGB", (arguments.columns * CELL_PX, rows * (CELL_PX + TEXT_PX)), (24, 24, 24))
    for index, cell in enumerate(cells):
        row, column = divmod(index, arguments.columns)
        sheet.paste(cell, (column * CELL_PX, row * (CELL_PX + TEXT_PX)))
    sheet.save(arguments.out, quality=85)
    print(f"{len(cells)} photos in {arguments.out}")


def _cell(photo: Photo, decision: Decision) -> Image.Image:
    cell = Image.new("RGB", (CELL_PX, CELL_PX + TEXT_PX), (24, 24, 24))
    with Image.open(photo.frame.path) as opened:
        picture = ImageOps.exif_transpose(opened).convert("RGB")
    if photo.points is not None:
        eyes = _eyes(picture, photo.points)
        cell.paste(eyes, (CELL_PX - EYES_PX, CELL_PX + TEXT_PX - eyes.height))
    picture.thumbnail((CELL_PX - 6, CELL_PX - 6))
    if photo.points is not None:
        _draw(picture, photo, photo.points, decision)
    cell.paste(picture, ((CELL_PX - picture.width) // 2, (CELL_PX - picture.height) // 2))
    draw = ImageDraw.Draw(cell)
    verdict = decision.verdict
    stars = "–" if verdict.stars is None else "*" * verdict.stars
    lines = [
        f"{photo.frame.path.name}  {stars}  {verdict.score:.2f} {verdict.genre}"[:TEXT_LETTERS],
        ", ".join(verdict.keywords),
        f"gaze {_value(photo, 'gaze')} {_value(photo, 'gaze_confidence')}, open {_value(photo, 'eyes_open')}",
        f"yaw {_value(photo, 'head_yaw_deg', 0)}, pitch {_value(photo, 'head_pitch_deg', 0)}, "
        f"roll {_value(photo, 'head_roll_deg', 0)}",
        f"blur {_value(photo, 'eye_blur_px', 1)} px, light {_value(photo, 'light_ratio_stops', 1)}",
        f"above {_value(photo, 'headroom')}, below {_value(photo, 'chin_room')}, "
        f"copy {_value(photo, 'copy_space')}",
    ]
    for number, line in enumerate(lines):
        draw.text((4, CELL_PX + 1 + 14 * number), line[:TEXT_LETTERS], TEXT)
    return cell


def _eyes(picture: Image.Image, points: Points) -> Image.Image:
    """The eyes with their pupils, enlarged from the upright full-size `picture`."""
    (left, y0), (right, y1) = points.pupil_left, points.pupil_right
    apart = hypot((right - left) * picture.width, (y1 - y0) * picture.height)
    x, y = points.eye_x * picture.width, points.eye_y * picture.height
    wide, high = EYES_WIDE * apart / 2, EYES_HIGH * apart / 2
    size = (EYES_PX, round(EYES_PX * EYES_HIGH / EYES_WIDE))
    eyes = picture.resize(
        size, Image.Resampling.BICUBIC, box=_within(picture, x - wide, y - high, x + wide, y + high)
    )
    draw = ImageDraw.Draw(eyes)
    for pupil in (points.pupil_left, points.pupil_right):
        across = (pupil[0] * picture.width - x + wide) / (2 * wide) * size[0]
        down = (pupil[1] * picture.height - y + high) / (2 * high) * size[1]
        draw.line((across - 3, down, across + 3, down), fill=CYAN)
        draw.line((across, down - 3, across, down + 3), fill=CYAN)
    return eyes


def _within(picture: Image.Image, *box: float) -> tuple[float, float, float, float]:
    left, top, right, bottom = box
    return max(0.0, left), max(0.0, top), min(float(picture.width), right), min(float(picture.height), bottom)


def _value(photo: Photo, name: str, digits: int = 2) -> str:
    value = next((each.value for each in photo.measurements if each.name == name), None)
    return "–" if value is None else f"{value:.{digits}f}" if isinstance(value, float) else str(value)


def _draw(picture: Image.Image, photo: Photo, points: Points, decision: Decision) -> None:
    draw = ImageDraw.Draw(picture)
    width, height = picture.size

    def box(area: Rectangle, colour: tuple[int, int, int]) -> None:
        draw.rectangle(
            (area.left * width, area.top * height, area.right * width - 1, area.bottom * height - 1),
            outline=colour,
        )

    for calm in points.calm:
        box(calm, WHITE)
    best = max(decision.verdict.crops, key=lambda crop: crop.score, default=None)
    if best is not None:
        box(best.area, GREEN)
    left, right = points.head_left * width, points.head_right * width
    top = (points.crown_y if points.crown_y is not None else points.eye_y) * height
    draw.rectangle((left, top, right, points.chin[1] * height), outline=YELLOW)
    for pupil in (points.pupil_left, points.pupil_right):
        x, y = pupil[0] * width, pupil[1] * height
        draw.ellipse((x - 2, y - 2, x + 2, y + 2), outline=CYAN)
    values = {each.name: each.value for each in photo.measurements}
    yaw, pitch = values.get("gaze_yaw_deg"), values.get("gaze_pitch_deg")
    if isinstance(yaw, float) and isinstance(pitch, float):
        x, y = points.eye_x * width, points.eye_y * height
        reach = 3 * abs(points.pupil_right[0] - points.pupil_left[0]) * width
        end = (x + reach * sin(radians(yaw)) * cos(radians(pitch)), y - reach * sin(radians(pitch)))
        draw.line((x, y, *end), fill=CYAN, width=2)


if __name__ == "__main__":
    main()
