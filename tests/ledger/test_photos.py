"""Photos: what was measured is found again under any name."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from eyeline.errors import LedgerCorrupt
from eyeline.ledger import Ledger, Photo
from eyeline.terms.measurement import Measurement
from tests.ledger import invented, strategies
from tests.ledger.invented import FOLDER, NOW, STAMP


def measured(ledger: Ledger, photo: Photo) -> None:
    ledger.photos.record(photo)
    ledger.files.remember(photo.frame.path, STAMP, NOW)
    ledger.files.measured(photo.frame.path, STAMP, photo.frame.digest, photo.frame.orientation, NOW)


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    max_examples=50,
    deadline=None,
)
@given(photo=strategies.photos)
def test_a_photo_survives_in_full(ledger: Ledger, photo: Photo) -> None:
    ledger.photos.record(photo)
    assert ledger.photos.of(photo.frame) == photo


def test_a_renamed_photo_keeps_its_measures_and_has_its_new_name(ledger: Ledger) -> None:
    photo = invented.photo()
    ledger.photos.record(photo)
    renamed = replace(
        photo.frame, path=Path("/elsewhere/b.jpg"), capture=replace(photo.frame.capture, make="X")
    )
    assert ledger.photos.of(renamed) == replace(photo, frame=renamed)


def test_the_same_image_data_turned_otherwise_is_another_picture(ledger: Ledger) -> None:
    photo = invented.photo(orientation=1)
    ledger.photos.record(photo)
    assert ledger.photos.of(replace(photo.frame, orientation=6)) is None


def test_a_photo_measured_anew_replaces_the_old_measures(ledger: Ledger) -> None:
    measured(ledger, invented.photo())
    newer = replace(invented.photo(), measurements=(Measurement("eye_line", 0.5),))
    ledger.photos.record(newer)
    assert ledger.photos.at(newer.frame.path) == newer
    assert ledger.status().photos == 1


def test_every_photo_under_a_folder(ledger: Ledger) -> None:
    inside = [invented.photo(FOLDER / f"{n:04}.jpg", f"d{n}") for n in range(401)]
    with ledger.transaction():
        for photo in (*inside, invented.photo(Path("/photos/one.jpg"), "x")):
            measured(ledger, photo)
        ledger.files.remember(FOLDER / "not yet measured.jpg", STAMP, NOW)
    assert list(ledger.photos.under(FOLDER)) == inside


def test_a_copy_counts_as_a_photo_of_its_own_folder_too(ledger: Ledger) -> None:
    for path in (FOLDER / "a.jpg", FOLDER / "copy.jpg"):
        measured(ledger, invented.photo(path))
    assert [photo.frame.path.name for photo in ledger.photos.under(FOLDER)] == ["a.jpg", "copy.jpg"]


def test_a_number_that_is_none_leaves_the_ledger_as_it_was(ledger: Ledger) -> None:
    photo = invented.photo()
    with pytest.raises(ValueError, match="JSON"):
        ledger.photos.record(replace(photo, measurements=(Measurement("eye_line", math.nan),)))
    with pytest.raises(ValueError, match="JSON"):
        ledger.photos.record(replace(photo, milliseconds={"read": math.inf}))
    assert ledger.status().photos == 0


def test_a_row_that_cannot_be_understood_is_told_as_damage(ledger: Ledger) -> None:
    measured(ledger, invented.photo())
    ledger._database.change("UPDATE photos SET points = '{}'")
    with pytest.raises(LedgerCorrupt, match="d1"):
        ledger.photos.at(FOLDER / "a.jpg")
