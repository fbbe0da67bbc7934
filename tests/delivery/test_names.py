"""Names of delivered files: whatever is put into them, they stay inside, collide with nothing, open."""

from __future__ import annotations

from pathlib import PurePosixPath

import pytest
from hypothesis import given
from hypothesis import strategies as some

from eyeline.delivery.names import FIELDS, LONGEST_BYTES, file_name, mistakes, told_apart
from eyeline.delivery.specification import Kind

PLAIN = dict.fromkeys(FIELDS, "x") | {"sitter": "Mona Vale", "line": "corporate", "size": "800x1000"}

HOSTILE = [
    "../../etc/passwd",
    "/etc/passwd",
    "..",
    ".",
    "",
    "   ",
    "a\0b",
    "a\nb",
    "a/b\\c",
    "C:\\Windows",
    "con",
    "LPT1.txt",
    "x" * 400,
    "é" * 200,
    "\udcff\udcfe",
    "-rf",
    "~root",
    "$(rm -rf)",
    ".hidden",
    "trailing. ",
    "{frame}",
    "\u202egpj.exe",
    "a\u0301",
    "名前",
]


def test_a_template_is_filled_and_gets_the_ending_of_its_kind() -> None:
    assert file_name("{sitter}_{line}_{size}", PLAIN, Kind.JPEG) == PurePosixPath(
        "Mona Vale_corporate_800x1000.jpg"
    )
    assert file_name("{sitter}/{line}.jpeg", PLAIN, Kind.JPEG) == PurePosixPath("Mona Vale/corporate.jpeg")
    assert file_name("{line}.v2", PLAIN, Kind.PNG).name == "corporate.v2.png"


@pytest.mark.parametrize("value", HOSTILE)
@pytest.mark.parametrize("template", ["{sitter}", "{sitter}/{line}", "a{sitter}.jpg", "{sitter}_{frame}.jpg"])
def test_a_hostile_value_leads_nowhere(template: str, value: str) -> None:
    sound(file_name(template, PLAIN | {"sitter": value}, Kind.JPEG), template)


@given(some.text(max_size=300), some.sampled_from(["{sitter}", "{folder}/{sitter}", "{sitter}.jpg"]))
def test_no_value_leads_anywhere(value: str, template: str) -> None:
    sound(file_name(template, PLAIN | {"sitter": value, "folder": value}, Kind.JPEG), template)


def sound(name: PurePosixPath, template: str) -> None:
    assert not name.is_absolute()
    assert len(name.parts) == template.count("/") + 1
    assert name.suffix.lower() == ".jpg"
    for part in name.parts:
        assert part not in ("", ".", "..")
        assert not part.startswith(".") and not part.endswith((" ", "."))
        assert len(part.encode("utf-8")) <= LONGEST_BYTES + len(".jpg")
        assert part.isprintable() and not set(part) & set('/\\:*?"<>|')
        assert part.split(".")[0].casefold() not in {"con", "nul", "aux", "prn", "com1", "lpt1"}


@pytest.mark.parametrize(
    "template",
    [
        "../{frame}",
        "/tmp/{frame}",
        "a//b",
        "{frame",
        "{nobody}",
        "{frame.__class__}",
        "{0}",
        "a\\b",
        "./x",
        "x.png",
        "a\tb",
        "a/b/c/d/e/f/g/h/i",
    ],
)
def test_a_template_that_could_lead_elsewhere_is_a_mistake(template: str) -> None:
    assert mistakes(template, Kind.JPEG)


@pytest.mark.parametrize(
    "template", ["{sitter}_{line}_{format}.jpg", "{folder}/{frame}", "finals {number}.jpeg"]
)
def test_a_sound_template_is_none(template: str) -> None:
    assert mistakes(template, Kind.JPEG) == []


def test_names_that_collide_on_any_file_system_are_told_apart_by_frame_then_number() -> None:
    names = [PurePosixPath(name) for name in ("a.jpg", "A.jpg", "b.jpg", "caf\u00e9.jpg", "cafe\u0301.jpg")]
    frames = ["NL1_1", "NL1_1", "NL1_2", "NL1_3", "NL1_4"]
    told = [str(name) for name in told_apart(names, frames)]
    assert told == ["a_NL1_1.jpg", "A_NL1_1-2.jpg", "b.jpg", "caf\u00e9_NL1_3.jpg", "cafe\u0301_NL1_4.jpg"]


@given(some.lists(some.sampled_from(["a.jpg", "A.jpg", "a_x.jpg", "a_x-2.jpg", "b/a.jpg"]), max_size=8))
def test_told_apart_names_never_collide(names: list[str]) -> None:
    told = told_apart([PurePosixPath(name) for name in names], ["x"] * len(names))
    assert len({str(name).casefold() for name in told}) == len(names)


def test_a_template_with_a_sign_that_clients_systems_forbid_is_a_mistake() -> None:
    """Microsoft, "Naming Files, Paths, and Namespaces": < > : " / \\ | ? * are reserved."""
    assert mistakes("{line}: {frame}?", Kind.JPEG) == [": ? can stand in no name on many clients' systems"]
