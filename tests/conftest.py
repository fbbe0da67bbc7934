"""What several rooms' slow tests need and the suite pays for once."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from tests.accuracy.pipeline import Pair, pairs_of
from tests.accuracy.portraits import shoot


@pytest.fixture(scope="session")
def shoot_pairs() -> Sequence[Pair]:
    """The bundled shoot through the real pipeline, beside its truth; measured once a test run."""
    return tuple(pairs_of(shoot()))
