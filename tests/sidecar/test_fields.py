"""What may be said in a sidecar, and in which words."""

import dataclasses
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.sidecar.fields import Annotation, wanted
from eyeline.sidecar.notation import exiftool_date, fixed_point, iso_date
from eyeline.sidecar.regions import Region, copy_space_region, crop_region, sitter_region
from eyeline.terms.rectangle import Rectangle
from tests.sidecar.examples import EXAMPLE

HALF = Rectangle(0.25, 0.25, 0.5, 0.5)


@given(st.floats(0, 1))
def test_numbers_are_fixed_point_with_six_decimals_at_most(number: float) -> None:
    text = fixed_point(number)
    assert abs(float(text) - number) <= 5.1e-7
    assert set(text) <= set("0123456789.")
    assert len(text.partition(".")[2]) <= 6


@pytest.mark.parametrize(
    ("number", "text"),
    [(0.05, "0.05"), (1e-05, "0.00001"), (1e-9, "0"), (-1e-9, "0"), (1, "1"), (0.7, "0.7")],
)
def test_numbers_as_readers_want_them(number: float, text: str) -> None:
    assert fixed_point(number) == text


@given(
    st.builds(lambda x, y, w, h: Rectangle(x * (1 - w), y * (1 - h), w, h), *[st.floats(0.001, 1)] * 4),
    st.integers(1, 8),
)
def test_what_is_written_lies_in_the_frame(area: Rectangle, orientation: int) -> None:
    region = Region("eyeline-x", "x", area, ("areaOfInterest",))
    (stored,) = wanted(Annotation(None, (), (), (region,), "p"), orientation).regions
    box = stored.area
    assert 0 <= box.left < box.left + box.width <= 1 + 1e-9
    assert 0 <= box.top < box.top + box.height <= 1 + 1e-9


@pytest.mark.parametrize(
    ("frame", "roles"),
    [
        ((4000, 6000), ("portraitCropping",)),
        ((6000, 4000), ("landscapeCropping",)),
        ((5000, 5000), ("squareCropping",)),
        ((5000, 5010), ("squareCropping",)),
        ((5000, 5100), ("portraitCropping",)),
    ],
)
def test_the_shape_is_that_of_the_crop_as_displayed(frame: tuple[int, int], roles: tuple[str, ...]) -> None:
    assert crop_region("4:5", HALF, *frame, best=False).roles == roles
    assert crop_region("4:5", HALF, *frame, best=True).roles == ("recomCropping", *roles)


def test_the_standard_roles_and_types() -> None:
    assert sitter_region(HALF).roles == ("mainSubjectArea",)
    assert sitter_region(HALF).types == ("human",)
    assert copy_space_region(HALF).roles == ("areaOfInterest",)
    assert copy_space_region(HALF, "left").id != copy_space_region(HALF, "right").id


def wrong(**changes: object) -> Annotation:
    return dataclasses.replace(EXAMPLE, **changes)  # type: ignore[arg-type]


def region(**changes: object) -> tuple[Region, ...]:
    return (dataclasses.replace(sitter_region(HALF), **changes),)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "annotation",
    [
        wrong(stars=-1),
        wrong(stars=0),
        wrong(stars=6),
        wrong(keywords=("",)),
        wrong(keywords=("two\nlines",)),
        wrong(keywords=("bell\a",)),
        wrong(keywords=("surrogate \udcff",)),
        wrong(scene_codes=("10100",)),
        wrong(scene_codes=("0101000",)),
        wrong(scene_codes=("999999",)),
        wrong(parameters="two\nlines"),
        wrong(regions=region(id="their-1")),
        wrong(regions=region(id="eyeline-a b")),
        wrong(regions=region(id="eyeline-a}")),
        wrong(regions=region(name="")),
        wrong(regions=region(roles=("crop",))),
        wrong(regions=region(types=("face",))),
        wrong(regions=region() * 2),
        wrong(regions=region(area=Rectangle(0.6, 0, 0.5, 1))),
        wrong(regions=region(area=Rectangle(-0.1, 0, 0.5, 1))),
        wrong(regions=region(area=Rectangle(0, 0, 0, 1))),
        wrong(regions=region(area=Rectangle(0, 0, 1e-8, 1))),
        wrong(regions=region(area=Rectangle(float("nan"), 0, 0.5, 1))),
        wrong(regions=region(area=Rectangle(0, 0, float("inf"), 1))),
    ],
)
def test_what_no_sidecar_may_say(annotation: Annotation) -> None:
    with pytest.raises(ValueError):
        wanted(annotation, 1)


def test_a_hair_over_the_edge_is_put_on_it() -> None:
    (stored,) = wanted(wrong(regions=region(area=Rectangle(-1e-9, 0.0, 1 + 2e-9, 1.0))), 1).regions
    assert stored.area == Rectangle(0, 0, 1, 1)


def test_blanks_around_a_word_go_and_a_word_comes_once() -> None:
    assert wanted(wrong(keywords=(" blink ", "blink")), 1).keywords == ("blink",)


def test_a_date_needs_its_offset() -> None:
    with pytest.raises(ValueError, match="offset"):
        iso_date(datetime(2031, 1, 1))
    assert exiftool_date("2031-04-17T18:22:05+02:00") == "2031:04:17 18:22:05+02:00"
    assert exiftool_date("2031-04") == "2031:04"
