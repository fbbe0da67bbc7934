"""The published JSON Schema is the grammar's own, and it says what the parser says."""

import json
import tomllib

import pytest

from eyeline.judging.schema import genre_schema
from tests.judging.shipped import ROOT, shipped_files

PUBLISHED = ROOT / "rules" / "genre.schema.json"


def test_the_published_schema_is_current() -> None:
    """Written by: python -m tests.judging.test_schema"""
    assert json.loads(PUBLISHED.read_text("utf-8")) == genre_schema()


def test_the_schema_accepts_every_shipped_genre() -> None:
    jsonschema = pytest.importorskip("jsonschema")
    validator = jsonschema.Draft202012Validator(genre_schema())
    for file in shipped_files():
        faults = [error.message for error in validator.iter_errors(tomllib.loads(file.text))]
        assert faults == [], file.name


@pytest.mark.parametrize(
    "text",
    [
        "inherit = 'x'",
        "floor = 2",
        "floor = true",
        "criteria.headroom.between = [0.1]",
        "criteria.headroom.weight = '2'",
        "faults.x.when = { measure = 'gaze' }",
        "faults.x.when = { measure = 'gaze', iz = 'left' }",
        "crops.formats.'4x5' = { pixels = [1, 1] }",
    ],
)
def test_the_schema_refuses_what_the_parser_refuses(text: str) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    validator = jsonschema.Draft202012Validator(genre_schema())
    assert list(validator.iter_errors(tomllib.loads(text)))


if __name__ == "__main__":
    PUBLISHED.write_text(json.dumps(genre_schema(), indent=1, ensure_ascii=False) + "\n", "utf-8")
