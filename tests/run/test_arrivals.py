"""What the daemon expects: photos of one folder have numbers of one kind."""

from __future__ import annotations

import queue
from dataclasses import replace
from pathlib import Path
from unittest import mock

from eyeline.exiftool import ExifTool
from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.run.arrivals import Arrivals
from tests.deciding.decider import measured, open_decider


def test_photos_of_an_older_edition_beside_a_new_one_are_expected_again(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        old = measured(decider, tmp_path / "shoot" / "IMG_1.jpg")
        decider.ledger.photos.record(replace(old, measures_edition=MEASURES_EDITION - 1))
        elsewhere = measured(decider, tmp_path / "other" / "IMG_2.jpg")
        decider.ledger.photos.record(replace(elsewhere, measures_edition=MEASURES_EDITION - 1))
        new = measured(decider, tmp_path / "shoot" / "IMG_3.jpg")
        arrivals = Arrivals(decider.ledger, mock.Mock(), 0.1, lambda _: True, queue.SimpleQueue())
        arrivals.expect_of_another_edition(new.frame.path.parent)
        assert len(arrivals) == 1
        states = {each.path.name: each.state.value for each in decider.ledger.files.under(tmp_path)}
        assert states == {"IMG_1.jpg": "arrived", "IMG_2.jpg": "measured", "IMG_3.jpg": "measured"}
        arrivals.expect_of_another_edition(new.frame.path.parent)
        assert len(arrivals) == 1, "it is expected once"
