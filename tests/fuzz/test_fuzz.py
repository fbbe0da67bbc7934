"""The short form of the fuzzing run. The full one, with its figures, is in `tests/fuzz/__main__.py`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from eyeline.errors import UnreadablePhoto
from eyeline.judging.rule_file import RuleFile
from eyeline.judging.rules import read_rules
from eyeline.judging.vocabulary import read_vocabulary
from eyeline.reading.jpeg import stored_size
from tests.fuzz.carriers import fuzz_carriers
from tests.fuzz.figures import Figures
from tests.fuzz.photos import examples, fuzz_photos
from tests.fuzz.records import fuzz_records
from tests.fuzz.settings import fuzz_configurations, fuzz_rules

SEED = 20260501


@pytest.mark.slow
@pytest.mark.parametrize(
    ("fuzz", "cases", "ends"),
    [
        (fuzz_photos, 3 * len(examples()), {"measured", "unreadable"}),
        (fuzz_carriers, 40, {"written", "refused", "embedded written", "embedded refused"}),
        (fuzz_records, 40, {"written"}),
        (fuzz_rules, 30, {"mistakes told", "sound"}),
        (fuzz_configurations, 200, {"faults told", "sound"}),
    ],
)
def test_no_crash_hang_growth_or_altered_byte(
    fuzz: Callable[[Path, int, int], Figures], cases: int, ends: set[str], tmp_path: Path
) -> None:
    figures = fuzz(tmp_path, cases, SEED)
    assert figures.cases == cases
    assert figures.faults == []
    assert ends <= figures.outcomes.keys()  # or the mutations were all of one kind


@pytest.mark.parametrize("value", ["[" * 400 + "]" * 400, "9" * 5000, "0x" + "f" * 5000])
def test_values_that_python_itself_refuses_are_mistakes_on_one_line(value: str) -> None:
    file = RuleFile("mine.toml", f'name = "mine"\n[criteria.headroom]\nlimits = {value}\n')
    mistakes = read_rules([file], (), read_vocabulary([])[0]).mistakes
    assert mistakes
    assert all("\n" not in str(mistake) for mistake in mistakes)


def test_a_header_that_breaks_off_is_told() -> None:
    """The decoder's binding answers it with a KeyError."""
    jpeg = examples()["cmyk.jpg"]
    with pytest.raises(UnreadablePhoto, match="header is not complete"):
        stored_size(jpeg[: jpeg.index(b"\xff\xda")])
