"""Spoilt pairs through the real pipeline, a few of each kind; all: python -m tests.judging.spoilt"""

from pathlib import Path

import pytest

from tests.accuracy.portraits import shoot
from tests.judging.spoiling import KINDS
from tests.judging.spoilt import CLOSED, SHORT, few_of_each, pairs_of, scores, table

SHARE_WON = 0.97


@pytest.mark.slow
def test_the_original_beats_its_spoilt_twin(tmp_path: Path) -> None:
    """A tie is a failure. Share and kinds: the acceptance of the judgement."""
    rows = table(scores(few_of_each(pairs_of(shoot()), SHORT), tmp_path))
    assert {kind for kind, *_ in rows} == {*KINDS, CLOSED}
    for kind, many, won, least in rows:
        assert many == SHORT, kind
        assert won >= SHARE_WON * many, f"{kind}: {won} of {many}, smallest lead {least:+.3f}"
