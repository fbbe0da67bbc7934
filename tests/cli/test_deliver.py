"""Delivery by the real command line: what was selected, in the sizes of the brief, whole, checked, told."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import subprocess
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PIL.ExifTags import IFD, Base

from eyeline.cli import deliver as command
from eyeline.delivery import promise
from eyeline.system import whole_file
from tests.cli.conftest import Eyeline, copy_frames, opened_once
from tests.finals.made import frame_pixels, made_final

FRAMES = ("NL1_1000.jpg", "NL1_1002.jpg", "NL1_1007.jpg")
BRIEF = """\
[[brief]]
genre = "corporate headshot"
sizes = ["400x500", "300x300"]

[[brief]]
genre = "copy space right"
sizes = ["600x400"]
"""


@pytest.fixture(scope="module", autouse=True)
def one_session() -> Iterator[None]:
    with opened_once(command):
        yield


@pytest.fixture(scope="module")
def shoot(tmp_path_factory: pytest.TempPathFactory, eyeline: Eyeline) -> Path:
    folder = tmp_path_factory.mktemp("shoots") / "holm"
    copy_frames(folder, *FRAMES)
    (folder / "eyeline.toml").write_text(BRIEF)
    assert eyeline("run", folder).returncode == 0
    (folder / "answer.txt").write_text("1002 and 1007")
    assert eyeline("select", folder, "--from", folder / "answer.txt").returncode == 0
    return folder


def settings(folder: Path, **keys: object) -> Path:
    path = folder / "delivery.toml"
    path.write_text("".join(f"{key} = {json.dumps(value)}\n" for key, value in keys.items()))
    return path


def everything(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {
        str(path.relative_to(folder)): (path.read_bytes(), path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_what_was_selected_is_delivered_once_and_nothing_else_is_touched(
    shoot: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    before, out = everything(shoot), tmp_path / "out"
    asked = settings(tmp_path, name="{sitter}_{line}_{format}.jpg", creator="Mona Vale", most_kilobytes=40)
    shown = eyeline("deliver", shoot, "--to", out, "--settings", asked, "--dry-run")
    assert (shown.returncode, shown.stderr) == (0, "") and not out.exists()
    page = tmp_path / "report.html"
    done = eyeline("deliver", shoot, "--to", out, "--settings", asked, "--json", "--zip", "--report", page)
    assert (done.returncode, done.stderr) == (0, "")
    told = json.loads(done.stdout)
    names = sorted(path.name for path in out.iterdir())
    assert names == [
        "holm_copy space right_3x2.jpg",
        "holm_corporate headshot_1x1.jpg",
        "holm_corporate headshot_4x5.jpg",
    ]
    for each in told["files"]:
        path = Path(each["file"])
        with Image.open(path) as picture:
            assert list(picture.size) == each["size"] and picture.info["dpi"] == (300, 300)
        assert path.stat().st_size <= 40_000 and each["state"] == "written" and not each["broken"]
        assert each["measured"]["eye_line"] == pytest.approx(each["promised"]["eye_line"], abs=0.005)
        assert each["crop"] == "the suggested crop" or each["size"] == [600, 400]
        said = subprocess.run(
            ["exiftool", "-a", "-G1", path], capture_output=True, text=True, check=True
        ).stdout
        assert "Mona Vale" in said
        for never in (
            "selected",
            "headshot",
            "eyeline",
            "NL1_1002",
            "Rating",
            "Region",
            "assessed",
            str(shoot),
        ):
            assert never not in said.replace(path.name, "").replace(str(out), ""), never

    report = page.read_text()
    assert "3 files of 2 frames: 3 written." in report and "the suggested crop" in report
    assert report.count("data:image/jpeg") == 3 and "http" not in report.replace("http-equiv", "")

    with zipfile.ZipFile(told["archive"]) as archive:
        for line in archive.read("SHA256SUMS").decode().splitlines():
            digest, name = line.split("  ", 1)
            assert hashlib.sha256(archive.read(name)).hexdigest() == digest
        assert sorted(archive.namelist()) == sorted([*names, "SHA256SUMS"])

    delivered, kept = everything(out), everything(tmp_path)
    again = eyeline("deliver", shoot, "--to", out, "--settings", asked, "--zip")
    assert again.returncode == 0 and "3 files of 2 frames: 3 unchanged." in again.stdout
    assert everything(out) == delivered and everything(shoot) == before and everything(tmp_path) == kept
    other = eyeline("deliver", shoot, "--to", out, "--dry-run")
    for name in names:
        assert f"earlier: {name} is none of these files" in " ".join(other.stdout.split())
    Path(told["archive"]).write_bytes(b"somebody's")
    refused = eyeline("deliver", shoot, "--to", out, "--settings", asked, "--zip")
    assert refused.returncode == 1 and "another file has the archive's name" in refused.stderr


def test_a_file_that_does_not_show_what_was_promised_never_gets_its_name(
    shoot: Path, eyeline: Eyeline, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, out = settings(tmp_path, name="{number}_{size}"), tmp_path / "out"
    names = {"1002_400x500", "1002_300x300", "1007_600x400"}
    monkeypatch.setattr(promise, "EYE_LINE_TOLERANCE", -1.0)
    said = eyeline("deliver", shoot, "--to", out, "--settings", asked, "--zip")
    assert said.returncode == 1 and "3 not as promised" in said.stdout
    assert "1002_400x500 (not as promised).jpg" in said.stdout
    assert {path.name for path in out.iterdir()} == {f"{name} (not as promised).jpg" for name in names}
    assert not out.with_name("out.zip").exists()
    monkeypatch.undo()
    assert eyeline("deliver", shoot, "--to", out, "--settings", asked).returncode == 0
    assert {path.name for path in out.iterdir()} == {f"{name}.jpg" for name in names}


def test_a_photographer_s_own_crop_in_any_program_outranks_the_suggestion(
    shoot: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    sidecar = shoot / "NL1_1002.xmp"
    kept = sidecar.read_bytes()
    boundary = "RegionBoundary={RbShape=rectangle,RbUnit=relative,RbX=0.1,RbY=0.1,RbW=0.6,RbH=0.5}"
    role = "RRole=[{Identifier=[http://cv.iptc.org/newscodes/imageregionrole/cropping]}]"
    region = f"-XMP-iptcExt:ImageRegion+={{RId=mine,{boundary},{role}}}"
    subprocess.run(["exiftool", "-n", "-q", "-overwrite_original", region, sidecar], check=True)
    told = json.loads(eyeline("deliver", shoot, "--to", tmp_path / "out", "--json", "--dry-run").stdout)
    sidecar.write_bytes(kept)
    with Image.open(shoot / "NL1_1002.jpg") as picture:
        width, height = picture.size
    ratio = 0.6 * width / (0.5 * height)
    for each in told["files"]:
        own = abs(each["size"][0] / each["size"][1] / ratio - 1) <= 0.01 and "1002" in each["frame"]
        assert (each["crop"] == "your own crop") is own


def test_a_final_beside_its_frame_is_delivered_with_the_crop_carried_onto_it(
    shoot: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    pixels = frame_pixels(shoot / "NL1_1002.jpg")
    final = shoot / "NL1_1002-final.png"
    Image.fromarray(made_final(pixels, 5, 2.0).pixels).save(final)
    (tmp_path / "finals").mkdir()
    Image.fromarray(np.full((400, 300, 3), 90, np.uint8)).save(tmp_path / "finals" / "stranger.png")
    try:
        asked = ("--to", tmp_path / "out", "--finals", tmp_path / "finals", "--json")
        done = eyeline("deliver", shoot, *asked)
    finally:
        final.unlink()
    told = json.loads(done.stdout)
    assert told["finals"] == ["stranger.png fits no frame here"]
    mine = [each for each in told["files"] if each["source"] == "final"]
    assert mine and all(each["from"] == str(final) and "1002" in each["frame"] for each in mine)
    for each in mine:
        assert each["state"] == "written" and not each["broken"]
        assert each["measured"]["eye_line"] == pytest.approx(each["promised"]["eye_line"], abs=0.005)


def test_a_final_without_a_number_is_known_by_when_it_was_taken_and_doubted_by_its_picture_alone(
    shoot: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    """Between 1002 and 1007 frames are missing, which may look the same."""
    finals = tmp_path / "finals"
    finals.mkdir()
    made = Image.fromarray(made_final(frame_pixels(shoot / "NL1_1002.jpg"), 5).pixels)
    with Image.open(shoot / "NL1_1002.jpg") as frame:
        exif = frame.getexif()
    made.save(finals / "cover.jpg", exif=exif)
    exif.get_ifd(IFD.Exif)[Base.DateTimeOriginal] = "2026:09:14 10:13:37"
    made.save(finals / "later.jpg", exif=exif)
    made.save(finals / "plain.png")
    asked = ("--to", tmp_path / "out", "--finals", finals, "--json", "--dry-run")
    told = json.loads(eyeline("deliver", shoot, *asked).stdout)
    assert {each["from"] for each in told["files"] if each["source"] == "final"} == {
        str(finals / "cover.jpg")
    }
    assert told["finals"] == [
        "later.jpg was taken when none of these frames was: if it is of one, give it the number",
        "plain.png looks like NL1_1002.jpg, but not surely: give it the number of its frame",
    ]


def test_another_s_file_of_the_name_stays_and_a_link_leads_nowhere(
    shoot: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    out, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    out.mkdir()
    elsewhere.mkdir()
    (out / "1002_400x500.jpg").write_bytes(b"somebody's")
    (out / "linked").symlink_to(elsewhere)
    asked = settings(tmp_path, name="{number}_{size}")
    first = eyeline("deliver", shoot, "--to", out, "--settings", asked, "--dry-run")
    assert first.returncode == 1 and "another file has this name" in first.stdout
    asked = settings(tmp_path, name="linked/{number}_{size}")
    second = eyeline("deliver", shoot, "--to", out, "--settings", asked, "--dry-run")
    assert second.returncode == 1 and "a link leads out" in second.stdout
    assert (out / "1002_400x500.jpg").read_bytes() == b"somebody's" and not list(elsewhere.iterdir())


def test_a_size_that_the_frame_cannot_give_is_told_and_made_only_when_asked(
    shoot: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    brief = shoot / "eyeline.toml"
    brief.write_text(BRIEF.replace("400x500", "4000x5000"))
    try:
        told = json.loads(eyeline("deliver", shoot, "--to", tmp_path / "out", "--json", "--dry-run").stdout)
        assert [each["size"] for each in told["not_made"]] == [[4000, 5000]]
        words = eyeline("deliver", shoot, "--to", tmp_path / "out", "--dry-run").stdout
        assert words.startswith("3 files of 2 frames: 2 would be written, 1 not made.")
        asked = settings(tmp_path, enlarge=True)
        (tmp_path / "mine.toml").write_text("workers = 1\n")
        words = ("--settings", asked, "--config", tmp_path / "mine.toml", "--dry-run")
        shown = eyeline("deliver", shoot, "--to", tmp_path / "out", *words)
        assert shown.returncode == 0 and "scaled up" in shown.stdout
        *_, again = shown.stdout.splitlines()
        assert again.endswith(f"--settings {asked} --config {tmp_path / 'mine.toml'}"), "the same command"
    finally:
        brief.write_text(BRIEF)


def test_a_full_disk_ends_it_with_what_is_there_whole_and_the_same_goes_on(
    shoot: Path, eyeline: Eyeline, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, out = settings(tmp_path, name="{number}_{size}", quality=80), tmp_path / "out"
    real, made = whole_file.os.fsync, []

    def full(descriptor: int) -> None:
        path = Path(f"/proc/self/fd/{descriptor}").readlink()
        if out in path.parents and path.name.endswith(".new"):
            if made:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            made.append(path)
        real(descriptor)

    monkeypatch.setattr(whole_file.os, "fsync", full)
    stopped = eyeline("deliver", shoot, "--to", out, "--settings", asked)
    monkeypatch.undo()
    assert stopped.returncode == 1 and "No space left" in stopped.stderr and "goes on" in stopped.stderr
    (left,) = out.iterdir()
    with Image.open(left) as picture:
        picture.load()
    done = eyeline("deliver", shoot, "--to", out, "--settings", asked)
    assert "1 unchanged" in done.stdout and "2 written" in done.stdout
    left.write_bytes(left.read_bytes() + b"edited")
    again = eyeline("deliver", shoot, "--to", out, "--settings", asked)
    assert again.returncode == 1 and "another file has this name" in again.stdout
    assert left.read_bytes().endswith(b"edited")


def test_a_target_that_cannot_be_made_is_told(shoot: Path, eyeline: Eyeline, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    said = eyeline("deliver", shoot, "--to", tmp_path / "file" / "out")
    assert said.returncode == 1 and "cannot be made" in said.stderr


def brief_of(shoot: Path, genre: str, size: str) -> None:
    (shoot / "eyeline.toml").write_text(f'[[brief]]\ngenre = "{genre}"\nsizes = ["{size}"]\n')


def test_a_team_gets_matched_crops_and_an_identity_photo_is_measured_again_with_the_caution(
    shoot: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    (tmp_path / "more.txt").write_text("1000")
    assert eyeline("select", shoot, "--from", tmp_path / "more.txt").returncode == 0
    try:
        brief_of(shoot, "team page", "300x300")
        team = json.loads(eyeline("deliver", shoot, "--to", tmp_path / "team", "--json").stdout)
        assert {each["crop"] for each in team["files"]} == {"the team's crop"} and len(team["files"]) == 2
        one, other = (each["measured"] for each in team["files"])
        # Half of the page's own range of the eye line, 0.33 to 0.40: as the team itself is judged.
        assert one["eye_line"] == pytest.approx(other["eye_line"], abs=0.035)
        assert one["head_height"] == pytest.approx(other["head_height"], abs=0.035)

        brief_of(shoot, "identity photo Schengen", "413x531")
        told = json.loads(eyeline("deliver", shoot, "--to", tmp_path / "identity", "--json").stdout)
        (photo,) = told["files"]
        assert "1000" in photo["frame"] and photo["size"] == [413, 531]
        with Image.open(photo["file"]) as picture:
            assert picture.size == (413, 531)
        assert any("issuing authority decides" in each for each in photo["said"])
        assert any(each.startswith("by identity photo Schengen: ") for each in photo["said"])
        # Schengen: chin to crown 30 to 36 of 45 mm (the source stands in rules/identity-schengen.toml).
        assert 30 / 45 - 0.02 <= photo["measured"]["head_height"] <= 36 / 45 + 0.02
        assert {each["reason"].partition(":")[0] for each in told["not_made"]} == {"no crop mends this"}
    finally:
        (shoot / "eyeline.toml").write_text(BRIEF)
        assert eyeline("select", shoot, "--undo").returncode == 0


def test_nothing_selected_and_mistakes_in_the_settings_are_told(
    shoot: Path, eyeline: Eyeline, tmp_path: Path
) -> None:
    assert "is the folder of the photos" in eyeline("deliver", shoot, "--to", shoot).stderr
    wrong = settings(tmp_path, name="../{nobody}", quality=5)
    said = eyeline("deliver", shoot, "--to", tmp_path / "out", "--settings", wrong)
    assert said.returncode == 2 and "quality" in said.stderr
    wrong = settings(tmp_path, name="../{nobody}", bits=12)
    said = eyeline("deliver", shoot, "--to", tmp_path / "out", "--settings", wrong)
    assert said.returncode == 2 and "{nobody}" in said.stderr and "8 bits" in said.stderr
    assert eyeline("select", shoot, "--undo").returncode == 0
    assert "no frame has the keyword 'selected'" in eyeline("deliver", shoot, "--to", tmp_path / "o").stderr
