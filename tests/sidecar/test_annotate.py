"""Writing and writing again: on real files with the real ExifTool."""

import dataclasses
import hashlib
import os
from pathlib import Path

from eyeline.exiftool import ExifTool
from eyeline.sidecar.outcome import Result
from tests.sidecar.examples import EXAMPLE, LATER, edit, names, write
from tests.sidecar.readers import by_exiftool


def test_a_new_sidecar_is_a_whole_xml_document_of_its_own(exiftool: ExifTool, photo: Path) -> None:
    pixels = photo.read_bytes()
    outcome = write(exiftool, photo)
    assert outcome.result is Result.WRITTEN
    assert outcome.sidecar == photo.with_suffix(".xmp")
    content = outcome.sidecar.read_bytes()
    assert content.startswith(b"<?xml version='1.0' encoding='UTF-8'?>")  # XMP Part 3
    assert outcome.digest_before is None
    assert outcome.digest_after == hashlib.blake2b(content, digest_size=32).hexdigest()
    assert outcome.written is not None
    assert outcome.written.created
    assert photo.read_bytes() == pixels
    assert names(photo.parent) == ["IMG_1.jpg", "IMG_1.xmp"]


def test_a_new_sidecar_has_the_permissions_that_files_get(exiftool: ExifTool, photo: Path) -> None:
    before = os.umask(0o027)
    try:
        outcome = write(exiftool, photo)
    finally:
        os.umask(before)
    assert outcome.sidecar.stat().st_mode & 0o777 == 0o640


def test_permissions_and_owner_of_a_sidecar_are_kept(exiftool: ExifTool, photo: Path) -> None:
    sidecar = write(exiftool, photo).sidecar
    sidecar.chmod(0o604)
    owner = (1234, 1234) if os.geteuid() == 0 else (os.getuid(), os.getgid())
    os.chown(sidecar, *owner)
    write(exiftool, photo, dataclasses.replace(EXAMPLE, stars=2))
    status = sidecar.stat()
    assert status.st_mode & 0o777 == 0o604
    assert (status.st_uid, status.st_gid) == owner


