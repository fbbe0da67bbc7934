"""`eyeline run`: the main job on real frames, checked by readers that are not ours."""

from __future__ import annotations

import hashlib
import json
import subprocess
from pathlib import Path
from typing import Any

import pytest

from eyeline.cli.why import NOTABLE_COST
from tests.cli.conftest import SHOOT, Eyeline, copy_frames, in_one_line

FRAMES = ("NL1_1000.jpg", "NL1_1008.jpg", "NL1_1015.jpg", "NL1_1030.jpg")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sitting")
    copy_frames(folder, *FRAMES)
    return folder


@pytest.fixture(scope="module")
def lines(folder: Path, eyeline: Eyeline) -> list[dict[str, Any]]:
    ran = eyeline("run", folder, "--json")
    assert ran.returncode == 0, ran.stderr
    return [json.loads(line) for line in ran.stdout.splitlines()]


def test_every_photo_gets_one_line_of_json_and_one_sidecar(lines: list[dict[str, Any]], folder: Path) -> None:
    assert [Path(line["file"]).name for line in lines] == list(FRAMES)
    for line in lines:
        assert line["stars"] in (1, 2, 3, 4)
        assert line["genre"] in line["scores"]
        assert line["reasons"]
        assert Path(line["sidecar"]) == Path(line["file"]).with_suffix(".xmp")
        assert Path(line["sidecar"]).is_file()
    assert len(list(folder.glob("*.xmp"))) == len(FRAMES)
    assert not [path for path in folder.iterdir() if path.name.startswith(".eyeline-")]


def test_originals_are_byte_for_byte_what_they_were(lines: list[dict[str, Any]], folder: Path) -> None:
    assert lines
    for name in FRAMES:
        ours, theirs = (hashlib.sha256((where / name).read_bytes()) for where in (folder, SHOOT))
        assert ours.digest() == theirs.digest()


def read_with_exiftool(sidecar: Path) -> tuple[str, set[str], dict[str, tuple[float, ...]]]:
    ran = subprocess.run(
        ["exiftool", "-j", "-n", "-struct", "-XMP:all", str(sidecar)],
        capture_output=True,
        text=True,
        check=True,
    )
    (found,) = json.loads(ran.stdout, parse_int=str)
    regions = {
        region["RId"]: tuple(float(region["RegionBoundary"][f"Rb{key}"]) for key in "XYWH")
        for region in found.get("ImageRegion", [])
    }
    subject = found.get("Subject", [])
    return str(found.get("Rating", "")), set([subject] if isinstance(subject, str) else subject), regions


def read_with_exiv2(sidecar: Path) -> tuple[str, set[str], dict[str, tuple[float, ...]]]:
    ran = subprocess.run(["exiv2", "-PXkyv", str(sidecar)], capture_output=True, text=True, check=True)
    return _from_paths(
        [(key.replace("Xmp.iptcExt.", "").replace("Xmp.", ""), value) for key, value in _columns(ran.stdout)],
        "xmp.Rating",
        "dc.subject",
    )


def read_with_exempi(sidecar: Path) -> tuple[str, set[str], dict[str, tuple[float, ...]]]:
    ran = subprocess.run(["exempi", "-X", "-x", str(sidecar)], capture_output=True, text=True, check=True)
    from xml.etree import ElementTree

    names = {
        "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
        "xmp": "http://ns.adobe.com/xap/1.0/",
        "dc": "http://purl.org/dc/elements/1.1/",
        "ext": "http://iptc.org/std/Iptc4xmpExt/2008-02-29/",
    }
    text = ran.stdout
    root = ElementTree.fromstring(text[text.index("<x:xmpmeta") : text.index("</x:xmpmeta>") + 12])
    rating = root.find(".//xmp:Rating", names)
    ratings = [] if rating is None else [str(rating.text)]
    ratings += [d.get(f"{{{names['xmp']}}}Rating", "") for d in root.iterfind(".//rdf:Description", names)]
    subject = {str(li.text) for li in root.iterfind(".//dc:subject/rdf:Bag/rdf:li", names)}
    regions = {}
    for region in root.iterfind(".//ext:ImageRegion/rdf:Bag/rdf:li", names):
        boundary = region.find("ext:RegionBoundary", names)
        identifier = region.find("ext:rId", names)
        assert boundary is not None
        assert identifier is not None
        values = []
        for key in "XYWH":
            value = boundary.find(f"ext:rb{key}", names)
            values.append(
                float(
                    str(value.text) if value is not None else boundary.get(f"{{{names['ext']}}}rb{key}", "")
                )
            )
        regions[str(identifier.text)] = tuple(values)
    return next(filter(None, ratings), ""), subject, regions


def _columns(text: str) -> list[tuple[str, str]]:
    rows = (line.split(None, 2) for line in text.splitlines())
    return [(row[0], row[2] if len(row) > 2 else "") for row in rows if len(row) > 1]


def _from_paths(
    rows: list[tuple[str, str]], rating: str, subject: str
) -> tuple[str, set[str], dict[str, tuple[float, ...]]]:
    found_rating, words = "", set()
    fields: dict[str, dict[str, str]] = {}
    for key, value in rows:
        if key == rating:
            found_rating = value
        elif key == subject:
            words = set(value.split(", "))
        elif key.startswith("ImageRegion["):
            index, _, rest = key.partition("/")
            fields.setdefault(index, {})[rest.rpartition("/")[2].partition(":")[2]] = value
    regions = {
        each["rId"]: tuple(float(each[f"rb{key}"]) for key in "XYWH")
        for each in fields.values()
        if "rId" in each
    }
    return found_rating, words, regions


