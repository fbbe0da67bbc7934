"""All that eyeline wrote is gone at once: nothing is written until the photographer says so."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from eyeline.exiftool import ExifTool
from eyeline.ledger import Outcome
from eyeline.run.take_back import in_doubt, let_write_anew
from eyeline.sidecar.naming import Naming
from tests.deciding.decider import measured, open_decider
from tests.run.test_undo import FOREIGN


def test_the_doubt_names_the_command_and_the_command_ends_it(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        path = tmp_path / "shoot" / "IMG_1.jpg"
        photo = measured(decider, path)
        sidecar = path.with_suffix(".xmp")
        list(decider.decide([photo]))
        assert list(in_doubt(decider.ledger, [path.parent], Naming.REPLACE)) == []
        rewritten = FOREIGN.format("<v:p>from a database</v:p>").encode()
        sidecar.write_bytes(rewritten)
        ((_, doubted),) = decider.decide([photo])
        assert doubted.outcome is Outcome.REFUSED
        assert f"eyeline take-back {path}" in (doubted.refused_because or "")
        assert sidecar.read_bytes() == rewritten
        (found,) = in_doubt(decider.ledger, [path.parent], Naming.REPLACE)
        let_write_anew(decider.ledger, found, Naming.REPLACE)
        ((_, written),) = decider.decide([photo])
        assert written.outcome is Outcome.WRITTEN
        assert b"from a database" in sidecar.read_bytes()


def test_a_sidecar_that_was_deleted_is_a_doubt_too(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        path = tmp_path / "shoot" / "IMG_1.jpg"
        photo = measured(decider, path)
        list(decider.decide([photo]))
        path.with_suffix(".xmp").unlink()
        list(decider.decide([photo]))
        assert not path.with_suffix(".xmp").exists()
        (found,) = in_doubt(decider.ledger, [path], Naming.REPLACE)
        let_write_anew(decider.ledger, found, Naming.REPLACE)
        list(decider.decide([photo]))
        assert path.with_suffix(".xmp").exists()


def test_a_setting_says_so_once_and_for_all(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as asking:
        settings = replace(asking.configuration, when_gone="write")
        decider = replace(asking, configuration=settings)
        path = tmp_path / "shoot" / "IMG_1.jpg"
        photo = measured(decider, path)
        list(decider.decide([photo]))
        path.with_suffix(".xmp").write_bytes(FOREIGN.format("<v:p>from a database</v:p>").encode())
        ((_, written),) = decider.decide([photo])
        assert written.outcome is Outcome.WRITTEN
        assert b"from a database" in path.with_suffix(".xmp").read_bytes()
