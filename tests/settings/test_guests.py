"""Guests: a working one is used like a built-in measure, a broken one is reported and the rest goes on."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from eyeline.measuring.take import take
from eyeline.reading.picture import reduced
from eyeline.settings.guests import load_guests
from eyeline.terms.face import Seen
from eyeline.terms.frame import Frame, Picture
from eyeline.terms.measurement import FrameMeasure, FrameSubject, Measurement, Quantity

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "eyeline-monochrome"


@pytest.fixture(scope="module")
def example_wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(out)],
        cwd=EXAMPLE,
        check=True,
        capture_output=True,
    )
    return next(out.glob("*.whl"))


@pytest.fixture
def installed_example(example_wheel: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    with zipfile.ZipFile(example_wheel) as wheel:
        wheel.extractall(tmp_path)
    monkeypatch.syspath_prepend(str(tmp_path))
    yield
    sys.modules.pop("eyeline_monochrome", None)


def install_broken(folder: Path, value: str) -> None:
    info = folder / "eyeline_hands-0.1.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: eyeline-hands\nVersion: 0.1\n")
    (info / "entry_points.txt").write_text(f"[eyeline.measures]\nhands = {value}\n")


def subject(rgb: np.ndarray) -> FrameSubject:
    height, width = rgb.shape[:2]
    frame = Frame(Path("invented.jpg"), "0" * 64, width, height, width, height, 1)
    return FrameSubject(frame, Picture(rgb, reduced(rgb)), Seen((), None, "", None, None), None)


@pytest.mark.usefixtures("installed_example")
def test_the_example_guest_tells_colour_from_grey() -> None:
    guests = load_guests(built_in=())
    assert guests.problems == ()
    assert [q.name for m in guests.measures for q in m.quantities] == ["monochrome"]

    random = np.random.default_rng(7)
    grey = np.repeat(random.integers(0, 256, (90, 120, 1), dtype=np.uint8), 3, axis=2)
    colour = random.integers(0, 256, (90, 120, 3), dtype=np.uint8)
    for picture, expected in ((grey, True), (colour, False)):
        known, _ = take(subject(picture), guests.measures)
        assert known["monochrome"].value is expected


@pytest.mark.usefixtures("installed_example")
def test_a_broken_guest_is_named_and_the_good_one_still_loads(tmp_path: Path) -> None:
    install_broken(tmp_path, "eyeline_nowhere:MEASURE")
    guests = load_guests(built_in=())
    assert len(guests.measures) == 1
    (problem,) = guests.problems
    assert "eyeline-hands 0.1" in problem
    assert "eyeline_nowhere" in problem


def test_a_guest_of_another_type_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(tmp_path))
    install_broken(tmp_path, "os:sep")
    guests = load_guests(built_in=())
    assert guests.measures == ()
    assert "not an eyeline Measure" in guests.problems[0]


@pytest.mark.usefixtures("installed_example")
def test_a_guest_may_not_take_a_name_in_use() -> None:
    own = FrameMeasure(
        (Quantity("monochrome", "yes or no", ""),), lambda _: [Measurement("monochrome", True)], "this test"
    )
    guests = load_guests(built_in=(own,))
    assert guests.measures == ()
    assert "monochrome" in guests.problems[0]


def test_a_measure_that_raises_costs_only_itself() -> None:
    def breaks(_: FrameSubject) -> list[Measurement]:
        raise ZeroDivisionError("by design")

    broken = FrameMeasure((Quantity("broken", "ratio", ""),), breaks, "this test")
    fine = FrameMeasure(
        (Quantity("fine", "ratio", ""),),
        lambda _: [Measurement("fine", 1.0)],
        "this test",
    )
    known, _ = take(subject(np.zeros((64, 64, 3), np.uint8)), (broken, fine))
    assert known["broken"].value is None
    assert "by design" in str(known["broken"].missing)
    assert known["fine"].value == 1.0


@pytest.mark.parametrize("value", [float("nan"), float("inf"), np.float32("nan"), [1.0]])
def test_a_value_that_is_no_number_counts_as_missing(value: object) -> None:
    odd = FrameMeasure(
        (Quantity("odd", "ratio", ""),),
        lambda _: [Measurement("odd", value)],  # type: ignore[arg-type]
        "this test",
    )
    known, _ = take(subject(np.zeros((64, 64, 3), np.uint8)), (odd,))
    assert known["odd"].value is None
    assert "no number" in str(known["odd"].missing)


def test_numpy_scalars_become_plain_numbers() -> None:
    plain = FrameMeasure(
        (Quantity("plain", "ratio", ""),),
        lambda _: [Measurement("plain", np.float32(0.5))],  # type: ignore[arg-type]
        "this test",
    )
    known, _ = take(subject(np.zeros((64, 64, 3), np.uint8)), (plain,))
    assert type(known["plain"].value) is float
