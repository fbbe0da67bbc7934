"""The ledger: an SQLite file that remembers every photo, its measures, verdicts and what was written.

Knows SQL and nothing of pictures or rules. Touches the ledger's own files only.
"""

from eyeline.ledger.database import keep_aside
from eyeline.ledger.decision_log import DecisionLog
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import (
    Decision,
    KnownFile,
    Outcome,
    Photo,
    PreImage,
    Problem,
    State,
    Status,
)

__all__ = [
    "Decision",
    "DecisionLog",
    "KnownFile",
    "Ledger",
    "Outcome",
    "Photo",
    "PreImage",
    "Problem",
    "State",
    "Status",
    "keep_aside",
]
