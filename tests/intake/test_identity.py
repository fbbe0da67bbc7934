"""The identity of a photo follows its pixels and nothing else.

Held against three things outside: `b2sum` of coreutils (the hash itself), ExifTool and Pillow (what counts
as metadata when it is written or stripped), and a byte-by-byte reading of ITU-T T.81 annex B written here.
"""

from __future__ import annotations

import hashlib
import io
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms, ImageDraw

from eyeline.intake.identity import image_digest, looks_like_jpeg

SHOOT = Path(__file__).parents[2] / "shoot"
needs_exiftool = pytest.mark.skipif(shutil.which("exiftool") is None, reason="ExifTool is not installed")


def picture(spot: tuple[int, int, int] = (200, 40, 40)) -> Image.Image:
    image = Image.radial_gradient("L").resize((96, 64)).convert("RGB")
    ImageDraw.Draw(image).ellipse((20, 10, 70, 55), fill=(90, 120, 160))
    image.putpixel((40, 30), spot)
    return image


def jpeg(image: Image.Image | None = None, **options: object) -> bytes:
    stream = io.BytesIO()
    (image or picture()).save(stream, "JPEG", **{"quality": 92, **options})
    return stream.getvalue()


KINDS = {
    "baseline": jpeg(),
    "progressive": jpeg(progressive=True),
    "restart markers": jpeg(restart_marker_blocks=2),
    "progressive, restart markers": jpeg(progressive=True, restart_marker_blocks=3),
    "grey": jpeg(picture().convert("L")),
    "CMYK": jpeg(picture().convert("CMYK")),
}
every_kind = pytest.mark.parametrize("photo", KINDS.values(), ids=KINDS.keys())


def parts(photo: bytes) -> list[bytes]:
    """T.81 annex B byte by byte: each marker with its segment, each scan's data as a part of its own."""
    found, at = [], 0
    while at < len(photo):
        if photo[at] != 0xFF:
            end = at
            while photo[end] != 0xFF or photo[end + 1] == 0 or 0xD0 <= photo[end + 1] <= 0xD7:
                end += 1
            found.append(photo[at:end])
        elif photo[at + 1] in (0xD8, 0xD9):
            end = at + 2
            found.append(photo[at:end])
            if photo[at + 1] == 0xD9:
                break
        else:
            end = at + 2 + photo[at + 2] * 256 + photo[at + 3]
            found.append(photo[at:end])
        at = end
    return found


def segment(code: int, payload: bytes) -> bytes:
    return bytes([0xFF, code]) + (len(payload) + 2).to_bytes(2, "big") + payload


def is_metadata(part: bytes) -> bool:
    return part[0] == 0xFF and (part[1] == 0xFE or 0xE0 <= part[1] <= 0xEF)


def test_a_jpeg_is_told_by_its_first_bytes() -> None:
    assert looks_like_jpeg(jpeg())
    assert not looks_like_jpeg(b"")
    assert not looks_like_jpeg(b"\xff\xd8")
    assert not looks_like_jpeg(b"\x89PNG\r\n\x1a\n")


@every_kind
def test_it_is_blake2b_of_all_parts_but_metadata(photo: bytes) -> None:
    kept = b"".join(part for part in parts(photo) if not is_metadata(part))
    assert len(kept) < len(photo)
    assert image_digest(photo) == hashlib.blake2b(kept, digest_size=32).hexdigest()


@pytest.mark.parametrize("photo", sorted(SHOOT.glob("*.jpg"))[:5], ids=lambda path: path.name)
def test_so_it_is_for_photos_of_the_shoot(photo: Path) -> None:
    data = photo.read_bytes()
    kept = b"".join(part for part in parts(data) if not is_metadata(part))
    assert image_digest(data) == hashlib.blake2b(kept, digest_size=32).hexdigest()


@pytest.mark.skipif(shutil.which("b2sum") is None, reason="coreutils' b2sum is not installed")
def test_other_kinds_are_digested_whole(tmp_path: Path) -> None:
    file = tmp_path / "a.png"
    picture().save(file)
    expected = subprocess.run(["b2sum", "-l", "256", file], capture_output=True, text=True, check=True).stdout
    assert image_digest(file.read_bytes()) == expected.split()[0]


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"restart_marker_blocks": 2}], ids=str)
def test_metadata_written_by_pillow_leaves_it(options: dict[str, object]) -> None:
    exif = Image.Exif()
    exif[0x010E] = "a description"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    plain = jpeg(**options)
    dressed = jpeg(exif=exif, comment=b"a comment", icc_profile=profile, xmp=b"<x:xmpmeta/>", **options)
    assert plain != dressed
    assert image_digest(plain) == image_digest(dressed)


