"""What was undone stays undone in its folder; the same picture elsewhere is a photo like any other."""

from __future__ import annotations

import shutil
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.exiftool import ExifTool
from eyeline.ledger import Outcome
from tests.deciding.decider import measured, open_decider, undone


def daemon(decider: Decider, *paths: Path) -> dict[str, Outcome]:
    """What the daemon decides about `paths`, which it has just measured."""
    photos = [measured(decider, path, digest="one picture") for path in paths]
    return {photo.frame.path.name: made.outcome for photo, made in decider.decide(photos, only_new=True)}


def run(decider: Decider, *paths: Path) -> dict[str, Outcome]:
    """What `eyeline run` decides about them."""
    photos = [measured(decider, path, digest="one picture") for path in paths]
    return {photo.frame.path.name: made.outcome for photo, made in decider.decide(photos)}


def test_judged_undone_copied_renamed_by_daemon_and_run(exiftool: ExifTool, tmp_path: Path) -> None:
    first = tmp_path / "monday" / "IMG_1.jpg"
    with open_decider(tmp_path, exiftool) as decider:
        assert daemon(decider, first) == {"IMG_1.jpg": Outcome.WRITTEN}
        undone(decider, first)
        assert daemon(decider, first) == {}, "undone"

        copied = tmp_path / "selection" / "IMG_1.jpg"
        copied.parent.mkdir()
        shutil.copy(first, copied)
        assert daemon(decider, copied) == {"IMG_1.jpg": Outcome.WRITTEN}, "not undone there"
        assert copied.with_suffix(".xmp").exists()
        assert daemon(decider, first) == {}, "and the first still is"

        renamed = first.rename(first.with_name("IMG_1_final.jpg"))
        decider.ledger.files.gone(first)
        assert daemon(decider, renamed) == {}, "the same picture in the same folder"
        assert not renamed.with_suffix(".xmp").exists()

        renamed_copy = copied.rename(copied.with_name("IMG_1_final.jpg"))
        decider.ledger.files.gone(copied)
        assert daemon(decider, renamed_copy) == {"IMG_1_final.jpg": Outcome.WRITTEN}

        assert run(decider, renamed) == {"IMG_1_final.jpg": Outcome.WRITTEN}, "asked for by name"
        assert daemon(decider, renamed) == {"IMG_1_final.jpg": Outcome.UNCHANGED}
        undone(decider, renamed)
        undone(decider, renamed)
        assert daemon(decider, renamed) == {}
        assert renamed_copy.with_suffix(".xmp").exists()


def test_each_of_two_copies_has_a_decision_of_its_own(exiftool: ExifTool, tmp_path: Path) -> None:
    one, other = (tmp_path / folder / "IMG_1.jpg" for folder in ("monday", "selection"))
    with open_decider(tmp_path, exiftool) as decider:
        for path in (one, other):
            daemon(decider, path)
        for path in (one, other):
            found = decider.ledger.decisions.latest(path)
            assert found is not None and found.path == path
