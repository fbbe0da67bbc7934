"""The sheet as HTML: self-contained, escaped, with words for whoever does not see it."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from itertools import pairwise

import pytest
from PIL import Image

from eyeline.pages.sheet import Sheet, SheetSitter
from eyeline.pages.sheet_html import sheet_html
from eyeline.pages.sheet_look import Look
from eyeline.run.brief import FolderBrief, SitterBrief
from eyeline.sitting.brief import BriefLine, LineReport
from tests.pages.invented import jpegs, sheet, sheet_frame, usual
from tests.pages.reading import Page

PROOF = Look(client=True)


def page(shown: Sheet, look: Look | None = None) -> Page:
    return Page(sheet_html(shown, look or Look(), jpegs(shown)))


@pytest.mark.parametrize("look", [Look(), Look(geometry=True), PROOF, Look(client=True, size="large")])
def test_it_is_sound_and_fetches_nothing(look: Look) -> None:
    shown = usual()
    content = sheet_html(shown, look, jpegs(shown))
    found = Page(content)
    assert not found.wrong
    assert not found.all("script") and not found.all("link") and not found.all("iframe")
    assert all(each.attributes["src"].startswith("data:image/jpeg;base64,") for each in found.all("img"))
    apart_from_data = re.sub(rb"base64,[A-Za-z0-9+/=]*", b"", content)
    assert not re.findall(rb"https?:|//[a-z]|@import", apart_from_data)
    assert set(re.findall(r"url\(([a-z]+:[a-z]+/)", found.style)) == {"data:font/"}
    assert not [name for each in found.elements for name in each.attributes if name.startswith("on")]
    policy = [each for each in found.all("meta") if "http-equiv" in each.attributes]
    assert "default-src 'none'" in policy[0].attributes["content"]


def test_every_frame_is_there_with_its_number_and_words_for_the_picture() -> None:
    shown = usual()
    found = page(shown)
    assert len(found.pictures()) == len(shown.frames)
    said = [each.attributes["alt"] for each in found.all("img")]
    assert said[0] == "Frame 100, 1 star, corporate headshot"
    assert len(set(said)) == len(shown.frames)
    assert found.text.index("24 frames of 2 sitters.") < found.text.index("100")
    assert [each.name for each in found.elements if each.name in ("h1", "h2")] == ["h1", "h2", "h2"]


HOSTILE = "</style><script>alert(1)</script>\"'><img src=x onerror=alert(1)>&amp;"


def test_names_and_keywords_are_text_whatever_they_hold() -> None:
    said: dict[str, object] = dict.fromkeys(("number", "binds", "genre"), HOSTILE)
    frame = sheet_frame(1, **said, words=(HOSTILE,), own_words=(HOSTILE,))
    plain = page(sheet((sheet_frame(1),)))
    for look in (Look(), PROOF):
        found = page(sheet((frame,), title=HOSTILE), look)
        assert not found.wrong and not found.all("script")
        assert len(found.all("img")) == 1
        assert HOSTILE in found.text
    assert plain.style.count("<") == 0


def test_undecodable_names_do_not_end_it() -> None:
    found = page(sheet((sheet_frame(1, number="a\udcffb"),)))
    assert not found.wrong


def tops(found: Page) -> list[dict[str, float]]:
    styles = [each.attributes["style"] for each in found.all("li")]
    return [
        {name: float(value) for name, value in re.findall(r"--(\w): ([\d.]+)", style)} for style in styles
    ]


def test_all_eyes_of_a_sitter_are_on_one_line_as_written() -> None:
    """Where the page says that a picture hangs, its eyes lie on the line that the page draws."""
    shown = usual(12, 1)
    found = page(shown)
    (style,) = (each.attributes["style"] for each in found.all("section"))
    line = float(re.findall(r"--a: ([\d.]+)", style)[0])
    for frame, place in zip(shown.frames, tops(found), strict=True):
        assert frame.photo.points is not None
        assert place["t"] + frame.photo.points.eye_y * place["h"] == pytest.approx(line, abs=0.02)


def test_a_bracket_holds_neighbours_of_one_series() -> None:
    found = page(sheet(tuple(sheet_frame(number) for number in range(100, 106))))
    classes = [each.attributes["class"].split() for each in found.all("li")]
    assert classes[1:4] == [["series", "first"], ["series"], ["series", "last"]]
    assert all("series" not in each for each in (classes[0], *classes[4:]))


def test_stars_are_the_length_of_a_rule_and_their_number() -> None:
    found = page(sheet((sheet_frame(1, stars=3), sheet_frame(2, stars=5), sheet_frame(3, stars=None))))
    lengths = [each.attributes["style"] for each in found.all("div") if "style" in each.attributes]
    assert lengths == ["--q: 75%", "--q: 100%", "--q: 0%"]
    assert "stars: 3" in found.text and "stars: –" in found.text


def test_what_the_photographer_set_is_marked_as_theirs() -> None:
    frame = sheet_frame(1, stars=2, stars_are_own=True, own_words=("hero",), own_crops=("4:5",))
    own = [
        each for each in page(sheet((frame,))).elements if "own" in each.attributes.get("class", "").split()
    ]
    assert [each.name for each in own] == ["path", "span", "div", "span"]


def test_lines_over_pictures_come_when_they_are_asked_for() -> None:
    shown = sheet((sheet_frame(1, crops=()),))
    assert not page(shown).all("path")
    found = page(shown, Look(geometry=True))
    assert found.all("path")
    assert "headroom 20\N{NO-BREAK SPACE}%" in found.text
    assert all(each.attributes["aria-hidden"] == "true" for each in found.all("svg"))


def test_a_photo_without_a_picture_says_so() -> None:
    shown = sheet((sheet_frame(1),))
    found = Page(sheet_html(shown, Look(), {}))
    assert "no picture" in found.text and not found.wrong


def test_frames_without_a_face_stand_last_and_are_nobodys() -> None:
    shown = sheet((sheet_frame(1),))
    slate = SheetSitter("", None, (sheet_frame(2, stars=None, words=(), binds="", crops=()),))
    found = page(replace(shown, sitters=(*shown.sitters, slate)))
    assert not found.wrong and "No face" in found.text and "of 1 sitter." in found.text


LINE = BriefLine("tight close crop", 1)


def test_what_the_brief_got_stands_on_top_by_sitter_where_it_counts_so() -> None:
    got = LineReport(BriefLine("corporate headshot", 2), ("NL1_101.jpg", "NL1_102.jpg"))
    lacks = LineReport(LINE, (), "NL1_103.jpg", ("the head is small",))
    shown = usual(12, 1)
    whole = page(replace(shown, brief=FolderBrief(12, None, (got, lacks))))
    assert "2 of 2" in whole.text and "101, 102" in whole.text
    assert "missing, nearest 103: the head is small" in whole.text
    sitters = (SitterBrief("1", "1 Ada", None, 12, 0, (got, lacks)),)
    by_sitter = page(replace(shown, brief=FolderBrief(12, None, (), sitters)))
    assert [each.text for each in by_sitter.all("th")] == ["corporate headshot", "tight close crop", "1 Ada"]


JUDGEMENT = (
    "star",
    "check gaze",
    "headshot",
    "closed",
    "crop",
    "series",
    "4:5",
    "headroom",
    "own",
    "eyeline",
)


def test_a_proof_tells_nothing_of_our_judgement() -> None:
    """Not in text, alternative text, attributes or order; numbers and pictures are all there."""
    shown = usual()
    content = sheet_html(shown, PROOF, jpegs(shown))
    found = Page(content)
    body = content.split(b"</style>", 1)[1].decode()
    without_pictures = re.sub(r"base64,[^\"]*", "", body)
    assert not [word for word in JUDGEMENT if word in without_pictures.casefold()]
    assert [each.attributes["alt"] for each in found.all("img")] == [
        f"Frame {each.number}" for each in shown.frames
    ]
    assert not found.all("path") and not found.all("svg") and "monday" not in found.style
    numbers = [int(each.number) for each in shown.frames]
    assert all(one < other for one, other in pairwise(numbers))


def test_a_proof_is_the_same_whatever_was_judged() -> None:
    shown = usual(12, 1)
    (sitter,) = shown.sitters
    other = tuple(
        replace(
            frame, stars=1, words=("blink",), binds="soft", crops=(), series=None, genre="other", known={}
        )
        for frame in sitter.frames
    )
    judged_otherwise = replace(shown, sitters=(replace(sitter, frames=other),))
    assert sheet_html(shown, PROOF, jpegs(shown)) == sheet_html(judged_otherwise, PROOF, jpegs(shown))


def contrast(one: str, other: str) -> float:
    """Contrast of two greys or colours as WCAG 2.2 defines it."""

    def luminance(colour: str) -> float:
        digits = colour.lstrip("#")
        digits = "".join(each * 2 for each in digits) if len(digits) == 3 else digits
        channels = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_all_words_have_contrast_by_day_and_at_night() -> None:
    """4.5 : 1 for text of any size (WCAG 2.2, success criterion 1.4.3)."""
    style = page(usual(4, 1)).style
    day, night = (
        dict(re.findall(r"--(\w+): (#[0-9a-f]{3,6})", block))
        for block in re.findall(r":root \{([^}]*--paper[^}]*)\}", style)[:2]
    )
    for colours in (day, day | night):
        for name in ("ink", "soft", "pencil"):
            assert contrast(colours[name], colours["paper"]) >= 4.5, name


def test_pictures_are_embedded_as_they_are() -> None:
    shown = usual(6, 1)
    assert page(shown).pictures() == list(jpegs(shown).values())
    assert all(Image.open(io.BytesIO(each)).size == (20, 30) for each in page(shown).pictures())
