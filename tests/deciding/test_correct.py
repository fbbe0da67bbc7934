"""What a photographer decides through eyeline is theirs: in the file, in the ledger, and for `learn`."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Literal

import pytest

from eyeline.deciding.correct import Conflict, Correction, Step, hand_of, make
from eyeline.deciding.decide import Decider
from eyeline.deciding.take_back_step import undo_step
from eyeline.exiftool import ExifTool
from eyeline.ledger.records import Outcome, Photo
from eyeline.run.ratings import their_stars
from eyeline.terms.rectangle import Rectangle
from tests.deciding.decider import measured as entered
from tests.deciding.decider import open_decider, records, undone
from tests.ledger.invented import VERDICT
from tests.sidecar.readers import by_exiftool, by_exiv2

FORMATS = ("4:5", "1:1")
CROP = Rectangle(0.1, 0.2, 0.6, 0.5)


@pytest.fixture(scope="module", autouse=True)
def shared(exiftool: ExifTool, tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """One decider for all tests but those that lose its ledger: reading the rules takes longest."""
    with open_decider(tmp_path_factory.mktemp("home"), exiftool) as decider:
        SHARED.append(decider)
        yield
        SHARED.clear()


SHARED: list[Decider] = []


@contextmanager
def opened(home: Path, _: ExifTool) -> Iterator[Decider]:
    """The shared decider, for photos below `home`."""
    yield replace(SHARED[0], roots=(home,))


def measured(decider: Decider, path: Path) -> Photo:
    """A photo of its own, whatever its name."""
    return entered(decider, path, str(path))


def decided(decider: Decider, home: Path, name: str = "a.jpg") -> tuple[Photo, Path]:
    photo = measured(decider, home / "shoot" / name)
    assert [each.outcome for _, each in decider.decide([photo])] == [Outcome.WRITTEN]
    return photo, photo.frame.path.with_suffix(".xmp")


def corrected(decider: Decider, photo: Photo, correction: Correction) -> Step:
    state = hand_of(decider, photo, FORMATS).state
    return make(decider, [photo], VERDICT, correction, state, FORMATS)


def again(decider: Decider, photo: Photo) -> None:
    """eyeline judges and writes anew, whatever stands there."""
    list(decider.decide([photo]))


def test_stars_words_and_a_crop_are_written_and_stay_however_often_eyeline_writes(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo, sidecar = decided(decider, tmp_path)
        corrected(decider, photo, Correction(stars=5))
        corrected(decider, photo, Correction(add_words=("cover | maybe",)))
        corrected(decider, photo, Correction(crop_format="4:5", crop=CROP))
        for _ in range(2):
            seen = by_exiftool(sidecar)
            assert seen.rating == "5" == by_exiv2(sidecar).rating
            assert "cover | maybe" in seen.keywords & by_exiv2(sidecar).keywords
            assert seen.regions["own-crop-4x5"].area == pytest.approx((0.1, 0.2, 0.6, 0.5))
            assert any(role.endswith("recomCropping") for role in seen.regions["own-crop-4x5"].roles)
            again(decider, photo)
        assert their_stars(records(decider), photo) == 5


def test_the_same_stars_as_eyeline_s_are_the_photographer_s_all_the_same(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photo, sidecar = decided(decider, tmp_path)
        same = int(by_exiftool(sidecar).rating or 0)
        assert their_stars(records(decider), photo) is None
        corrected(decider, photo, Correction(stars=same))
        assert their_stars(records(decider), photo) == same
    (tmp_path / "kept" / "ledger.sqlite3").unlink()  # and where the ledger is lost
    with open_decider(tmp_path, exiftool, rebuilt_from=[tmp_path]) as decider:
        assert their_stars(records(decider), photo) == same


def test_a_keyword_taken_out_does_not_come_back(exiftool: ExifTool, tmp_path: Path) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo, sidecar = decided(decider, tmp_path)
        word = min(by_exiftool(sidecar).keywords)
        step = corrected(decider, photo, Correction(take_out_words=(word,)))
        again(decider, photo)
        assert word not in by_exiftool(sidecar).keywords
        assert step.after.taken_out == (word,)


def test_before_eyeline_has_written_a_correction_stands_alone_and_is_kept(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "a.jpg")
        corrected(decider, photo, Correction(stars=2))
        sidecar = tmp_path / "shoot" / "a.xmp"
        assert by_exiftool(sidecar).rating == "2"
        assert not by_exiftool(sidecar).keywords
        list(decider.decide([photo], only_new=True))
        assert by_exiftool(sidecar).rating == "2"
        assert by_exiftool(sidecar).keywords


@pytest.mark.parametrize(
    "correction",
    [
        Correction(stars=1),
        Correction(add_words=("mine",)),
        Correction(take_out_words=("headshot",)),
        Correction(crop_format="1:1", crop=CROP),
    ],
)
def test_undo_of_a_step_puts_the_file_back_byte_for_byte(
    exiftool: ExifTool, tmp_path: Path, correction: Correction
) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo, sidecar = decided(decider, tmp_path)
        before = sidecar.read_bytes()
        step = corrected(decider, photo, correction)
        assert sidecar.read_bytes() != before
        undo_step(decider, step, VERDICT, FORMATS)
        assert sidecar.read_bytes() == before
        assert hand_of(decider, photo, FORMATS) == step.before
        assert all(each.exact for each in undone(decider, photo.frame.path))
    assert not sidecar.exists()


def test_undo_of_the_first_step_on_a_file_that_was_not_there_takes_it_away(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "a.jpg")
        step = corrected(decider, photo, Correction(stars=2))
        undo_step(decider, step, VERDICT, FORMATS)
        assert not (tmp_path / "shoot" / "a.xmp").exists()


def test_undo_goes_field_by_field_where_eyeline_has_written_since(exiftool: ExifTool, tmp_path: Path) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "a.jpg")
        sidecar = tmp_path / "shoot" / "a.xmp"
        stars = corrected(decider, photo, Correction(stars=1))
        word = corrected(decider, photo, Correction(add_words=("mine",)))
        crop = corrected(decider, photo, Correction(crop_format="4:5", crop=CROP))
        again(decider, photo)
        for step in (crop, word, stars):
            undo_step(decider, step, VERDICT, FORMATS)
        seen = by_exiftool(sidecar)
        assert "mine" not in seen.keywords
        assert "own-crop-4x5" not in seen.regions
        latest = decider.ledger.decisions.latest(photo.frame.path)
        assert latest is not None
        assert seen.rating == str(latest.verdict.stars)
        assert their_stars(records(decider), photo) is None


def test_two_pages_do_not_overwrite_each_other(exiftool: ExifTool, tmp_path: Path) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo, sidecar = decided(decider, tmp_path)
        both_saw = hand_of(decider, photo, FORMATS).state
        step = make(decider, [photo], VERDICT, Correction(stars=3), both_saw, FORMATS)
        with pytest.raises(Conflict) as raised:
            make(decider, [photo], VERDICT, Correction(stars=5), both_saw, FORMATS)
        assert raised.value.now.stars == 3
        assert by_exiftool(sidecar).rating == "3"
        corrected(decider, photo, Correction(stars=4))
        with pytest.raises(Conflict):
            undo_step(decider, step, VERDICT, FORMATS)


def test_eyeline_s_own_undo_leaves_what_is_the_photographer_s(exiftool: ExifTool, tmp_path: Path) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo, sidecar = decided(decider, tmp_path)
        corrected(decider, photo, Correction(stars=5, add_words=("mine",), crop_format="4:5", crop=CROP))
        undone(decider, photo.frame.path)
        seen = by_exiftool(sidecar)
        assert (seen.rating, seen.keywords, set(seen.regions)) == ("5", {"mine"}, {"own-crop-4x5"})


def test_what_was_undone_is_not_written_again_because_of_a_rating(exiftool: ExifTool, tmp_path: Path) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo, sidecar = decided(decider, tmp_path)
        undone(decider, photo.frame.path)
        corrected(decider, photo, Correction(stars=5))
        assert list(decider.decide([photo], only_new=True)) == []
        assert not by_exiftool(sidecar).keywords


def test_what_another_program_wrote_stays(exiftool: ExifTool, tmp_path: Path) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo, sidecar = decided(decider, tmp_path)
        exiftool.edit(sidecar, ["-XMP-dc:Subject+=client", "-XMP-dc:Creator+=N. N."])
        corrected(decider, photo, Correction(stars=5, add_words=("mine",)))
        assert {"client", "mine"} <= by_exiftool(sidecar).keywords
        assert b"N. N." in sidecar.read_bytes()


def test_a_word_that_no_line_can_hold_is_refused(exiftool: ExifTool, tmp_path: Path) -> None:
    with opened(tmp_path, exiftool) as decider:
        photo, sidecar = decided(decider, tmp_path)
        before = sidecar.read_bytes()
        for word in ("", "a\nb", "\x1b[2J"):
            with pytest.raises(ValueError):
                corrected(decider, photo, Correction(add_words=(word,)))
        assert sidecar.read_bytes() == before


def test_a_crop_is_read_back_where_it_was_drawn_however_the_file_is_turned(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    with opened(tmp_path, exiftool) as decider:
        for orientation in range(1, 9):
            photo = measured(decider, tmp_path / "shoot" / f"{orientation}.jpg")
            photo = replace(photo, frame=replace(photo.frame, orientation=orientation))
            step = corrected(decider, photo, Correction(crop_format="4:5", crop=CROP))
            area = step.after.crop("4:5")
            assert area is not None
            assert (area.left, area.top, area.width, area.height) == pytest.approx((0.1, 0.2, 0.6, 0.5))


@pytest.mark.parametrize(
    ("naming", "sidecars"), [("replace", {"a.xmp"}), ("append", {"a.jpg.xmp", "a.dng.xmp"})]
)
def test_all_files_of_an_exposure_hold_the_correction_and_lose_it_by_one_undo(
    exiftool: ExifTool, tmp_path: Path, naming: Literal["replace", "append"], sidecars: set[str]
) -> None:
    with opened(tmp_path, exiftool) as decider:
        decider = replace(decider, configuration=replace(decider.configuration, sidecar_name=naming))
        files = [measured(decider, tmp_path / "shoot" / name) for name in ("a.jpg", "a.dng")]
        step = make(decider, files, VERDICT, Correction(stars=2), None, FORMATS)
        assert {each.name for each in (tmp_path / "shoot").glob("*.xmp")} == sidecars
        assert {by_exiftool(tmp_path / "shoot" / name).rating for name in sidecars} == {"2"}
        undo_step(decider, step, VERDICT, FORMATS)
        assert list((tmp_path / "shoot").glob("*.xmp")) == []