def stored_by_pillow_rules(area: dict[str, float], orientation: int) -> tuple[float, ...]:
    """Corners of the upright area carried back to stored pixels, corner by corner.

    CIPA DC-008 says which edge of the picture the stored row 0 and column 0 are; both opposite corners
    are carried and put in order, unlike the table that eyeline uses.
    """
    carry = {
        1: lambda x, y: (x, y),
        3: lambda x, y: (1 - x, 1 - y),
        6: lambda x, y: (y, 1 - x),
        8: lambda x, y: (1 - y, x),
    }[orientation]
    (x0, y0), (x1, y1) = (
        carry(area["left"], area["top"]),
        carry(area["left"] + area["width"], area["top"] + area["height"]),
    )
    return min(x0, x1), min(y0, y1), abs(x1 - x0), abs(y1 - y0)


READERS = {"exiftool": read_with_exiftool, "exiv2": read_with_exiv2, "exempi": read_with_exempi}

ROUNDING = 2e-6
"""Numbers are written with six decimals."""


def disagreements(line: dict[str, Any], reader: str) -> list[str]:
    """What `reader` finds in the sidecar other than was decided."""
    rating, words, regions = READERS[reader](Path(line["sidecar"]))
    wrong = []
    if rating != str(line["stars"]):
        wrong.append(f"rating {rating!r}, decided {line['stars']}")
    if words != set(line["keywords"]):
        wrong.append(f"keywords {words ^ set(line['keywords'])}")
    decided = {
        "eyeline-crop-" + crop["format"].replace(":", "x"): stored_by_pillow_rules(crop, line["orientation"])
        for crop in line["crops"]
    }
    found = {name: area for name, area in regions.items() if name.startswith("eyeline-crop-")}
    if found.keys() != decided.keys():
        wrong.append(f"crops {found.keys() ^ decided.keys()}")
    wrong += [
        f"{name}: {found[name]}, decided {decided[name]}"
        for name in found.keys() & decided.keys()
        if max(abs(a - b) for a, b in zip(found[name], decided[name], strict=True)) > ROUNDING
    ]
    return wrong


@pytest.mark.parametrize("reader", READERS)
def test_other_readers_find_what_was_decided(lines: list[dict[str, Any]], reader: str) -> None:
    assert sum(len(line["crops"]) for line in lines) >= len(lines), "too few crops to check regions by"
    assert [disagreements(line, reader) for line in lines] == [[]] * len(lines)


@pytest.mark.parametrize("reader", READERS)
def test_a_planted_shift_of_one_per_cent_would_be_seen(lines: list[dict[str, Any]], reader: str) -> None:
    for line in (line for line in lines if line["crops"]):
        shifted = json.loads(json.dumps(line))
        shifted["crops"][0]["left"] += 0.01
        assert disagreements(shifted, reader)


def test_a_second_run_changes_no_byte(lines: list[dict[str, Any]], folder: Path, eyeline: Eyeline) -> None:
    assert lines
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.iterdir()}
    ran = eyeline("run", folder, "--json")
    assert ran.returncode == 0
    assert {json.loads(line)["outcome"] for line in ran.stdout.splitlines()} == {"unchanged"}
    assert before == {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.iterdir()}


def test_a_renamed_photo_keeps_its_verdict_unmeasured(folder: Path, tmp_path: Path, eyeline: Eyeline) -> None:
    moved = tmp_path / "Selection 1.jpg"
    moved.write_bytes((folder / FRAMES[0]).read_bytes())
    status = eyeline("status").stdout
    ran = eyeline("run", moved, "--json")
    (line,) = [json.loads(line) for line in ran.stdout.splitlines()]
    assert line["stars"] is not None
    photos = [row for row in status.splitlines() if row.startswith("Photos:")]
    assert photos[0].split(",")[0] in eyeline("status").stdout, "it was measured as a new photo"


def test_a_dry_run_lists_the_frames_and_writes_nothing_outside_the_ledger(
    tmp_path: Path, eyeline: Eyeline
) -> None:
    copy_frames(tmp_path, FRAMES[1])
    ran = eyeline("run", tmp_path, "--dry-run")
    assert ran.returncode == 0
    assert [path.name for path in tmp_path.iterdir()] == [FRAMES[1]]
    (row,) = [line for line in ran.stdout.splitlines() if line.startswith(FRAMES[1])]
    assert "★" in row and "No sidecar was written" in ran.stdout


def test_why_gives_every_reason_that_cost_something_from_the_ledger(
    lines: list[dict[str, Any]], eyeline: Eyeline
) -> None:
    said_reasons = 0
    for line in lines:
        said = eyeline("why", line["file"], "--numbers")
        assert said.returncode == 0
        assert line["genre"] in said.stdout
        words = in_one_line(said.stdout)
        for reason in line["reasons"]:
            if reason["cost"] >= NOTABLE_COST:
                assert reason["says"] in words
                said_reasons += 1
    assert said_reasons >= len(lines), "too few reasons to speak of"


def test_json_has_every_measure_or_its_reason(lines: list[dict[str, Any]]) -> None:
    for line in lines:
        nulls = {name for name, value in line["measures"].items() if value is None}
        assert nulls == set(line["missing"])
        assert {"eye_line", "gaze", "eyes_open", "eye_blur_px"} <= line["measures"].keys()
