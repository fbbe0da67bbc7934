"""The documentation names everything that there is, so it cannot rot unseen."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from eyeline.cli.parsers import VERBS

CHECKOUT = Path(__file__).resolve().parents[1]
README = (CHECKOUT / "README.md").read_text()
GUIDE = (CHECKOUT / "DEVELOPERS.md").read_text()


@pytest.mark.parametrize("verb", VERBS)
def test_every_command_is_in_the_readme(verb: str) -> None:
    assert f"`eyeline {verb}" in README


def test_every_dependency_has_its_reason_in_the_guide() -> None:
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())["project"]
    for requirement in project["dependencies"]:
        name = requirement.split("=")[0].split(">")[0].split("[")[0].strip()
        known_as = {"opencv-python-headless": "opencv (headless)"}.get(name, name)
        assert f"| {known_as}" in GUIDE, name


def test_every_room_is_on_the_map() -> None:
    rooms = {path.parent.name for path in (CHECKOUT / "daemon" / "eyeline").glob("*/__init__.py")}
    for room in rooms:
        assert room in GUIDE, room


@pytest.mark.parametrize("caution", ["minors", "onsent", "biometric", "not final judgement"])
def test_the_readme_says_the_cautions(caution: str) -> None:
    assert caution in README
