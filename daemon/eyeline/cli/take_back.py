"""`eyeline take-back`: let eyeline write anew where all that it wrote has gone."""

from __future__ import annotations

import argparse

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, outcome_words, say_problem
from eyeline.errors import printable
from eyeline.run.session import open_session
from eyeline.run.take_back import in_doubt, let_write_anew


def run(arguments: argparse.Namespace) -> int:
    """Write anew into every sidecar that is in doubt; what the photographer decided stays theirs."""
    configuration = configuration_of(arguments)
    naming = configuration.naming
    with open_session(configuration, arguments.paths, arguments.genre, False, say_problem) as session:
        photos = list(in_doubt(session.ledger, arguments.paths, naming))
        for photo in photos:
            let_write_anew(session.ledger, photo, naming)
        for _, decision in session.decider.decide(photos):
            say(f"{printable(decision.sidecar or decision.path)}: {outcome_words(decision.outcome)}")
    if not photos:
        say("No sidecar is in doubt: nothing was written.")
    return DONE
