"""XMP inside a JPEG: readers see it, and not one byte of anything else changes.

Checked against: ExifTool, exiv2 and exempi as readers; Pillow's encoder for the files; the image data by a
segment walk of the intake room, which shares no code with the one that writes.
"""

from __future__ import annotations

import io
import shutil
import struct
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms

from eyeline.errors import UnsafeSidecar
from eyeline.exiftool import ExifTool
from eyeline.intake.identity import image_digest
from eyeline.sidecar.annotate import Result, withdraw
from eyeline.sidecar.embedded import rating_is_ours
from eyeline.sidecar.found import Lookup
from eyeline.sidecar.naming import Naming, locate
from eyeline.sidecar.packet import LARGEST_PACKET, NAME, apart_from_packet, packet_in, with_packet
from eyeline.sidecar.restoring import digest_of, restore
from tests.sidecar.examples import EXAMPLE, LATER, edit, names, write
from tests.sidecar.readers import READERS, decided, differences
from tests.sidecar.test_readers import STORED, read

EMBED = Naming.EMBED

PROFILE = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def jpeg(**options: object) -> bytes:
    noise = np.random.default_rng(1).integers(0, 256, (40, 60, 3), np.uint8)
    target = io.BytesIO()
    Image.fromarray(noise).save(target, "JPEG", **options)  # type: ignore[arg-type]
    return target.getvalue()


def segment(code: int, content: bytes) -> bytes:
    return bytes((0xFF, code)) + struct.pack(">H", len(content) + 2) + content


def dressed(photo: Path) -> Path:
    """With EXIF, a profile, a comment, a vendor's segment, a second picture behind EOI and its index."""
    exif = Image.Exif()
    exif[0x0112] = 6
    plain = jpeg(exif=exif, icc_profile=PROFILE, comment=b"a comment")
    end = plain.index(b"\xff\xdb")
    extra = segment(0xE2, b"MPF\0MM\0*" + bytes(40)) + segment(0xEB, b"a vendor's own")
    photo.write_bytes(plain[:end] + extra + plain[end:] + jpeg() + b"a trailer")
    return photo


def after_image(data: bytes) -> bytes:
    return data[data.index(b"\xff\xd9") :]


@pytest.mark.parametrize("reader", READERS)
def test_readers_see_in_the_jpeg_what_was_decided(exiftool: ExifTool, photo: Path, reader: str) -> None:
    outcome = write(exiftool, dressed(photo), naming=EMBED)
    assert outcome.result is Result.WRITTEN
    assert outcome.sidecar == photo
    assert names(photo.parent) == [photo.name]
    assert differences(decided(EXAMPLE, STORED), read(reader)(photo)) == []


def test_everything_but_the_packet_is_the_same_bytes(exiftool: ExifTool, photo: Path) -> None:
    before = dressed(photo).read_bytes()
    write(exiftool, photo, naming=EMBED)
    after = photo.read_bytes()
    assert after != before
    assert image_digest(after) == image_digest(before)
    assert after_image(after) == after_image(before)
    assert apart_from_packet(after) == apart_from_packet(before)
    with Image.open(photo) as picture:
        assert picture.getexif()[0x0112] == 6
        assert picture.info["icc_profile"] == PROFILE


def test_what_others_wrote_inside_stays(exiftool: ExifTool, photo: Path) -> None:
    edit(dressed(photo), "-XMP-dc:Title=theirs", "-XMP-dc:Subject=theirs", "-XMP-photoshop:City=Bern")
    write(exiftool, photo, naming=EMBED)
    tags = exiftool.read(photo, ("XMP-dc:Title", "XMP-dc:Subject", "XMP-photoshop:City"))
    assert tags["XMP-dc:Title"] == "theirs"
    assert tags["XMP-photoshop:City"] == "Bern"
    assert "theirs" in tags["XMP-dc:Subject"]  # type: ignore[operator]
    assert set(EXAMPLE.keywords) <= set(tags["XMP-dc:Subject"])  # type: ignore[call-overload]


