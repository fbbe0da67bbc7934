"""Reports on what the ledger knows: asked for alike, as text or as JSON."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from typing import TypeVar

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of
from eyeline.ledger.ledger import Ledger
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import RulesInForce, rules_in_force

Report = TypeVar("Report")


def print_report(
    arguments: argparse.Namespace,
    report_of: Callable[[Ledger, Configuration, RulesInForce], Report],
    told: Callable[[Report], Sequence[str]],
    record: Callable[[Report], dict[str, object]],
) -> int:
    """Make a report and print it: its lines as `told`, or with --json its `record`."""
    configuration = configuration_of(arguments)
    rules, _ = rules_in_force(configuration)
    with Ledger.up_to_date(configuration.ledger, datetime.now(UTC)) as ledger:
        report = report_of(ledger, configuration, rules)
    if arguments.json:
        print(json.dumps(record(report), ensure_ascii=True))
        return DONE
    for line in told(report):
        say(line)
    return DONE
