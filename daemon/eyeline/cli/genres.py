"""`eyeline genres`: what there is to judge by, one genre in full, or the mistakes of a rule file."""

from __future__ import annotations

import argparse
from pathlib import Path

from eyeline.cli.exit_codes import DONE, MISUSED
from eyeline.cli.genre_page import page, with_origin
from eyeline.cli.lines import folded, say
from eyeline.cli.words import configuration_of, counted
from eyeline.errors import printable
from eyeline.settings.rules import DEFAULT_BRIEF, Checked, RulesInForce, checked, rules_in_force


def run(arguments: argparse.Namespace) -> int:
    """List, show or check; 2 where a checked file has mistakes."""
    configuration = configuration_of(arguments)
    if arguments.what == "check":
        return _say_mistakes(arguments.file, checked(arguments.file, configuration))
    rules, _ = rules_in_force(configuration)
    if arguments.what == "show":
        genre = rules.rules.genre(arguments.name)
        for line in with_origin(genre) if arguments.origin else page(genre, rules.quantities):
            say(line)
    else:
        _list(rules, configuration.rules)
    return DONE


def _list(rules: RulesInForce, own: Path) -> None:
    for name, rulebook in sorted(rules.rules.genres.items()):
        mark = "*" if name in DEFAULT_BRIEF else " "
        print(folded(f"{mark} {name:24} {rulebook.why}", 27))
    say("\n* judged on where nothing else is said. One of them: eyeline genres show NAME")
    say(f"Your own go into {printable(own)}, one file each.")
    for mistake in rules.mistakes:
        say(f"Left out: {mistake}")


def _say_mistakes(file: Path, found: Checked) -> int:
    if found.mistakes:
        say(f"{printable(file)} has {counted(len(found.mistakes), 'mistake')}:")
    else:
        say(f"{printable(file)}: no mistakes.")
    for mistake in found.mistakes:
        here = mistake.file == str(file) and mistake.line is not None
        say(f"  line {mistake.line}: {mistake.text}" if here else f"  {mistake}", 4)
    if found.doubts:
        say("And is this what you mean?" if found.mistakes else "But is this what you mean?")
        for doubt in found.doubts:
            say(f"  line {doubt.line}: {doubt.text}", 4)
    return MISUSED if found.mistakes else DONE
