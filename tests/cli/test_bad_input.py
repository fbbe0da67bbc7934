"""Bad input: each is named with what to do, enters the ledger, and harms nothing else."""

from __future__ import annotations

import io
import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from tests.cli.conftest import SHOOT, Eyeline, copy_frames, environment, run_here

GOOD = "NL1_1005.jpg"
WITHOUT_ROOTS_RIGHTS = (
    ["setpriv", "--bounding-set=-dac_override,-dac_read_search", "--inh-caps=-all", "--"]
    if os.geteuid() == 0
    else []
)
"""As root, permissions would not be felt; without these two capabilities (capabilities(7)) they are.
Another user id would do as well, but may not reach the interpreter in root's home."""


def plain_jpeg(size: tuple[int, int]) -> bytes:
    buffer = io.BytesIO()
    Image.linear_gradient("L").resize(size).convert("RGB").save(buffer, "JPEG")
    return buffer.getvalue()


def names_in(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir()]


@pytest.fixture(scope="module")
def whole() -> bytes:
    return (SHOOT / GOOD).read_bytes()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, whole: bytes) -> Path:
    folder = tmp_path_factory.mktemp("card")
    copy_frames(folder, GOOD)
    files = {
        b"truncated.jpg": whole[: len(whole) // 2],
        b"preallocated.jpg": whole[: len(whole) // 2] + bytes(len(whole) - len(whole) // 2),
        b"empty.jpg": b"",
        b"mislabelled.jpg": b"%PDF-1.7 this is no picture",
        b"one_pixel.jpg": plain_jpeg((1, 1)),
        b"no_face.jpg": plain_jpeg((900, 600)),
        b"new\nline.jpg": whole + b"\0",
        b"-rf.jpg": whole + b"\0\0",
        b"\xff\xfe not utf-8.jpg": whole + b"\0\0\0",
        b'quote"; DROP TABLE files; --.jpg': whole + b"\0\0\0\0",
        b"broken_sidecar.jpg": whole + b"\0\0\0\0\0",
        b"broken_sidecar.xmp": b"<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF",
    }
    for name, data in files.items():
        (Path(os.fsdecode(os.fsencode(folder) + b"/" + name))).write_bytes(data)
    outside = tmp_path_factory.mktemp("outside")
    (outside / "secret.jpg").write_bytes(whole)
    (outside / "secret.xmp").write_bytes(b"not to be touched")
    (folder / "leads_out.jpg").symlink_to(outside / "secret.jpg")
    (folder / "linked_sidecar.jpg").write_bytes(whole + bytes(6))
    (folder / "linked_sidecar.xmp").symlink_to(outside / "secret.xmp")
    said_by_the_camera(folder / "metadata.jpg", whole)
    (refused,) = copy_frames(folder / "refused", GOOD)
    refused.with_name("eyeline.toml").write_text('sidecar_name = "append"\n')
    return folder


HOSTILE = "\x1b[2J\n-execute\n'; DROP TABLE photos; -- $(id) {ready}"


def said_by_the_camera(path: Path, jpeg: bytes) -> None:
    """A photo whose metadata holds commands for a terminal, a shell, ExifTool and a database."""
    with Image.open(io.BytesIO(jpeg)) as picture:
        exif = picture.getexif()
        exif[0x010F] = exif[0x0110] = HOSTILE  # make and model
        exif.get_ifd(0x8769)[0xA431] = HOSTILE  # serial number
        picture.save(path, exif=exif, quality=90, comment=HOSTILE)


@pytest.fixture(scope="module")
def ran(folder: Path, eyeline: Eyeline) -> subprocess.CompletedProcess[str]:
    return eyeline("run", folder, "--json")


def test_the_exit_code_says_that_some_photos_could_not_be_read(tmp_path: Path, whole: bytes) -> None:
    (tmp_path / "truncated.jpg").write_bytes(whole[: len(whole) // 2])
    ran = run_here(tmp_path, "run", tmp_path)
    assert ran.returncode == 1, ran.stderr


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("truncated.jpg", "damaged or not complete"),
        ("preallocated.jpg", "damaged or not complete"),
        ("empty.jpg", "the file is empty"),
        ("mislabelled.jpg", "this is a PDF file, whatever its name says"),
        ("one_pixel.jpg", "too few to measure"),
    ],
)
def test_each_unreadable_file_is_named_with_its_cure_and_is_in_the_ledger(
    name: str, says: str, ran: subprocess.CompletedProcess[str], home: Path, folder: Path
) -> None:
    (line,) = [line for line in ran.stderr.splitlines() if name in line]
    assert says in line
    assert line.rstrip().endswith(".")
    assert len(line.split(". ")) >= 2, "it does not say what to do"
    with sqlite3.connect(f"file:{home}/.local/share/eyeline/ledger.sqlite3?mode=ro", uri=True) as ledger:
        rows = ledger.execute("SELECT what, cure FROM problems WHERE path = ?", (os.fsencode(folder / name),))
        assert any(says in what and cure for what, cure in rows)


def test_what_can_be_read_is_judged_whatever_lies_beside_it(
    ran: subprocess.CompletedProcess[str], folder: Path
) -> None:
    judged = {Path(json.loads(line)["file"]).name for line in ran.stdout.splitlines()}
    hostile = {
        "new\nline.jpg",
        "-rf.jpg",
        'quote"; DROP TABLE files; --.jpg',
        os.fsdecode(b"\xff\xfe not utf-8.jpg"),
    }
    assert {GOOD, "no_face.jpg"} | hostile <= judged
    for name in {GOOD} | hostile:
        assert (folder / name).with_suffix(".xmp").is_file()


def test_a_hostile_name_stays_on_one_line_of_every_message(ran: subprocess.CompletedProcess[str]) -> None:
    assert all(line.startswith("eyeline: ") for line in ran.stderr.splitlines()[:-1])


def test_a_frame_without_a_face_gets_no_stars(ran: subprocess.CompletedProcess[str]) -> None:
    (line,) = [json.loads(line) for line in ran.stdout.splitlines() if "no_face" in line]
    assert line["stars"] is None
    assert line["keywords"] == ["no face"]
    assert line["measures"]["eye_line"] is None
    assert line["missing"]["eye_line"] == "no face was found"


def test_a_broken_sidecar_is_left_as_it_is(ran: subprocess.CompletedProcess[str], folder: Path) -> None:
    assert (folder / "broken_sidecar.xmp").read_bytes() == b"<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF"
    assert any("broken_sidecar" in line for line in ran.stderr.splitlines())


def test_a_sidecar_that_cannot_be_written_is_an_exit_code_too(tmp_path: Path) -> None:
    card = tmp_path / "card"
    (frame,) = copy_frames(card, GOOD)
    frame.with_suffix(".xmp").write_bytes(b"no XML")
    ran = run_here(tmp_path, "run", card, "--json")
    assert ran.returncode == 1
    assert json.loads(ran.stdout)["outcome"] == "refused"
    (line,) = ran.stderr.splitlines()[:1]
    assert "NL1_1005.xmp" in line and "mend it, or move it away" in line


def test_links_that_lead_out_are_told_and_not_followed(
    ran: subprocess.CompletedProcess[str], folder: Path
) -> None:
    said = {
        name: line for line in ran.stderr.splitlines() for name in ("leads_out", "secret") if name in line
    }
    assert "leads_out.jpg: this symbolic link leads out" in said["leads_out"]
    assert "linked_sidecar.xmp: It is a link that leads out of its folder" in said["secret"]
    assert (folder / "linked_sidecar.xmp").read_bytes() == b"not to be touched"
    assert len(list((folder / "linked_sidecar.xmp").resolve().parent.iterdir())) == 2


def test_hostile_metadata_is_data_and_nothing_else(
    ran: subprocess.CompletedProcess[str], home: Path, folder: Path
) -> None:
    (line,) = [json.loads(line) for line in ran.stdout.splitlines() if "metadata.jpg" in line]
    assert line["outcome"] == "written"
    data = home / ".local" / "share" / "eyeline"
    with sqlite3.connect(f"file:{data}/ledger.sqlite3?mode=ro", uri=True) as ledger:
        (capture,) = ledger.execute(
            "SELECT capture FROM photos WHERE digest = ?", (line["digest"],)
        ).fetchone()
        assert "DROP TABLE" in capture  # as the file has it, and the tables are there still
    for written in (ran.stdout, ran.stderr, (data / "decisions.jsonl").read_text()):
        assert all(each.isprintable() for each in written.splitlines())
    assert subprocess.run(
        ["exiftool", "-s3", "-XMP-xmp:Rating", folder / "metadata.xmp"], capture_output=True, text=True
    ).stdout.strip() == str(line["stars"])


def test_a_folder_file_that_says_how_to_write_is_refused_with_its_folder_and_no_other(
    ran: subprocess.CompletedProcess[str], folder: Path, eyeline: Eyeline
) -> None:
    (line,) = [line for line in ran.stderr.splitlines() if "eyeline.toml" in line]
    assert "line 1: sidecar_name: is set in the configuration only" in line
    assert "until then no photo in this folder or below is judged" in line
    assert ran.returncode == 2
    assert sorted(names_in(folder / "refused")) == [GOOD, "eyeline.toml"]
    (folder / "refused" / "eyeline.toml").unlink()
    assert eyeline("run", folder / "refused").returncode == 0
    assert (folder / "refused" / GOOD).with_suffix(".xmp").is_file()


def test_nothing_half_written_is_left(ran: subprocess.CompletedProcess[str], folder: Path) -> None:
    assert ran
    assert not [name for name in names_in(folder) if name.startswith(".eyeline-") or "exiftool_tmp" in name]


def test_a_broken_rule_file_is_named_and_the_rest_stays_in_force(tmp_path: Path) -> None:
    rules = tmp_path / ".config" / "eyeline" / "rules"
    rules.mkdir(parents=True)
    (rules / "mine.toml").write_text('name = "corporate headshot"\n[criteria.headroom]\nweigth = 2\n')
    copy_frames(tmp_path / "card", GOOD)
    ran = run_here(tmp_path, "run", tmp_path / "card", "--json", "--dry-run")
    assert "mine.toml, line 3" in ran.stderr
    assert "did you mean 'weight'" in ran.stderr
    assert json.loads(ran.stdout)["genre"] == "corporate headshot"
    checked = run_here(tmp_path, "genres", "check", rules / "mine.toml")
    assert checked.returncode == 2
    assert "line 3" in checked.stdout


def test_usage_and_configuration_errors_exit_with_2(tmp_path: Path) -> None:
    assert run_here(tmp_path, "run").returncode == 2
    settings = tmp_path / "config.toml"
    settings.write_text("workers = 2\nquiet_second = 1\n")
    ran = run_here(tmp_path, "run", tmp_path, "--config", settings)
    assert ran.returncode == 2
    assert "line 2" in ran.stderr
    assert "quiet_seconds" in ran.stderr
    unknown = run_here(tmp_path, "run", tmp_path, "--genre", "corporate headshots")
    assert unknown.returncode == 2
    assert "'corporate headshot'" in unknown.stderr


def test_rights_that_are_missing_are_told(tmp_path: Path) -> None:
    readable, unwritable, hidden = (tmp_path / name for name in ("readable", "unwritable", "hidden"))
    copy_frames(readable, GOOD, "NL1_1006.jpg")
    copy_frames(unwritable, GOOD)
    copy_frames(hidden, GOOD)
    (readable / "NL1_1006.jpg").chmod(0o000)
    unwritable.chmod(0o555)
    hidden.chmod(0o000)
    try:
        ran = subprocess.run(
            [
                *WITHOUT_ROOTS_RIGHTS,
                sys.executable,
                "-m",
                "eyeline",
                "run",
                readable,
                unwritable,
                hidden,
                "--json",
            ],
            env=environment(tmp_path),
            capture_output=True,
            text=True,
            check=False,
        )
    finally:
        unwritable.chmod(0o755)
        hidden.chmod(0o755)
    assert ran.returncode == 1, ran.stderr
    by_name = {json.loads(line)["file"]: json.loads(line) for line in ran.stdout.splitlines()}
    assert by_name[str(readable / GOOD)]["outcome"] == "written"
    assert by_name[str(unwritable / GOOD)]["outcome"] == "refused"
    for path, says in (
        (readable / "NL1_1006.jpg", "cannot be read"),
        (unwritable / "NL1_1005.xmp", "ermission"),
        (hidden, "cannot be listed"),
    ):
        assert any(str(path) in line and says in line for line in ran.stderr.splitlines()), (path, ran.stderr)
    assert not list(unwritable.glob("*.xmp"))
