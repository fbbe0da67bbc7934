"""Photos and sidecars of any name that a file system lets through: found, written, taken back."""

from __future__ import annotations

import os
import unicodedata
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.ledger import Outcome
from tests.deciding.decider import measured, open_decider, undone
from tests.sidecar.examples import edit
from tests.sidecar.readers import by_exiftool

COMPOSED = unicodedata.normalize("NFC", "Zoë Müller 1")
DECOMPOSED = unicodedata.normalize("NFD", "Zoë Müller 1")

NAMES = [
    *("-overwrite_original.jpg", "a\nb.jpg", "a\x1b[2Jb.jpg", " .jpg", "#1.jpg", "%f$@.jpg", "{ready}.JPG"),
    *(
        "\u202egpj.jpg",
        "ﬁ.jpg",
        "İ.jpg",
        "ß.jpg",
        "日本.jpeg",
        os.fsdecode(b"\xff\xfe.jpg"),
        "x" * 240 + ".jpg",
    ),
]
"""Options, line breaks, sequences that steer a terminal, letters whose case folds to others, no UTF-8."""


@pytest.mark.parametrize("name", NAMES)
def test_it_gets_its_sidecar_and_leaves_no_trace(exiftool: ExifTool, tmp_path: Path, name: str) -> None:
    photo = tmp_path / "shoot" / name
    with open_decider(tmp_path, exiftool) as decider:
        ((_, decision),) = decider.decide([measured(decider, photo, digest="one")])
        assert decision.outcome is Outcome.WRITTEN, decision.refused_because
        assert photo.with_suffix(".xmp").exists()
        (one,) = undone(decider, photo.parent)
        assert one.exact
    assert [each.name for each in photo.parent.iterdir()] == [name]


@pytest.mark.parametrize(
    ("photo", "sidecar"),
    [
        (f"{DECOMPOSED}.jpg", f"{COMPOSED}.xmp"),
        (f"{COMPOSED}.jpg", f"{DECOMPOSED}.xmp"),
        ("IMG_1.JPG", "img_1.XMP"),
        (f"{DECOMPOSED}.JPG", f"{COMPOSED.upper()}.JPG.xmp"),
    ],
)
def test_a_sidecar_by_another_form_of_the_name_is_its_own(
    exiftool: ExifTool, tmp_path: Path, photo: str, sidecar: str
) -> None:
    shoot = tmp_path / "shoot"
    shoot.mkdir()
    plain = shoot / "plain.xmp"
    edit(plain, "-XMP-xmp:Rating=5", "-XMP-dc:Subject=client")
    before = plain.rename(shoot / sidecar).read_bytes()
    with open_decider(tmp_path, exiftool) as decider:
        list(decider.decide([measured(decider, shoot / photo, digest="one")]))
        assert sorted(each.name for each in shoot.iterdir()) == sorted((photo, sidecar))
        seen = by_exiftool(shoot / sidecar)
        assert seen.rating == "5"
        assert "client" in seen.keywords and len(seen.keywords) > 1
        (one,) = undone(decider, shoot)
        assert one.exact
    assert (shoot / sidecar).read_bytes() == before
