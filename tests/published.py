"""What is made from the grammars: JSON Schemas in rules/, tables of keys in README and docs.

`python -m tests.published` writes all of it anew; `tests/test_published.py` checks that it is current.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

from eyeline.judging.schema import vocabulary_schema
from eyeline.settings.published import configuration_keys, folder_file_keys, schemas
from tests.judging.test_schema import published as genre_schema

CHECKOUT = Path(__file__).resolve().parents[1]
TABLES = {"README.md": configuration_keys, "docs/brief.md": folder_file_keys}
"""The documents that hold a table of keys, between two comments."""

_TABLE = re.compile(r"(<!-- keys: python -m tests\.published -->\n\n).*?(\n\n<!-- /keys -->)", re.DOTALL)


def texts() -> dict[Path, str]:
    """Each file that is made, wholly or in part, with the text it should have."""
    every = {
        "genre.schema.json": genre_schema(),
        "vocabulary.schema.json": vocabulary_schema(),
        **schemas(),
    }
    found = {
        CHECKOUT / "rules" / name: json.dumps(schema, indent=1, ensure_ascii=False) + "\n"
        for name, schema in every.items()
    }
    for name, table in TABLES.items():
        path = CHECKOUT / name
        found[path] = with_table(path.read_text("utf-8"), table())
    return found


def with_table(document: str, table: str) -> str:
    """`document` with `table` in its place. Raises ValueError where there is no place, or more than one."""
    made, places = _TABLE.subn(lambda place: f"{place[1]}{table}{place[2]}", document)
    if places != 1:
        raise ValueError(f"{places} places for a table of keys, where one belongs")
    return made


if __name__ == "__main__":
    for path, text in texts().items():
        path.write_text(text, "utf-8")
