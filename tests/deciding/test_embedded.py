"""`write = "embedded"` from the decider to undo: the JPEG comes back byte for byte, whatever was set."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from eyeline.deciding.decide import Decider
from eyeline.exiftool import ExifTool
from eyeline.ledger.records import Outcome
from eyeline.run.undo import Undone, undo
from eyeline.sidecar.naming import Naming
from tests.deciding.decider import open_decider
from tests.run.test_ratings_inside import edit, identified, jpeg


def embedding(decider: Decider) -> Decider:
    return replace(decider, configuration=replace(decider.configuration, write="embedded"))


def undone(decider: Decider, path: Path, naming: Naming, dry_run: bool = False) -> list[Undone]:
    return list(undo(decider.ledger, decider.log, decider.exiftool, [path], naming, dry_run))


@pytest.mark.parametrize("naming", [Naming.EMBED, Naming.REPLACE], ids=["set still", "set otherwise since"])
@pytest.mark.parametrize("theirs", [(), ("-XMP-dc:Title=theirs",)], ids=["no packet", "a packet"])
def test_undo_gives_the_jpeg_back_byte_for_byte(
    tmp_path: Path, exiftool: ExifTool, naming: Naming, theirs: tuple[str, ...]
) -> None:
    path = jpeg(tmp_path / "shoot" / "IMG_1.jpg")
    if theirs:
        edit(path, *theirs)
    before = path.read_bytes()
    with open_decider(tmp_path, exiftool) as decider:
        list(embedding(decider).decide([identified(decider, path)]))
        written = path.read_bytes()
        assert written != before
        assert [each.exact for each in undone(decider, path, naming, dry_run=True)] == [True]
        assert path.read_bytes() == written
        (one,) = undone(decider, path, naming)
        assert one.sidecar == path
        assert one.exact
        assert "file goes" not in one.sentence
        assert path.read_bytes() == before
        assert undone(decider, path, naming) == []


def test_what_another_program_wrote_since_stays(tmp_path: Path, exiftool: ExifTool) -> None:
    path = jpeg(tmp_path / "shoot" / "IMG_1.jpg")
    with open_decider(tmp_path, exiftool) as decider:
        list(embedding(decider).decide([identified(decider, path)]))
        edit(path, "-XMP-dc:Title=theirs")
        (one,) = undone(decider, path, Naming.EMBED)
    assert not one.exact
    assert not one.refused
    tags = exiftool.read(path, ("XMP:all",))
    assert tags.pop("XMP-dc:Title") == "theirs"
    assert not [name for name in tags if not name.startswith("XMP-x:")]


def test_the_daemon_does_not_do_again_what_was_undone(tmp_path: Path, exiftool: ExifTool) -> None:
    """Undo changes the JPEG, so the daemon takes it in anew; by its image data it is the same photo."""
    path = jpeg(tmp_path / "shoot" / "IMG_1.jpg")
    with open_decider(tmp_path, exiftool) as decider:
        list(embedding(decider).decide([identified(decider, path)]))
        undone(decider, path, Naming.EMBED)
        before = path.read_bytes()
        again = identified(decider, path)
        assert list(embedding(decider).decide([again], only_new=True)) == []
        assert path.read_bytes() == before


def test_its_own_write_brings_the_photo_round_once_and_changes_nothing(
    tmp_path: Path, exiftool: ExifTool
) -> None:
    path = jpeg(tmp_path / "shoot" / "IMG_1.jpg")
    with open_decider(tmp_path, exiftool) as decider:
        list(embedding(decider).decide([identified(decider, path)]))
        written = path.read_bytes()
        again = identified(decider, path)
        assert [each.outcome for _, each in embedding(decider).decide([again], only_new=True)] == [
            Outcome.UNCHANGED
        ]
        assert list(embedding(decider).decide([again], only_new=True)) == []
    assert path.read_bytes() == written
