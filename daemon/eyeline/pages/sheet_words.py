"""What a sheet says: its sentence, how to read it, what the brief got, what stands below a frame."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import PurePath

from eyeline.pages.sheet import Sheet, SheetFrame, SheetSitter
from eyeline.sitting.brief import LineReport

LEGEND = (
    "Every frame hangs from the eyes, on one line. The rule under its number is as long as its stars, a "
    "quarter of the picture each. Corners mark the first crop, a bracket one series. Blue is your own hand. "
    "These are suggestions: the last word is yours."
)
LEGEND_GEOMETRY = (
    "Lines: thirds and the calm area beside the sitter dashed; eyes, crown and chin; headroom upright; the "
    "look as an arrow."
)

SHOWN_AT_A_LINE = 6
"""Numbers that are named for a line of the brief: enough to find them, and the rest is below."""

WORDS_OF_NUMBERS = ("no", "one", "two", "three", "four", "five")


@dataclass(frozen=True, slots=True)
class BriefCell:
    """What a line of the brief got: `says`, and whether that is a lack."""

    says: str
    is_missing: bool


def sentence(sheet: Sheet) -> tuple[str, str]:
    """What came out, in two lines: how many frames of how many sitters, and how many stars they have."""
    frames = sheet.frames
    many = _counted(len(frames), "frame")
    if len(frames) < sheet.in_all:
        many = f"{len(frames)} of {_counted(sheet.in_all, 'frame')}"
    sitters = sum(1 for sitter in sheet.sitters if sitter.label)
    of = f" of {_counted(sitters, 'sitter')}" if sitters else ""
    asked = f": {sheet.asked}" if sheet.asked else ""
    return f"{many}{of}{asked}.", _stars_counted(frames)


def _stars_counted(frames: tuple[SheetFrame, ...]) -> str:
    counts = Counter(frame.stars for frame in frames)
    said = [
        f"{counts[number]} with {WORDS_OF_NUMBERS[number]} star{'' if number == 1 else 's'}"
        for number in (5, 4, 3, 2, 1)
        if counts[number]
    ]
    said = [said[0], *(each.removesuffix("s").removesuffix(" star") for each in said[1:])] if said else []
    if counts[None]:
        said.append(f"{counts[None]} without")
    return ", ".join(said) + "." if said else ""


def day(sheet: Sheet) -> str:
    """The day or days on which it was taken, "" where no file says so."""
    days = sorted({sitter.since[:10] for sitter in sheet.sitters if sitter.since})
    shown = [each for text in (days[:1] + days[-1:] if len(days) > 1 else days) if (each := _date(text))]
    return " to ".join(shown)


def _date(text: str) -> str:
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return ""
    return f"{found:%A} {found.day} {found:%B} {found.year}"


def since(sitter: SheetSitter) -> str:
    """The time of day of a sitter's first frame, "" where no file says so."""
    return sitter.since[11:16] if sitter.since and len(sitter.since) >= 16 else ""


def frames_counted(sitter: SheetSitter) -> str:
    """How many frames a sitter has here."""
    return _counted(len(sitter.frames), "frame")


def alternative(frame: SheetFrame) -> str:
    """What the picture shows, for somebody who does not see it."""
    stars = "no stars" if frame.stars is None else _counted(frame.stars, "star")
    return ", ".join(filter(None, (f"Frame {frame.number}", stars, frame.genre)))


def crops(frame: SheetFrame) -> str:
    """The formats in which it can be cropped."""
    return ", ".join(crop.format_name for crop in frame.crops)


def framing(frame: SheetFrame) -> str:
    """The figures that the geometry draws."""
    said = []
    for name, words in (("headroom", "headroom"), ("eye_line", "eyes"), ("head_height", "head")):
        taken = frame.known.get(name)
        if taken is not None and isinstance(taken.value, float):
            said.append(f"{words} {taken.value:.0%}")
    return ", ".join(said).replace("%", "\N{NO-BREAK SPACE}%")


def brief_lines(sheet: Sheet) -> list[tuple[str, str, BriefCell]]:
    """Each line of the brief that counts for the whole job: name, how many of how many, what it got."""
    if sheet.brief is None:
        return []
    named = _names(sheet)
    return [
        (
            line.line.name,
            f"{min(len(line.there), line.line.wanted)} of {line.line.wanted}",
            _cell(line, named, with_lacks=True),
        )
        for line in sheet.brief.lines
    ]


def brief_by_sitter(sheet: Sheet) -> tuple[list[str], list[tuple[str, list[BriefCell]]]]:
    """The lines that count for each sitter, as the head of a table, and a row for each of them."""
    if sheet.brief is None or not sheet.brief.sitters:
        return [], []
    named = _names(sheet)
    head = [line.line.name for line in sheet.brief.sitters[0].lines]
    return head, [(each.called, [_cell(line, named) for line in each.lines]) for each in sheet.brief.sitters]


def _names(sheet: Sheet) -> Mapping[str, str]:
    found = {}
    for frame in sheet.frames:
        path = frame.photo.frame.path
        inside = sheet.home is not None and path.is_relative_to(sheet.home)
        found[str(path.relative_to(sheet.home)) if inside and sheet.home else path.name] = frame.number
    return found


def _cell(line: LineReport, named: Mapping[str, str], with_lacks: bool = False) -> BriefCell:
    def number(name: str) -> str:
        return named.get(name, PurePath(name).stem)

    if line.there:
        more = len(line.there) - SHOWN_AT_A_LINE
        said = ", ".join(map(number, line.there[:SHOWN_AT_A_LINE])) + (
            f" and {more} more" if more > 0 else ""
        )
        return BriefCell(said, False)
    if line.nearest is None:
        return BriefCell("missing", True)
    lacks = f": {'; '.join(line.lacks)}" if with_lacks and line.lacks else ""
    lacks = lacks.replace(" %", "\N{NO-BREAK SPACE}%")
    return BriefCell(f"missing, nearest {number(line.nearest)}{lacks}", True)


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
