"""A picture sheet: landmarks, crops and measures drawn over each photo that a ledger knows.

`python -m tests.accuracy.sheet FOLDER OUT.jpg [--config FILE] [--columns N] [--only NAME...]`
draws every judged photo under FOLDER, so that a person can check a hundred in a few minutes. Cyan:
pupils, eye line and look; yellow: head box, crown and chin; green: the crop that scores best; white:
calm rectangles for text.
"""

from __future__ import annotations

import argparse
from math import cos, radians, sin
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont, ImageOps

from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Photo
from eyeline.run.configuration import load_configuration
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle

CELL_PX = 330
TEXT_PX = 66
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
    picture.thumbnail((CELL_PX - 6, CELL_PX - 6))
    if photo.points is not None:
        _draw(picture, photo, photo.points, decision)
    cell.paste(picture, ((CELL_PX - picture.width) // 2, (CELL_PX - picture.height) // 2))
    draw = ImageDraw.Draw(cell)
    font = ImageFont.load_default(12)
    verdict = decision.verdict
    stars = "–" if verdict.stars is None else "*" * verdict.stars
    lines = [
        f"{photo.frame.path.name}  {stars}  {verdict.genre} {verdict.score:.2f}",
        ", ".join(verdict.keywords)[:58],
        _numbers(photo, ("gaze", "gaze_confidence", "eyes_open", "eye_blur_px")),
        _numbers(photo, ("head_yaw_deg", "head_pitch_deg", "headroom", "chin_room", "copy_space")),
    ]
    for number, line in enumerate(lines):
        draw.text((6, CELL_PX + 2 + 16 * number), line, fill=(230, 230, 230), font=font)
    return cell


def _numbers(photo: Photo, names: tuple[str, ...]) -> str:
    values = {each.name: each.value for each in photo.measurements}
    shown = []
    for name in names:
        value = values.get(name)
        text = "–" if value is None else f"{value:.2f}" if isinstance(value, float) else str(value)
        shown.append(f"{name.replace('_deg', '').replace('head_', '')} {text}")
    return "  ".join(shown)


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