def test_a_person_s_rating_inside_is_kept(exiftool: ExifTool, photo: Path) -> None:
    edit(dressed(photo), "-XMP-xmp:Rating=2")
    outcome = write(exiftool, photo, naming=EMBED, rating_inside=2.0)
    assert "rating" in str(outcome.left)
    assert exiftool.read(photo, ("XMP-xmp:Rating",))["XMP-xmp:Rating"] == "2"


def test_a_person_s_rating_in_a_sidecar_is_kept_too(exiftool: ExifTool, photo: Path) -> None:
    write(exiftool, photo, replace(EXAMPLE, stars=None))
    edit(photo.with_suffix(".xmp"), "-XMP-xmp:Rating=2")
    outcome = write(exiftool, photo, naming=EMBED)
    assert "rating" in str(outcome.left)
    assert "XMP-xmp:Rating" not in exiftool.read(photo, ("XMP-xmp:Rating",))


def test_the_same_again_writes_nothing(exiftool: ExifTool, photo: Path) -> None:
    first = write(exiftool, dressed(photo), naming=EMBED)
    status = photo.stat()
    again = write(exiftool, photo, EXAMPLE, first.written, naming=EMBED)
    assert again.result is Result.UNCHANGED
    assert photo.stat().st_ino == status.st_ino


def test_a_dry_run_writes_nothing(exiftool: ExifTool, photo: Path) -> None:
    before = dressed(photo).read_bytes()
    assert write(exiftool, photo, naming=EMBED, dry_run=True).result is Result.PLANNED
    assert photo.read_bytes() == before


def test_withdrawing_and_restoring_give_the_jpeg_back_byte_for_byte(exiftool: ExifTool, photo: Path) -> None:
    before = dressed(photo).read_bytes()
    written = write(exiftool, photo, naming=EMBED).written
    assert withdraw(exiftool, Lookup(photo, EMBED), written, LATER).result is Result.WRITTEN
    assert photo.read_bytes() == before
    outcome = write(exiftool, photo, naming=EMBED)
    assert restore(photo, [outcome.digest_after or ""], None)
    assert photo.read_bytes() == before


def test_restoring_a_packet_of_others_byte_for_byte(exiftool: ExifTool, photo: Path) -> None:
    edit(dressed(photo), "-XMP-dc:Title=theirs")
    before = photo.read_bytes()
    packet = packet_in(before)
    outcome = write(exiftool, photo, naming=EMBED)
    assert outcome.digest_before == digest_of(packet)
    assert restore(photo, [outcome.digest_after or ""], packet)
    assert photo.read_bytes() == before


def test_only_the_rating_that_eyeline_wrote_counts_as_its_own(exiftool: ExifTool, photo: Path) -> None:
    assert not rating_is_ours(dressed(photo).read_bytes())
    write(exiftool, photo, naming=EMBED)
    assert rating_is_ours(photo.read_bytes())
    edit(photo, "-XMP-xmp:Rating=1")
    assert not rating_is_ours(photo.read_bytes())


class TestOtherFiles:
    """Only JPEGs are ever written into."""

    @pytest.mark.parametrize("suffix", ["dng", "CR2", "nef", "heic", "tif", "png"])
    @pytest.mark.parametrize("naming", [Naming.EMBED, Naming.EMBED_OR_APPEND])
    def test_get_a_sidecar(self, exiftool: ExifTool, tmp_path: Path, suffix: str, naming: Naming) -> None:
        photo = tmp_path / f"IMG_1.{suffix}"
        photo.write_bytes(b"original")
        write(exiftool, photo, naming=naming)
        sidecar = "IMG_1.xmp" if naming is Naming.EMBED else f"IMG_1.{suffix}.xmp"
        assert names(tmp_path) == sorted([photo.name, sidecar])
        assert photo.read_bytes() == b"original"
        assert locate(photo, naming).path == tmp_path / sidecar


