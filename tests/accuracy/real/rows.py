"""All rows on real photographs. A further subject is a module beside this one and a line in `PARTS`."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tests.accuracy.figures.row import Row
from tests.accuracy.real.altered import crown_rows, mirror_rows
from tests.accuracy.real.blur import blur_rows
from tests.accuracy.real.eyes import eye_rows
from tests.accuracy.real.filling import filling_rows
from tests.accuracy.real.light import burnt_rows
from tests.accuracy.real.measured import Measured, measured
from tests.accuracy.real.moved import moved_rows
from tests.accuracy.real.sets import real_portraits, studio_pictures
from tests.accuracy.real.stars import star_rows

HEADINGS = ("measure", "photos", "measured", "figure", "goal", "reached")

PARTS: tuple[Callable[[str, Sequence[Measured]], list[Row]], ...] = (
    eye_rows,
    burnt_rows,
    crown_rows,
    filling_rows,
    blur_rows,
    mirror_rows,
    star_rows,
)
"""What is said of a set by its name and its measured photographs."""


def real_rows(seen: bool | None = None) -> list[Row]:
    """Rows set by set; `seen`: only photographs that may be looked at (True), only the others (False)."""
    rows: list[Row] = []
    for photographs in (real_portraits(), studio_pictures()):
        taken = measured([each for each in photographs if seen is None or each.seen == seen])
        for part, label in ((True, "looked at while choosing"), (False, "not looked at")):
            group = [each for each in taken if each.photograph.seen == part]
            for of_subject in PARTS if group else ():
                rows += of_subject(f"{group[0].photograph.set_name}, {label}", group)
    return rows if seen else [*rows, *moved_rows()]
