"""`eyeline doctor`: is everything here that eyeline needs?"""

from __future__ import annotations

import argparse

from eyeline.cli.exit_codes import DONE, MISUSED
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of
from eyeline.errors import printable
from eyeline.run.checkup import examine_installation
from eyeline.workers.quiet import quiet_native_logs


def run(arguments: argparse.Namespace) -> int:
    """One line a finding; 2 if anything is amiss."""
    amiss = 0
    # The models' threads go on logging after the models are loaded.
    with quiet_native_logs():
        findings = list(examine_installation(configuration_of(arguments)))
    for finding in findings:
        amiss += not finding.well
        cure = f" → {finding.cure}" if finding.cure else ""
        say(f"{'ok  ' if finding.well else 'MEND'}  {finding.what:14} {printable(finding.says)}{cure}", 21)
    say("All is well." if not amiss else f"{amiss} to mend.")
    return MISUSED if amiss else DONE
