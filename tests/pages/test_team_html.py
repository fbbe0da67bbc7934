"""The team's sheet: every crop with the eyes on one line, one fault a line, nothing fetched, all escaped."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import numpy as np
import pytest
import simplejpeg
from PIL import Image

from eyeline.pages.pictures import key_of
from eyeline.pages.team_html import LONGEST_PX, cut, team_html
from eyeline.run.team import FolderTeam
from eyeline.sitting.team import Member, Team
from eyeline.sitting.team_crop import Cropped, HeadPlace
from eyeline.terms.rectangle import Rectangle
from tests.pages.invented import photo
from tests.pages.reading import Page

PLACE = HeadPlace(0.4, 0.5, 0.5, 1.0)
CROP = Cropped(Rectangle(0.1, 0.1, 0.6, 0.4), 2400, 2400, PLACE, (0, 0, 0, 0))
LOWER = replace(CROP, place=replace(PLACE, eye_line=0.45))


def team_of_two(*misfits: str) -> FolderTeam:
    members = (Member(0, "NL1_1.jpg", CROP, 1.0, ()), Member(1, "NL1_2.jpg", LOWER, 0.7, misfits))
    found = Team(PLACE, 0, members, 0.85, (2,), None)
    return FolderTeam(found, (("NL1_1.jpg",), ("NL1_2.jpg",), ("NL1_3.jpg",)), (photo(1), photo(2)))


def page(team: FolderTeam) -> Page:
    return Page(team_html(team, "monday", {key_of(each): b"\xff\xd8\xff\xd9" for each in team.photos}))


def test_it_says_who_fits_and_each_fault_on_a_line_of_its_own() -> None:
    found = page(team_of_two("another backdrop", "the head leans"))
    assert not found.wrong and not found.all("script")
    assert "3 sitters: 1 fits as it is, 1 not quite, 1 without a frame that will do." in found.text
    assert [each.text for each in found.all("p") if each.attributes.get("class") == "says"] == [
        "another backdrop",
        "the head leans",
    ]
    assert "No frame will do of NL1_3.jpg" in found.text
    assert [each.attributes["alt"] for each in found.all("img")] == ["Frame 1, cropped", "Frame 2, cropped"]


def test_faults_are_text_whatever_they_hold() -> None:
    found = page(team_of_two("<script>alert(1)</script>"))
    assert not found.all("script") and "<script>alert(1)</script>" in found.text


def test_the_eyes_of_all_are_on_one_line() -> None:
    team = team_of_two()
    found = page(team)
    (line,) = re.findall(r"--a: ([\d.]+)", found.all("section")[0].attributes["style"])
    for member, each in zip(team.team.members, found.all("li"), strict=True):
        height, top = (
            float(re.findall(rf"--{name}: ([\d.]+)", each.attributes["style"])[0]) for name in "ht"
        )
        assert top + member.crop.place.eye_line * height == pytest.approx(float(line), abs=0.02)


def test_a_crop_is_the_part_of_the_picture_that_it_names() -> None:
    rgb = np.zeros((1500, 1000, 3), np.uint8)
    rgb[150:750, 100:700] = 200
    shown = photo(1)
    jpeg = simplejpeg.encode_jpeg(rgb, 95, "RGB")
    with Image.open(io.BytesIO(cut(shown, jpeg, {key_of(shown): CROP.area}))) as image:
        assert image.size == (LONGEST_PX, LONGEST_PX)
        assert np.asarray(image)[4:-4, 4:-4].min() > 190


def test_nobody_is_no_error() -> None:
    empty = FolderTeam(Team(PLACE, 0, (), None, (), None), (), ())
    assert "0 sitters" in Page(team_html(empty, "monday", {})).text