def test_the_same_again_does_not_touch_the_file(exiftool: ExifTool, photo: Path) -> None:
    """A watcher would see its own write and start over; the inode and the times must stay."""
    first = write(exiftool, photo)
    before = first.sidecar.stat()
    for last in (first.written, None):
        again = write(exiftool, photo, EXAMPLE, last, now=LATER)
        assert again.result is Result.UNCHANGED
        assert again.digest_before == again.digest_after == first.digest_after
    after = first.sidecar.stat()
    assert (after.st_ino, after.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_a_dry_run_says_what_it_would_do_and_does_nothing(exiftool: ExifTool, photo: Path) -> None:
    outcome = write(exiftool, photo, dry_run=True)
    assert outcome.result is Result.PLANNED
    assert "rating 4" in outcome.sentence
    assert outcome.written is None
    assert names(photo.parent) == ["IMG_1.jpg"]


def test_there_is_one_history_entry_of_ours_however_often(exiftool: ExifTool, photo: Path) -> None:
    last = None
    for stars in (1, 2, 3):
        last = write(exiftool, photo, dataclasses.replace(EXAMPLE, stars=stars), last).written
    text = photo.with_suffix(".xmp").read_text()
    assert text.count("<stEvt:softwareAgent>eyeline<") == 1
    assert text.count("<stEvt:action>assessed<") == 1


def test_only_the_reasons_changed_is_a_change(exiftool: ExifTool, photo: Path) -> None:
    first = write(exiftool, photo)
    again = write(exiftool, photo, dataclasses.replace(EXAMPLE, parameters="version 0.2"), first.written)
    assert again.result is Result.WRITTEN
    assert again.sentence == "the history entry"


def test_nothing_to_say_makes_no_file(exiftool: ExifTool, photo: Path) -> None:
    silent = dataclasses.replace(EXAMPLE, stars=None, keywords=(), scene_codes=(), regions=())
    assert write(exiftool, photo, silent).result is Result.UNCHANGED
    assert names(photo.parent) == ["IMG_1.jpg"]


def test_an_ordinary_sidecar_of_a_person_with_all_that_we_say(exiftool: ExifTool, photo: Path) -> None:
    sidecar = photo.with_suffix(".xmp")
    only_rating = dataclasses.replace(EXAMPLE, keywords=(), scene_codes=(), regions=())
    edit(sidecar, "-XMP-xmp:Rating=1")
    content = sidecar.read_bytes()
    outcome = write(exiftool, photo, only_rating)
    assert outcome.result is Result.KEPT
    assert outcome.left == ("the rating (1 in the sidecar)",)
    assert sidecar.read_bytes() == content


class TestTheLastWord:
    """Somebody edits what we wrote, with another program; then we come again with other wishes."""

    WISH = dataclasses.replace(EXAMPLE, stars=2, keywords=("headshot", "looks camera left", "blink"))

    def test_rating_keyword_and_crop(self, exiftool: ExifTool, photo: Path) -> None:
        first = write(exiftool, photo)
        edit(
            first.sidecar,
            "-XMP-xmp:Rating=5",
            "-XMP-dc:Subject-=looks camera left",
            "-XMP-dc:Subject+=client",
            "-XMP-iptcExt:ImageRegion-={RId=eyeline-crop-1x1}",
        )
        for last in (first.written, None):  # with the ledger, and with the ledger lost
            outcome = write(exiftool, photo, self.WISH, last, now=LATER)
            seen = by_exiftool(first.sidecar)
            assert seen.rating == "5"
            assert seen.keywords == {"headshot", "client", "blink"}
            assert "eyeline-crop-1x1" not in seen.regions
            assert len(seen.regions) == 3
            assert len(outcome.left) == 3

    def test_a_moved_crop_stays_moved(self, exiftool: ExifTool, photo: Path) -> None:
        first = write(exiftool, photo)
        text = first.sidecar.read_text()
        assert text.count("<Iptc4xmpExt:rbX>0.05<") == 1
        first.sidecar.write_text(text.replace("<Iptc4xmpExt:rbX>0.05<", "<Iptc4xmpExt:rbX>0.06<"))
        other = dataclasses.replace(EXAMPLE, stars=1, regions=())
        write(exiftool, photo, other, first.written, now=LATER)
        assert {key: region.area[0] for key, region in by_exiftool(first.sidecar).regions.items()} == {
            "eyeline-crop-4x5": 0.06
        }

    def test_numbers_rounded_by_another_program_are_not_a_decision(
        self, exiftool: ExifTool, photo: Path
    ) -> None:
        first = write(exiftool, photo)
        text = first.sidecar.read_text()
        first.sidecar.write_text(text.replace("<Iptc4xmpExt:rbX>0.05<", "<Iptc4xmpExt:rbX>0.05002<"))
        outcome = write(exiftool, photo, dataclasses.replace(EXAMPLE, regions=()), first.written, now=LATER)
        assert outcome.left == ()
        assert by_exiftool(first.sidecar).regions == {}

    def test_rewritten_from_another_database_is_a_doubt(self, exiftool: ExifTool, photo: Path) -> None:
        first = write(exiftool, photo)
        first.sidecar.unlink()
        edit(first.sidecar, "-XMP-xmp:Rating=0", "-XMP-dc:Subject=client")
        content = first.sidecar.read_bytes()
        outcome = write(exiftool, photo, self.WISH, first.written, now=LATER)
        assert outcome.result is Result.DOUBT
        assert first.sidecar.read_bytes() == content
        assert outcome.written == first.written

    def test_a_sidecar_that_is_gone_is_a_doubt(self, exiftool: ExifTool, photo: Path) -> None:
        first = write(exiftool, photo)
        first.sidecar.unlink()
        outcome = write(exiftool, photo, self.WISH, first.written, now=LATER)
        assert outcome.result is Result.DOUBT
        assert "gone" in outcome.sentence
        assert names(photo.parent) == ["IMG_1.jpg"]

    def test_a_rating_inside_the_photo_stays_the_only_one(self, exiftool: ExifTool, photo: Path) -> None:
        outcome = write(exiftool, photo, rating_inside=3.0)
        assert outcome.left == ("the rating (3 inside the photo)",)
        assert by_exiftool(outcome.sidecar).rating is None
