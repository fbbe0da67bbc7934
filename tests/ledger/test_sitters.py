"""Who sat in which photo: said, moved, renamed, forgotten."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from eyeline.ledger import Ledger
from tests.ledger import invented
from tests.ledger.invented import FOLDER, NOW, STAMP


def photo(ledger: Ledger, name: str, digest: str, folder: Path = FOLDER) -> tuple[Path, str]:
    path = folder / name
    ledger.files.remember(path, STAMP, NOW)
    ledger.photos.record(invented.photo(path, digest))
    ledger.files.measured(path, STAMP, digest, 1, NOW)
    return path, digest


def said(ledger: Ledger, folder: Path = FOLDER) -> dict[str, tuple[str | None, str | None]]:
    return {row.path.name: (row.sitter, row.said_at) for row in ledger.sitters.under(folder)}


def test_what_somebody_moved_stands_above_what_was_said(ledger: Ledger) -> None:
    one, two = photo(ledger, "1.jpg", "d1"), photo(ledger, "2.jpg", "d2")
    photo(ledger, "3.jpg", "d3")
    ledger.sitters.seat([one, two], "17", "10:00", NOW)
    ledger.sitters.seat([two], "18", None, NOW)
    ledger.sitters.seat([one, two], "19", "11:00", NOW)
    assert said(ledger) == {"1.jpg": ("17", "10:00"), "2.jpg": ("18", None), "3.jpg": (None, None)}
    ledger.sitters.seat([two], "20", None, NOW)
    assert said(ledger)["2.jpg"] == ("20", None), "the latest correction holds"


def test_a_photo_that_is_renamed_keeps_its_sitter(ledger: Ledger) -> None:
    ledger.sitters.seat([photo(ledger, "1.jpg", "d1")], "Zoë", None, NOW)
    ledger.files.gone(FOLDER / "1.jpg")
    photo(ledger, "Example_1.jpg", "d1")
    assert said(ledger)["Example_1.jpg"] == ("Zoë", None)


def test_who_sits_now_is_the_latest_saying_of_each_folder(ledger: Ledger) -> None:
    assert ledger.sitters.seated_now(FOLDER) is None
    for number in (1, 2):
        ledger.sitters.seat_now(FOLDER, str(number), NOW + timedelta(minutes=number))
    said_at = (NOW + timedelta(minutes=2)).isoformat(timespec="microseconds")
    assert ledger.sitters.seated_now(FOLDER) == ("2", said_at)
    assert [*ledger.sitters.all_seated_now()] == [FOLDER]


def test_forget_erases_who_sat_and_who_sits(ledger: Ledger) -> None:
    other = FOLDER.with_name("other")
    ledger.sitters.seat([photo(ledger, "1.jpg", "d1")], "Alva Example", None, NOW)
    ledger.sitters.seat([photo(ledger, "2.jpg", "d2", other)], "Bo Example", None, NOW)
    ledger.sitters.seat_now(FOLDER, "Alva Example", NOW)
    assert ledger.about(FOLDER) == 3
    assert ledger.forget(FOLDER) == 4, "the file, its measures, who sat, who sits"
    assert said(ledger, other) == {"2.jpg": ("Bo Example", None)} and ledger.sitters.all_seated_now() == {}
    held = b"".join(path.read_bytes() for path in ledger.path.parent.iterdir())
    assert b"Alva Example" not in held and b"Bo Example" in held
