from collections.abc import Iterator
from pathlib import Path

import pytest

from eyeline.ledger import Ledger
from tests.ledger.invented import NOW


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    with Ledger(tmp_path / "kept" / "ledger.sqlite3", NOW) as opened:
        yield opened
