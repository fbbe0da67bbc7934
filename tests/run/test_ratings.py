"""Whose rating is it? Learning goes by the photographer's own, never by eyeline's."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from eyeline.exiftool import ExifTool
from eyeline.run.ratings import their_decisions, their_stars
from eyeline.sidecar.ownership import Written
from tests.deciding.decider import measured, open_decider, records
from tests.sidecar.examples import edit


def test_what_eyeline_wrote_is_not_theirs_until_they_change_it(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "IMG_1.jpg")
        ((_, made),) = decider.decide([photo])
        assert made.verdict.stars is not None
        assert their_stars(records(decider), photo) is None
        other = 5 if made.verdict.stars != 5 else 1
        edit(photo.frame.path.with_suffix(".xmp"), f"-XMP-xmp:Rating={other}")
        assert their_stars(records(decider), photo) == other
        list(decider.decide([photo]))
        assert their_stars(records(decider), photo) == other
        assert f"the rating is yours: {other}" in their_decisions(records(decider), photo)


@pytest.mark.parametrize(("rating", "stars"), [("3", 3), ("5", 5), ("-1", 1), ("0", None), ("2.6", 3)])
def test_a_rating_that_was_there_before_is_theirs(
    exiftool: ExifTool, tmp_path: Path, rating: str, stars: int | None
) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "IMG_1.jpg")
        edit(photo.frame.path.with_suffix(".xmp"), f"-XMP-xmp:Rating={rating}")
        assert their_stars(records(decider), photo) == stars
        list(decider.decide([photo]))
        assert their_stars(records(decider), photo) == stars


def test_a_rating_inside_the_photo_is_theirs(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "IMG_1.jpg")
        frame = photo.frame
        photo = replace(photo, frame=replace(frame, capture=replace(frame.capture, rating_inside=4.0)))
        assert their_stars(records(decider), photo) == 4


def test_with_the_ledger_lost_the_sidecars_history_tells(exiftool: ExifTool, tmp_path: Path) -> None:
    path = tmp_path / "shoot" / "IMG_1.jpg"
    with open_decider(tmp_path / "lost", exiftool) as decider:
        list(decider.decide([measured(decider, path)]))
    with open_decider(tmp_path / "new", exiftool) as decider:
        photo = measured(decider, path)
        assert their_stars(records(decider), photo) is None


def test_each_thing_taken_out_is_told_at_once_and_recorded_at_the_next_look(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "IMG_1.jpg")
        sidecar = photo.frame.path.with_suffix(".xmp")
        ((_, made),) = decider.decide([photo])
        taken_out = [*(f"-XMP-dc:Subject-={word}" for word in made.verdict.keywords[:1]), "-XMP-xmp:Rating="]
        assert len(taken_out) == 2
        for count, each in enumerate(taken_out, start=1):
            edit(sidecar, each)
            assert len(their_decisions(records(decider), photo)) == count
            list(decider.decide([photo]))
            record = decider.ledger.decisions.latest_written(sidecar)
            assert record is not None
            written = Written.from_json(record.written or "")
            assert len(written.left_keywords) + written.left_rating == count
        before = decider.ledger.status().decisions
        list(decider.decide([photo]))
        assert decider.ledger.status().decisions == before, "nothing is new, so nothing is recorded"
