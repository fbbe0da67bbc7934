"""Where a sheet's pictures come from: what was kept, else the photo, opened once."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from eyeline.ledger.records import Photo
from eyeline.pages import pictures as room
from eyeline.pages.marked import marked
from eyeline.pages.pictures import Pictures, key_of, pictures
from eyeline.previews.drawing import Kind
from eyeline.previews.store import Previews
from tests.pages.invented import jpegs, photo, sheet, sheet_frame, usual


def as_kept(_: Photo, jpeg: bytes) -> bytes:
    return jpeg


class NoWorkers:
    def __init__(self, _: int) -> None:
        raise AssertionError("a worker was started")


def test_what_is_kept_is_shown_and_no_worker_starts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "WorkerPool", NoWorkers)
    previews = Previews(tmp_path, 10**9)
    shown = usual(500, 5)
    for key, jpeg in jpegs(shown).items():
        previews.keep(*key, {Kind.SMALL: jpeg})
    found = pictures([frame.photo for frame in shown.frames], Kind.SMALL, previews, 2, as_kept)
    assert found == Pictures(jpegs(shown), 0, ())


def test_a_photo_that_is_gone_costs_its_own_picture_only(tmp_path: Path) -> None:
    previews = Previews(tmp_path / "kept", 10**9)
    there, gone = photo(1), photo(2, path=tmp_path / "gone.jpg")
    (kept,) = jpegs(sheet((sheet_frame(1),))).values()
    previews.keep(*key_of(there), {Kind.SMALL: kept})
    found = pictures([there, gone], Kind.SMALL, previews, 1, as_kept)
    assert set(found.of) == {key_of(there)}
    assert [problem.file for problem in found.problems] == [gone.frame.path]


def test_what_was_kept_and_is_damaged_or_gone_is_drawn_anew_and_costs_no_other(tmp_path: Path) -> None:
    """A disk error in the middle of a small version; one that a daemon bounds away while a sheet is made."""
    kept = Previews(tmp_path / "kept", 10**9)
    photos = [photo(number, path=tmp_path / f"{number}.jpg") for number in (1, 2, 3)]
    for each in photos:
        kept.keep(*key_of(each), {Kind.SMALL: jpeg(80, 120)})
    damaged = kept.file(*key_of(photos[0]), Kind.SMALL)
    assert damaged is not None
    damaged.write_bytes(b"\xff\xd8" + bytes(500) + b"\xff\xd9")

    def change(one: Photo, content: bytes) -> bytes:
        if one is photos[1]:
            raise FileNotFoundError
        return marked(one, content, 60, "proof")

    found = pictures(photos, Kind.SMALL, kept, 1, change)
    assert set(found.of) == {key_of(photos[2])} and found.drawn == 2
    assert [each.file for each in found.problems] == [each.frame.path for each in photos[:2]], (
        "no such photos"
    )


def jpeg(width: int, height: int) -> bytes:
    out = io.BytesIO()
    image = Image.new("RGB", (width, height), (90, 90, 90))
    exif = image.getexif()
    exif[0x010E] = "somebody's name"
    image.save(out, "JPEG", exif=exif)
    return out.getvalue()


@pytest.mark.parametrize("upright", [True, False])
def test_a_watermark_lies_on_the_chest_and_in_the_pixels(upright: bool) -> None:
    width, height = (800, 1200) if upright else (1200, 800)
    shown = photo(1, upright)
    with Image.open(io.BytesIO(marked(shown, jpeg(width, height), 600, "proof"))) as image:
        assert max(image.size) == 600
        assert not image.getexif() and set(image.info) <= {
            "jfif",
            "jfif_version",
            "jfif_unit",
            "jfif_density",
        }
        grey = image.convert("L")
    changed = grey.point(lambda level: 255 if abs(level - 90) > 30 else 0).getbbox()
    assert changed is not None
    left, top, right, bottom = changed
    assert shown.points is not None
    assert top / grey.height > shown.points.chin[1], "the face stays free"
    assert bottom <= grey.height and (left + right) / 2 / grey.width == pytest.approx(0.5, abs=0.05)


def test_without_words_only_the_size_changes() -> None:
    with Image.open(io.BytesIO(marked(photo(1), jpeg(800, 1200), 400, ""))) as image:
        assert image.size == (267, 400)
        assert max(high - low for low, high in image.getextrema()) <= 2  # type: ignore[misc]


def test_a_long_watermark_stays_inside() -> None:
    words = "not for publication, ask Northlight Studio first"
    with Image.open(io.BytesIO(marked(photo(1), jpeg(800, 1200), 512, words))) as image:
        grey = image.convert("L").point(lambda level: 255 if abs(level - 90) > 30 else 0)
    changed = grey.getbbox()
    assert changed is not None and changed[0] > 2 and changed[2] < grey.width - 2
