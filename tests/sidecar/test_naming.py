"""Which file is the sidecar of a photo."""

import os
import unicodedata
from pathlib import Path

import pytest

from eyeline.errors import UnsafeSidecar
from eyeline.exiftool import ExifTool
from eyeline.sidecar.naming import Listing, Naming, Place, locate
from eyeline.sidecar.outcome import Result
from tests.sidecar.examples import EXAMPLE, LATER, edit, names, write
from tests.sidecar.readers import by_exiftool


def touch(folder: Path, *files: str) -> None:
    for name in files:
        (folder / name).touch()


@pytest.mark.parametrize(
    ("naming", "photo", "sidecar"),
    [
        (Naming.REPLACE, "IMG_1.jpg", "IMG_1.xmp"),  # XMP Specification Part 3: the extension is replaced
        (Naming.APPEND, "IMG_1.jpg", "IMG_1.jpg.xmp"),
        (Naming.REPLACE, "a.b.CR3", "a.b.xmp"),
        (Naming.REPLACE, "noextension", "noextension.xmp"),
        (Naming.APPEND, "noextension", "noextension.xmp"),
    ],
)
def test_a_new_name(tmp_path: Path, naming: Naming, photo: str, sidecar: str) -> None:
    assert locate(tmp_path / photo, naming) == Place(tmp_path / sidecar, exists=False)


@pytest.mark.parametrize("naming", [Naming.REPLACE, Naming.APPEND])
@pytest.mark.parametrize("there", ["IMG_1.xmp", "IMG_1.XMP", "img_1.xmp", "IMG_1.jpg.xmp", "IMG_1.JPG.Xmp"])
def test_one_that_is_there_is_used_in_any_letters(tmp_path: Path, naming: Naming, there: str) -> None:
    touch(tmp_path, there, "IMG_10.xmp", "IMG_1.jpg.xmp.bak")
    assert locate(tmp_path / "IMG_1.jpg", naming) == Place(tmp_path / there, exists=True)


def test_with_both_the_appended_one_is_used_and_the_other_read(tmp_path: Path) -> None:
    touch(tmp_path, "IMG_1.xmp", "IMG_1.jpg.xmp")
    assert locate(tmp_path / "IMG_1.jpg") == Place(
        tmp_path / "IMG_1.jpg.xmp", exists=True, other=tmp_path / "IMG_1.xmp"
    )


def test_two_that_differ_in_letters_only_are_refused(tmp_path: Path) -> None:
    touch(tmp_path, "IMG_1.xmp", "IMG_1.XMP")
    if len(names(tmp_path)) < 2:
        pytest.skip("this file system does not tell upper from lower case")
    with pytest.raises(UnsafeSidecar, match=r"IMG_1\.XMP and IMG_1\.xmp"):
        locate(tmp_path / "IMG_1.jpg")


COMPOSED, DECOMPOSED = (unicodedata.normalize(form, "Zoë.jpg") for form in ("NFC", "NFD"))


@pytest.mark.parametrize(
    ("photo", "there"),
    [
        (COMPOSED, DECOMPOSED),
        (DECOMPOSED, COMPOSED),
        (COMPOSED, DECOMPOSED.upper()),
        ("STRASSE.jpg", "Straße.jpg"),
    ],
)
@pytest.mark.parametrize("naming", [Naming.REPLACE, Naming.APPEND])
def test_a_name_in_another_unicode_form_is_the_same_name(
    tmp_path: Path, photo: str, there: str, naming: Naming
) -> None:
    """Canonical caseless matching: Unicode 15.0, section 3.13, definition D145."""
    for sidecar in (f"{there}.xmp", f"{Path(there).stem}.xmp"):
        folder = tmp_path / sidecar
        folder.mkdir()
        touch(folder, photo, sidecar)
        assert locate(folder / photo, naming) == Place(folder / sidecar, exists=True)


@pytest.mark.parametrize("twins", [("IMG_1.jpg", "img_1.jpg"), (COMPOSED, DECOMPOSED)])
def test_photos_whose_names_are_nearly_one_have_a_sidecar_each(
    tmp_path: Path, twins: tuple[str, str]
) -> None:
    touch(tmp_path, *twins)
    if len(names(tmp_path)) < 2:
        pytest.skip("on this file system the two are one name")
    for of_plain, other in (twins, twins[::-1]):
        plain, appended = f"{Path(of_plain).stem}.xmp", f"{other}.xmp"
        touch(tmp_path, plain, appended)
        assert locate(tmp_path / of_plain).path.name == plain
        assert locate(tmp_path / other).path.name == appended
        assert not locate(tmp_path / of_plain, Naming.FULL).exists
        (tmp_path / plain).unlink()
        (tmp_path / appended).unlink()