@needs_exiftool
@every_kind
def test_metadata_written_by_exiftool_leaves_it(photo: bytes, tmp_path: Path) -> None:
    file, thumbnail = tmp_path / "a.jpg", tmp_path / "thumbnail"
    file.write_bytes(photo)
    thumbnail.write_bytes(jpeg(picture().resize((32, 24))))
    # A JPEG within APP1, with markers of its own, is the trap for whoever searches for SOS or EOI.
    arguments = ["-Comment=by hand", "-XMP-dc:Subject=portrait", "-XMP-xmp:Rating=3", "-IPTC:Keywords=x"]
    arguments += ["-EXIF:Artist=A. Person", "-EXIF:Orientation#=6", f"-ThumbnailImage<={thumbnail}"]
    subprocess.run(["exiftool", "-q", "-overwrite_original", *arguments, file], check=True)
    dressed = file.read_bytes()
    assert len(dressed) > len(photo) + len(thumbnail.read_bytes())
    assert image_digest(dressed) == image_digest(photo)
    subprocess.run(["exiftool", "-q", "-overwrite_original", "-all=", file], check=True)
    assert len(file.read_bytes()) <= len(photo)
    assert image_digest(file.read_bytes()) == image_digest(photo)


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"restart_marker_blocks": 2}], ids=str)
def test_one_other_pixel_changes_it(options: dict[str, object]) -> None:
    assert image_digest(jpeg(picture((200, 40, 40)), **options)) != image_digest(
        jpeg(picture((40, 200, 40)), **options)
    )


@every_kind
def test_every_part_of_the_image_data_counts(photo: bytes) -> None:
    """A flipped bit in the last byte of any part but metadata: tables, headers, each scan."""
    pieces = parts(photo)
    for index, part in enumerate(pieces):
        if is_metadata(part) or len(part) == 2:
            continue
        flipped = part[:-1] + bytes([part[-1] ^ 0x01])
        changed = b"".join([*pieces[:index], flipped, *pieces[index + 1 :]])
        assert image_digest(changed) != image_digest(photo)


@every_kind
def test_what_follows_the_end_of_the_image_does_not_count(photo: bytes) -> None:
    assert image_digest(photo + bytes(100)) == image_digest(photo)
    assert image_digest(photo + jpeg(picture().resize((32, 24)))) == image_digest(photo)


@every_kind
def test_a_file_that_breaks_off_is_another_photo(photo: bytes) -> None:
    digests = {image_digest(photo[:length]) for length in range(len(photo) - 60, len(photo) + 1)}
    assert len(digests) == 61


def test_a_file_that_breaks_off_within_metadata_is_not_taken_for_another() -> None:
    """Nothing of the picture is left in either, but two broken files are not one photo."""
    begun = [b"\xff\xd8" + segment(0xE1, bytes([number]) * 400)[:300] for number in range(5)]
    assert len(set(map(image_digest, begun))) == 5


def test_a_segment_shorter_than_its_own_length_ends_the_reading() -> None:
    end = segment(0xFE, b"a") + b"\xff\xd9", segment(0xFE, b"b") + b"\xff\xd9"
    assert image_digest(b"\xff\xd8\xff\xe1\0\0" + end[0]) != image_digest(b"\xff\xd8\xff\xe1\0\0" + end[1])


metadata = st.tuples(
    st.sampled_from([0xFE, *range(0xE0, 0xF0)]),
    st.one_of(
        st.binary(max_size=64), st.sampled_from([b"\xff\xd9", b"\xff\xda\x00\x08", jpeg(), b"\xff" * 9])
    ),
)


@given(st.sampled_from(list(KINDS)), st.lists(st.tuples(st.integers(min_value=1), metadata), max_size=8))
def test_metadata_anywhere_between_segments_leaves_it(
    kind: str, inserted: list[tuple[int, tuple[int, bytes]]]
) -> None:
    pieces = parts(KINDS[kind])
    for place, (code, payload) in inserted:
        # Before any marker but SOI; a scan's data must follow its header at once.
        places = [index for index in range(1, len(pieces)) if pieces[index - 1][:2] != b"\xff\xda"]
        pieces.insert(places[place % len(places)], segment(code, payload))
    dressed = b"".join(pieces)
    assert image_digest(dressed) == image_digest(KINDS[kind])
    with Image.open(io.BytesIO(dressed)) as image:  # still a JPEG to another reader
        image.load()


@given(st.sampled_from(list(KINDS)), st.data())
def test_fill_bytes_before_markers_leave_it(kind: str, data: st.DataObject) -> None:
    pieces = parts(KINDS[kind])
    filled = pieces[0]
    for part in pieces[1:]:
        if part[0] == 0xFF:
            filled += b"\xff" * data.draw(st.integers(0, 3))
        filled += part
    assert image_digest(filled) == image_digest(KINDS[kind])


@given(st.one_of(st.binary(), st.binary().map(lambda rest: b"\xff\xd8\xff" + rest)))
def test_any_bytes_have_a_digest(data: bytes) -> None:
    assert len(image_digest(data)) == 64


def test_a_long_run_of_fill_bytes_is_no_trap() -> None:
    """Linear in the length: a search that starts anew at each byte would take hours here."""
    photo = jpeg()
    assert image_digest(photo[:-2] + b"\xff" * 3_000_000 + b"\xd9") == image_digest(photo)