class TestRefusals:
    """Untouched, with a sentence that says why."""

    def refused(self, exiftool: ExifTool, photo: Path, word: str) -> None:
        before = photo.read_bytes()
        outcome = write(exiftool, photo, naming=EMBED)
        assert outcome.result is Result.REFUSED
        assert word in outcome.sentence
        assert str(photo) in outcome.sentence
        assert photo.read_bytes() == before
        assert names(photo.parent) == [photo.name]

    def test_xmp_over_several_segments(self, exiftool: ExifTool, photo: Path) -> None:
        data = photo.read_bytes()
        photo.write_bytes(
            data[:2] + segment(0xE1, b"http://ns.adobe.com/xmp/extension/\0" + bytes(60)) + data[2:]
        )
        self.refused(exiftool, photo, "extended")

    def test_two_packets(self, exiftool: ExifTool, photo: Path) -> None:
        data = photo.read_bytes()
        photo.write_bytes(data[:2] + 2 * segment(0xE1, NAME + b"<x/>") + data[2:])
        self.refused(exiftool, photo, "2 XMP packets")

    def test_xmp_behind_an_index_of_pictures(self, exiftool: ExifTool, photo: Path) -> None:
        edit(photo, "-XMP-dc:Title=theirs")
        data = photo.read_bytes()
        photo.write_bytes(data[:2] + segment(0xE2, b"MPF\0MM\0*" + bytes(40)) + data[2:])
        self.refused(exiftool, photo, "index of further pictures")

    def test_no_room(self, exiftool: ExifTool, photo: Path) -> None:
        edit(photo, f"-XMP-dc:Description={'long ' * 12_900}")
        self.refused(exiftool, photo, "bytes")

    def test_write_protected(self, exiftool: ExifTool, photo: Path) -> None:
        photo.chmod(0o444)
        self.refused(exiftool, photo, "write-protected")

    def test_no_jpeg(self, exiftool: ExifTool, photo: Path) -> None:
        photo.write_bytes(b"\xff\xd8\xff\xe1\xff\xff broken")
        self.refused(exiftool, photo, "sound JPEG")


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=300), st.one_of(st.none(), st.binary(max_size=300)))
def test_a_packet_put_in_comes_out_and_the_rest_stays(packet: bytes, former: bytes | None) -> None:
    plain = jpeg(comment=b"x") + b"tail"
    data = with_packet(plain, former) if former is not None else plain
    edited = with_packet(data, packet)
    assert packet_in(edited) == packet
    assert apart_from_packet(edited) == apart_from_packet(plain)
    assert image_digest(edited) == image_digest(plain)
    assert with_packet(edited, None) == plain


def test_the_largest_packet_is_the_largest(photo: Path) -> None:
    data = photo.read_bytes()
    assert packet_in(with_packet(data, bytes(LARGEST_PACKET))) == bytes(LARGEST_PACKET)
    with pytest.raises(UnsafeSidecar):
        with_packet(data, bytes(LARGEST_PACKET + 1))


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_a_mutated_jpeg_is_refused_or_kept_but_for_its_packet(data: st.DataObject) -> None:
    content = bytearray(jpeg(comment=b"x"))
    for _ in range(data.draw(st.integers(1, 4))):
        content[data.draw(st.integers(0, 700))] = data.draw(st.integers(0, 255))
    del content[data.draw(st.integers(2, len(content))) :]
    try:
        edited = with_packet(bytes(content), b"<x/>")
    except UnsafeSidecar:
        return
    assert apart_from_packet(edited) == apart_from_packet(bytes(content))
    assert packet_in(edited) == b"<x/>"


def test_labels_and_permissions_of_the_file_stay(exiftool: ExifTool, photo: Path) -> None:
    photo.chmod(0o640)
    write(exiftool, photo, naming=EMBED)
    assert photo.stat().st_mode & 0o777 == 0o640


def test_a_copy_and_its_original_are_independent(exiftool: ExifTool, photo: Path) -> None:
    copy = Path(shutil.copy(photo, photo.with_name("copy.jpg")))
    before = copy.read_bytes()
    write(exiftool, photo, naming=EMBED)
    assert copy.read_bytes() == before
