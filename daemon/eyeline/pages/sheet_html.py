"""A sheet as one HTML file that opens anywhere: fonts and pictures inside, no script, nothing fetched."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from eyeline.pages import sheet_words as words
from eyeline.pages.choice import series_ends
from eyeline.pages.overlay import Stroke, corner_marks, geometry
from eyeline.pages.pictures import Key, key_of
from eyeline.pages.sheet import Sheet, SheetFrame, SheetSitter
from eyeline.pages.sheet_look import Look
from eyeline.pages.stave import Stave, stave

HERE = Path(__file__).parent
FONTS = {
    ("Gentium Book Plus", "normal", 400): "GentiumBookPlus-Regular.woff2",
    ("Gentium Book Plus", "italic", 400): "GentiumBookPlus-Italic.woff2",
    ("TeX Gyre Heros", "normal", 400): "texgyreheros-regular.otf",
    ("TeX Gyre Heros", "normal", 700): "texgyreheros-bold.otf",
}
"""File by family, style and weight."""

STARS_A_PICTURE_LONG = 4
"""Stars of which the rule is as long as the picture is wide."""


def sheet_html(sheet: Sheet, look: Look, pictures: Mapping[Key, bytes]) -> bytes:
    """`sheet` as HTML in UTF-8, with the JPEGs in `pictures`."""
    head, by_sitter = words.brief_by_sitter(sheet)
    page = environment().get_template("sheets/proof.html" if look.client else "sheets/sheet.html")
    text = page.render(
        title=sheet.title,
        day=words.day(sheet),
        style=style(),
        unit_px=look.scale.unit_px,
        unit_mm=look.scale.unit_mm,
        size=look.size,
        sentence=words.sentence(sheet),
        legend=words.LEGEND,
        legend_geometry=words.LEGEND_GEOMETRY if look.geometry else "",
        brief_lines=words.brief_lines(sheet),
        brief_head=head,
        brief_by_sitter=by_sitter,
        sitters=[_sitter(each, look, pictures) for each in sheet.sitters],
    )
    return text.encode("utf-8", "replace")


@cache
def environment() -> Environment:
    """Templates with everything escaped."""
    """The templates of files that are opened by themselves, with everything escaped."""
    return Environment(
        autoescape=True,
        loader=FileSystemLoader(HERE / "templates"),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def style() -> str:
    """The style sheet of sheets, with the fonts inside."""
    """What such a file looks like, fonts included: it fetches nothing."""
    static = HERE / "static"
    faces = [
        f'@font-face{{font-family:"{family}";font-style:{style};font-weight:{weight};'
        f"src:url(data:font/{Path(name).suffix[1:]};base64,{_file_base64(static / 'fonts' / name)})}}"
        for (family, style, weight), name in FONTS.items()
    ]
    sheets = [(static / name).read_text("utf-8") for name in ("paper.css", "sheet.css")]
    return "\n".join([*faces, *sheets])


def _file_base64(path: Path) -> str:
    return in_base64(path.read_bytes())


def in_base64(content: bytes) -> str:
    """For an address that holds what it stands for (RFC 2397)."""
    return b64encode(content).decode("ascii")


@dataclass(frozen=True, slots=True)
class _Lines:
    """Strokes as paths of SVG. `own`: set by the photographer."""

    solid: str
    dashed: str
    own: bool = False


def _sitter(sitter: SheetSitter, look: Look, pictures: Mapping[Key, bytes]) -> dict[str, Any]:
    line = stave([frame.hung for frame in sitter.frames])
    return {
        "label": sitter.label,
        "since": words.since(sitter),
        "counted": words.frames_counted(sitter),
        "above": f"{line.above:.2f}",
        "height": f"{line.height:.2f}",
        "frames": [
            _frame(frame, ends, line, look, pictures)
            for frame, ends in zip(sitter.frames, series_ends(sitter.frames), strict=True)
        ],
    }


def _frame(
    frame: SheetFrame, ends: tuple[bool, bool], line: Stave, look: Look, pictures: Mapping[Key, bytes]
) -> dict[str, Any]:
    hung = frame.hung
    picture = pictures.get(key_of(frame.photo))
    found = {
        "number": frame.number,
        "width": f"{hung.width:.2f}",
        "height": f"{hung.height:.2f}",
        "top": f"{line.top(hung):.2f}",
        "picture": None if picture is None else in_base64(picture),
    }
    if look.client:
        return found
    begins, closes = ends
    return found | {
        "alternative": words.alternative(frame),
        "stars": "–" if frame.stars is None else str(frame.stars),
        "length": f"{min(1.0, (frame.stars or 0) / STARS_A_PICTURE_LONG):.0%}",
        "own": frame.stars_are_own or frame.stars == 5,
        "binds": frame.binds,
        "words": ", ".join(frame.words),
        "own_words": ", ".join(frame.own_words),
        "crops": words.crops(frame),
        "framing": words.framing(frame) if look.geometry else "",
        "series": " ".join(["series"] * (not (begins and closes)) + ["first"] * begins + ["last"] * closes),
        "lines": _lines(frame, look),
    }


def _lines(frame: SheetFrame, look: Look) -> list[_Lines]:
    hung, found = frame.hung, []
    if look.geometry and frame.photo.points is not None:
        strokes = geometry(frame.photo.points, frame.known, hung)
        found.append(_Lines(_path(strokes, False), _path(strokes, True)))
    if frame.crops:
        own = frame.crops[0].format_name in frame.own_crops
        found.append(_Lines(_path(corner_marks(frame.crops[0].area, hung), False), "", own))
    return found


def _path(strokes: tuple[Stroke, ...], dashed: bool) -> str:
    return "".join(
        "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in stroke.points)
        for stroke in strokes
        if stroke.dashed is dashed
    )
