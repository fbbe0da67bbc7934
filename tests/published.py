"""What is made from the code: JSON Schemas in rules/, tables of keys and of measures in README and docs, man
page and completions for shells in service/share/.

`python -m tests.published` writes all of it anew; `tests/test_published.py` checks that it is current.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

from eyeline.judging.schema import vocabulary_schema
from eyeline.measuring.catalogue import BUILT_IN
from eyeline.settings.published import configuration_keys, delivery_keys, folder_file_keys, schemas
from eyeline.sitting.quantities import SET_QUANTITIES
from eyeline.terms.measurement import Quantity
from tests.judging.test_schema import published as genre_schema
from tests.published_words import words

CHECKOUT = Path(__file__).resolve().parents[1]
TABLES = {
    "README.md": configuration_keys,
    "docs/brief.md": folder_file_keys,
    "docs/delivery.md": delivery_keys,
}
"""The documents that hold a table of keys, between two comments."""

KEYS, MEASURES = "keys", "measures"

MEASURES_PAGE = "docs/measures.md"

OF_THE_SET = "the photo among the others of its sitting"


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
        found[path] = with_table(path.read_text("utf-8"), KEYS, table())
    page = CHECKOUT / MEASURES_PAGE
    found[page] = with_table(page.read_text("utf-8"), MEASURES, measures_table())
    return found | words(CHECKOUT)


def measures_table() -> str:
    """Every quantity with its unit, its meaning and where the way of measuring comes from."""
    rows = ["| measure | unit | meaning | from |", "| --- | --- | --- | --- |"]
    for measure in BUILT_IN:
        rows += [
            _row(each, measure.source if each is measure.quantities[0] else "″")
            for each in measure.quantities
        ]
    return "\n".join([*rows, *(_row(each, OF_THE_SET) for each in SET_QUANTITIES)])


def _row(quantity: Quantity, source: str) -> str:
    unit = ", ".join(f"`{word}`" for word in quantity.words) or quantity.unit
    return f"| `{quantity.name}` | {unit} | {quantity.meaning} | {source} |"


def with_table(document: str, name: str, table: str) -> str:
    """`document` with `table` in the place called `name`. Raises ValueError unless there is one."""
    start, end = f"<!-- {name}: python -m tests.published -->\n\n", f"\n<!-- /{name} -->"
    made, places = re.subn(
        f"({re.escape(start)}).*?({re.escape(end)})",
        lambda place: f"{place[1]}{table}\n{place[2]}",
        document,
        flags=re.DOTALL,
    )
    if places != 1:
        raise ValueError(f"{places} places for a table of {name}, where one belongs")
    return made


if __name__ == "__main__":
    for path, text in texts().items():
        path.write_text(text, "utf-8")
