"""Bad luck and bad names: ExifTool dies, folders are closed, the disk is full, names are hostile."""

import json
import os
import resource
import tempfile
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest

from eyeline.errors import ExifToolFailed
from eyeline.exiftool import ExifTool
from eyeline.sidecar.outcome import Result
from tests.sidecar.examples import names, take_back, write


def test_an_exiftool_that_is_killed_in_the_edit_is_survived(
    exiftool: ExifTool, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = ExifTool.edit
    deaths = []

    def dying(self: ExifTool, path: Path, assignments: list[str]) -> None:
        if not deaths:
            assert self.version
            assert self.process_id is not None
            deaths.append(self.process_id)
            child = self._child
            assert child is not None
            child._process.kill()
        real(self, path, assignments)

    monkeypatch.setattr(ExifTool, "edit", dying)
    outcome = write(exiftool, photo)
    assert deaths
    assert outcome.result is Result.WRITTEN
    assert names(photo.parent) == ["IMG_1.jpg", "IMG_1.xmp"]


def test_without_exiftool_nothing_is_left_behind(photo: Path) -> None:
    with pytest.raises(ExifToolFailed, match="not installed"), ExifTool("no-such-exiftool") as none:
        write(none, photo)
    assert names(photo.parent) == ["IMG_1.jpg"]


def test_a_time_without_offset_is_refused_before_anything_happens(exiftool: ExifTool, photo: Path) -> None:
    with pytest.raises(ValueError, match="offset"):
        write(exiftool, photo, now=datetime(2031, 1, 1))
    assert names(photo.parent) == ["IMG_1.jpg"]


needs_root = pytest.mark.skipif(os.geteuid() != 0, reason="needs root, to become somebody else")

NOBODY = 65534
FOREIGN = Path(__file__).parent / "foreign.xmp"


def as_nobody(photo: Path, prepare: Callable[[], None] = lambda: None) -> tuple[str, str]:
    """Result and sentence of `write` in a child process without privileges: root may write anywhere.

    A fork and no new interpreter, since the interpreter may lie where nobody can read it. All that is
    imported late was imported by the writes before the fork, of a new sidecar and of one that is there.
    """
    with tempfile.TemporaryDirectory() as folder, ExifTool() as tool:
        warm = Path(folder) / "warm.jpg"
        write(tool, warm)
        warm.with_suffix(".xmp").write_bytes(FOREIGN.read_bytes())
        write(tool, warm)
    read_end, write_end = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
            prepare()
            with ExifTool() as tool:
                outcome = write(tool, photo)
            told = [outcome.result.value, outcome.sentence]
        except BaseException as error:
            told = ["raised", repr(error)]
        os.write(write_end, json.dumps(told).encode())
        os._exit(0)
    os.close(write_end)
    with open(read_end, "rb") as pipe:
        told = json.loads(pipe.read())
    os.waitpid(child, 0)
    return told[0], told[1]


@pytest.fixture
def public() -> Iterator[Path]:
    """A folder that another user can reach (pytest's own are private)."""
    with tempfile.TemporaryDirectory(prefix="eyeline-test-") as name:
        folder = Path(name)
        folder.chmod(0o777)
        yield folder
        folder.chmod(0o777)


@needs_root
def test_a_folder_that_cannot_be_written(public: Path) -> None:
    photo = public / "IMG_1.jpg"
    photo.write_bytes(b"photo")
    public.chmod(0o555)
    result, sentence = as_nobody(photo)
    assert result == "refused"
    assert "Permission denied" in sentence
    assert "IMG_1.xmp" in sentence
    assert names(public) == ["IMG_1.jpg"]


@needs_root
def test_a_folder_that_cannot_be_read(public: Path) -> None:
    photo = public / "IMG_1.jpg"
    photo.write_bytes(b"photo")
    public.chmod(0o333)
    result, sentence = as_nobody(photo)
    assert result == "refused"
    assert "Permission denied" in sentence


@needs_root
def test_it_can_be_written_when_permitted(public: Path) -> None:
    """The two tests above would prove nothing if this failed too."""
    photo = public / "IMG_1.jpg"
    photo.write_bytes(b"photo")
    assert as_nobody(photo)[0] == "written"


@needs_root
@pytest.mark.parametrize("limit", [100, 2000])
def test_no_room_on_the_disk(exiftool: ExifTool, public: Path, limit: int) -> None:
    """A limit on file size stands in for the full disk: writes fail beyond it, in ExifTool too."""
    photo = public / "IMG_1.jpg"
    photo.write_bytes(b"photo")
    sidecar = photo.with_suffix(".xmp")
    sidecar.write_bytes(FOREIGN.read_bytes())
    sidecar.chmod(0o666)
    content = sidecar.read_bytes()
    result, _ = as_nobody(photo, lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit)))
    assert result == "refused"
    assert sidecar.read_bytes() == content
    assert names(public) == ["IMG_1.jpg", "IMG_1.xmp"]


@pytest.mark.parametrize(
    "name",
    [
        b"-execute.jpg",
        b"two\nlines.jpg",
        b"two\nlines\n-XMP-xmp:Rating=1.jpg",
        b"# comment.jpg",
        b"quotes \"'`.jpg",
        b"latin-1 \xe9\xff.jpg",
        b"$HOME @args %f.jpg",
        b"  .jpg",
        b"no extension",
        b".hidden.jpg",
        b"a.b.c.JPG",
    ],
)
def test_a_photo_of_a_hostile_name(exiftool: ExifTool, tmp_path: Path, name: bytes) -> None:
    photo = tmp_path / os.fsdecode(name)
    photo.write_bytes(b"photo")
    outcome = write(exiftool, photo)
    assert outcome.result is Result.WRITTEN, outcome.sentence
    assert {os.fsencode(path.name) for path in tmp_path.iterdir()} == {
        name,
        os.fsencode(photo.stem) + b".xmp",
    }
    assert b">4</xmp:Rating>" in outcome.sidecar.read_bytes()
    assert take_back(exiftool, photo, outcome.written).result is Result.WRITTEN


def test_a_folder_of_a_hostile_name(exiftool: ExifTool, tmp_path: Path) -> None:
    folder = tmp_path / os.fsdecode(b"-stay_open\nFalse\n\xff #")
    folder.mkdir()
    photo = folder / "IMG_1.jpg"
    photo.write_bytes(b"photo")
    assert write(exiftool, photo).result is Result.WRITTEN
    assert names(folder) == ["IMG_1.jpg", "IMG_1.xmp"]


def test_a_refusal_is_one_line_however_the_file_is_called(exiftool: ExifTool, tmp_path: Path) -> None:
    photo = tmp_path / "two\nlines\x1b[31m.jpg"
    photo.with_suffix(".xmp").write_bytes(b"broken")
    outcome = write(exiftool, photo)
    assert outcome.result is Result.REFUSED
    assert outcome.sentence.isprintable()
