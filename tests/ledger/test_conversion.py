"""What goes into the ledger comes out the same, or not at all."""

import json
import math
import os
import sqlite3
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from eyeline.ledger import conversion
from eyeline.ledger.conversion import from_json, measurements_from_json, measurements_to_json, to_json
from eyeline.terms.frame import Capture
from eyeline.terms.measurement import Measurement
from eyeline.terms.points import Points
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Verdict
from tests.ledger import strategies


@given(strategies.verdicts)
def test_a_verdict_survives_in_full(verdict: Verdict) -> None:
    assert from_json(to_json(verdict), Verdict) == verdict


@given(strategies.points)
def test_points_survive(points: Points) -> None:
    assert from_json(to_json(points), Points) == points


@given(strategies.captures)
def test_what_the_camera_noted_survives_even_where_it_is_no_text(capture: Capture) -> None:
    assert from_json(to_json(capture), Capture) == capture


@given(st.lists(strategies.measurements, max_size=6, unique_by=lambda one: one.name))
def test_measurements_survive_with_their_types_and_reasons(measurements: list[Measurement]) -> None:
    back = measurements_from_json(measurements_to_json(measurements))
    assert back == tuple(measurements)
    assert [type(one.value) for one in back] == [type(one.value) for one in measurements]


@given(strategies.verdicts)
def test_json_is_one_line_of_printable_ascii(verdict: Verdict) -> None:
    text = to_json(verdict)
    assert text.isascii() and text.isprintable()


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf, np.float64("nan")])
def test_what_is_no_finite_number_is_never_stored(number: float) -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        measurements_to_json([Measurement("eye_line", number)])
    with pytest.raises(ValueError, match="not JSON compliant"):
        to_json(Rectangle(number, 0.0, 1.0, 1.0))


def test_arrays_and_their_numbers_are_no_plain_values() -> None:
    with pytest.raises(TypeError):
        measurements_to_json([Measurement("eye_line", np.float32(0.5))])  # type: ignore[arg-type]


def test_one_name_holds_one_measurement() -> None:
    with pytest.raises(ValueError, match="eye_line"):
        measurements_to_json([Measurement("eye_line", 1.0), Measurement("eye_line", 2.0)])


@pytest.mark.parametrize(
    "wrong",
    [
        '{"left":0,"top":0,"width":1}',
        '{"left":0,"top":0,"width":1,"height":"1"}',
        '{"left":0,"top":0,"width":1,"height":true}',
        '{"left":0,"top":0,"width":1,"height":1,"depth":1}',
        "[]",
        "null",
        "{",
        "[" * 100_000,
    ],
)
def test_reading_is_strict(wrong: str) -> None:
    with pytest.raises(ValueError):
        from_json(wrong, Rectangle)


@pytest.mark.parametrize("wrong", ["[]", '{"a":null}', '{"a":{"missing":1}}', '{"a":[1]}', '{"a":{}}'])
def test_what_is_no_measurement_is_not_taken_for_one(wrong: str) -> None:
    with pytest.raises(ValueError):
        measurements_from_json(wrong)


@given(strategies.paths)
def test_any_file_name_survives_sqlite(path: Path) -> None:
    connection = sqlite3.connect(":memory:")
    held = connection.execute("SELECT ?", (conversion.path_bytes(path),)).fetchone()[0]
    connection.close()
    assert conversion.path_of(held) == path


def test_a_relative_path_is_refused() -> None:
    with pytest.raises(ValueError, match="absolute"):
        conversion.path_bytes(Path("a.jpg"))


@given(strategies.paths, strategies.paths)
@example(Path("/a"), Path("/a/\udcff\udcff.jpg"))
def test_a_span_holds_exactly_what_lies_under_the_folder(folder: Path, other: Path) -> None:
    start, end = conversion.span(folder)
    for path in (
        other,
        folder,
        folder / "x",
        folder.with_name(folder.name + "x"),
        folder / other.relative_to("/"),
    ):
        # the standard library's own account of what lies under what
        assert (start <= os.fsencode(path) < end) == (folder in path.parents)


@given(strategies.moments, strategies.moments)
def test_moments_survive_and_sort_as_text(one: datetime, other: datetime) -> None:
    assert conversion.moment_of(conversion.utc_text(one)) == one
    assert (conversion.utc_text(one) < conversion.utc_text(other)) == (one < other)


def test_a_moment_needs_its_zone() -> None:
    with pytest.raises(ValueError, match="zone"):
        conversion.utc_text(datetime(2026, 1, 1))


@given(st.text(alphabet=st.characters()))
def test_text_is_storable(text: str) -> None:
    conversion.storable(text).encode("utf-8")
    json.loads(conversion.json_text(text))
