"""A message is made of sentences: what happened, to which file, what to do."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeline.errors import BadConfiguration, EyelineError, message

FILE = Path("/shoots/a.jpg")


@pytest.mark.parametrize(
    ("what", "cure", "said"),
    [
        ("it is empty", "Copy it again", "/shoots/a.jpg: it is empty. Copy it again."),
        ("it is empty", "", "/shoots/a.jpg: it is empty."),
        ("no genre is called 'x'; did you mean 'y'?", "Mend it", "/shoots/a.jpg: no genre is called 'x'; did "
         "you mean 'y'? Mend it."),
        ("it is empty.", "Is its server on?", "/shoots/a.jpg: it is empty. Is its server on?"),
        ("these lines are wrong:\n  line 1: x\n  line 2: y", "Mend them", "/shoots/a.jpg: these lines are "
         "wrong:\n  line 1: x\n  line 2: y.\nMend them."),
    ],
)  # fmt: skip
def test_every_sentence_ends_once(what: str, cure: str, said: str) -> None:
    assert message(what, FILE, cure) == said == str(EyelineError(what, FILE, cure))


@given(st.text(min_size=1), st.text())
def test_no_text_makes_a_line_of_its_own_unless_it_is_indented(what: str, cure: str) -> None:
    said = str(BadConfiguration(what, FILE, cure))
    lines = said.split("\n")
    assert all(line.isprintable() for line in lines)
    assert not any(end in said for end in ("?.", "!.")) or "?." in what + cure or "!." in what + cure
    assert all(line.startswith("  ") for line in lines[1:-1])