class TestListing:
    def test_it_is_read_once_and_answers_as_a_fresh_one(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        photos = [f"IMG_{number}.jpg" for number in range(30)]
        touch(tmp_path, *photos, *(f"img_{number}.XMP" for number in range(0, 30, 3)), "IMG_4.jpg.xmp")
        fresh = [locate(tmp_path / photo) for photo in photos]
        listing = Listing.of(tmp_path)
        monkeypatch.setattr(os, "scandir", None)
        assert [listing.locate(tmp_path / photo) for photo in photos] == fresh

    def test_a_sidecar_that_comes_or_goes_after_it_was_read_is_noticed(self, tmp_path: Path) -> None:
        touch(tmp_path, "IMG_1.jpg", "IMG_2.jpg", "IMG_1.xmp")
        listing = Listing.of(tmp_path)
        (tmp_path / "IMG_1.xmp").unlink()
        touch(tmp_path, "IMG_2.jpg.xmp")
        assert listing.locate(tmp_path / "IMG_1.jpg") == Place(tmp_path / "IMG_1.xmp", exists=False)
        assert listing.locate(tmp_path / "IMG_2.jpg") == Place(tmp_path / "IMG_2.jpg.xmp", exists=True)

    def test_where_case_counts_for_nothing_the_listed_spelling_is_used(self, tmp_path: Path) -> None:
        """A hard link stands for what such a file system does: one file under two names, one listed."""
        touch(tmp_path, "IMG_1.jpg", "img_1.XMP")
        listing = Listing.of(tmp_path)
        if not (tmp_path / "IMG_1.xmp").exists():
            (tmp_path / "IMG_1.xmp").hardlink_to(tmp_path / "img_1.XMP")
        assert listing.locate(tmp_path / "IMG_1.jpg") == Place(tmp_path / "img_1.XMP", exists=True)


def test_a_rating_in_the_other_sidecar_is_a_person_s(exiftool: ExifTool, photo: Path) -> None:
    edit(photo.with_name("IMG_1.xmp"), "-XMP-xmp:Rating=2")
    edit(photo.with_name("IMG_1.jpg.xmp"), "-XMP-dc:Subject=client")
    other = photo.with_name("IMG_1.xmp").read_bytes()
    outcome = write(exiftool, photo)
    assert outcome.sidecar.name == "IMG_1.jpg.xmp"
    seen = by_exiftool(outcome.sidecar)
    assert seen.rating is None
    assert {"client", "headshot"} <= seen.keywords
    assert photo.with_name("IMG_1.xmp").read_bytes() == other


def test_our_own_rating_in_the_other_sidecar_is_not(exiftool: ExifTool, photo: Path) -> None:
    write(exiftool, photo)
    edit(photo.with_name("IMG_1.jpg.xmp"), "-XMP-dc:Subject=client")
    outcome = write(exiftool, photo, EXAMPLE, now=LATER, attests=lambda record: record.rating == "4")
    assert by_exiftool(outcome.sidecar).rating == "4"


def test_one_that_only_that_file_calls_ours_is_a_person_s(exiftool: ExifTool, photo: Path) -> None:
    write(exiftool, photo)
    edit(photo.with_name("IMG_1.jpg.xmp"), "-XMP-dc:Subject=client")
    outcome = write(exiftool, photo, EXAMPLE, now=LATER)
    assert by_exiftool(outcome.sidecar).rating is None


class TestLinks:
    def test_a_link_inside_the_folder_is_followed(self, exiftool: ExifTool, photo: Path) -> None:
        target = photo.parent / "xmp" / "IMG_1.xmp"
        target.parent.mkdir()
        edit(target, "-XMP-dc:Subject=client")
        photo.with_suffix(".xmp").symlink_to(Path("xmp") / "IMG_1.xmp")
        outcome = write(exiftool, photo)
        assert outcome.result is Result.WRITTEN
        assert photo.with_suffix(".xmp").is_symlink()
        assert by_exiftool(target).rating == "4"
        assert names(target.parent) == ["IMG_1.xmp"]

    def test_a_link_out_of_the_folder_is_refused(
        self, exiftool: ExifTool, photo: Path, tmp_path_factory: pytest.TempPathFactory
    ) -> None:
        target = tmp_path_factory.mktemp("elsewhere") / "IMG_1.xmp"
        edit(target, "-XMP-dc:Subject=client")
        content = target.read_bytes()
        photo.with_suffix(".xmp").symlink_to(target)
        outcome = write(exiftool, photo)
        assert outcome.result is Result.REFUSED
        assert "leads out of its folder" in outcome.sentence
        assert target.read_bytes() == content
        assert names(target.parent) == ["IMG_1.xmp"]

    @pytest.mark.parametrize("target", ["nowhere.xmp", "IMG_1.xmp"])
    def test_a_link_to_nothing_is_refused(self, exiftool: ExifTool, photo: Path, target: str) -> None:
        photo.with_suffix(".xmp").symlink_to(target)
        outcome = write(exiftool, photo)
        assert outcome.result is Result.REFUSED
        assert photo.with_suffix(".xmp").is_symlink()


class TestNoPlainFile:
    def test_a_folder(self, exiftool: ExifTool, photo: Path) -> None:
        photo.with_suffix(".xmp").mkdir()
        assert write(exiftool, photo).result is Result.REFUSED

    def test_a_pipe_does_not_block(self, exiftool: ExifTool, photo: Path) -> None:
        os.mkfifo(photo.with_suffix(".xmp"))
        assert "not a plain file" in write(exiftool, photo).sentence

    def test_write_protected(self, exiftool: ExifTool, photo: Path) -> None:
        """ExifTool would replace it without complaint, since the folder may be written."""
        sidecar = photo.with_suffix(".xmp")
        edit(sidecar, "-XMP-dc:Subject=client")
        content = sidecar.read_bytes()
        sidecar.chmod(0o444)
        assert "write-protected" in write(exiftool, photo).sentence
        assert sidecar.read_bytes() == content


@pytest.mark.parametrize("naming", [Naming.EMBED, Naming.EMBED_OR_APPEND])
@pytest.mark.parametrize("sidecar", ["IMG_1.xmp", "img_1.JPG.XMP", None])
def test_embedding_a_jpeg_is_its_own_and_a_sidecar_beside_it_is_only_read(
    tmp_path: Path, naming: Naming, sidecar: str | None
) -> None:
    if sidecar is not None:
        (tmp_path / sidecar).touch()
    other = None if sidecar is None else tmp_path / sidecar
    assert locate(tmp_path / "IMG_1.jpg", naming) == Place(tmp_path / "IMG_1.jpg", exists=True, other=other)
