"""The command `eyeline`: finds the verb, runs it, turns errors into messages and exit codes."""

from __future__ import annotations

import errno
import sys
from collections.abc import Sequence
from importlib import import_module

from eyeline.cli.exit_codes import DONE, INTERRUPTED, MISUSED, NOT_SAID
from eyeline.cli.lines import complain
from eyeline.cli.parsers import VERBS, command_line
from eyeline.cli.streams import plain_streams
from eyeline.cli.typed import typed
from eyeline.errors import EyelineError, message, printable
from eyeline.system.interrupts import interrupts_held

LONGEST_TOLD = 60
"""Letters that are shown of a name that is too long to be one."""

FIRST_STEPS = """\
eyeline judges portraits and writes stars, keywords and crops into XMP sidecars.
Three things to try:

  eyeline demo
      watch it judge a bundled shoot
  eyeline run FOLDER --dry-run
      judge a folder of yours; writes nothing
  eyeline why FOLDER/PHOTO
      the reasons for one photo's stars

Your folders, once and for all: eyeline setup
All commands: eyeline --help
"""


def main(words: Sequence[str] | None = None) -> int:
    """Run one command line; `words` without the program's own name. Returns the exit code."""
    with plain_streams() as (out, _):
        try:
            code = _obey(list(sys.argv[1:] if words is None else words))
            out.flush()
        except KeyboardInterrupt:
            complain("stopped. Nothing is half-written; the same command goes on from here.")
            return INTERRUPTED
        except BrokenPipeError:
            sys.stderr.close()
            return DONE
        if out.lost:
            complain("done, but its words could not be written: stdout is closed or full")
        return NOT_SAID if out.lost and code == DONE else code


def _no_verb(word: str) -> str:
    """What to say of a first word that is no verb."""
    from eyeline.toml_files.mistake import nearest

    near = nearest(word, VERBS)
    cure = f"Did you mean: eyeline {near}" if near else "All there are: eyeline --help"
    return message(f"there is no command {printable(word)[:LONGEST_TOLD]!r}", None, cure)


def _obey(words: Sequence[str]) -> int:
    if words and words[0] not in VERBS and not words[0].startswith("-"):
        complain(_no_verb(words[0]))
        return MISUSED
    asked = next((word for word in words if word in VERBS), "")
    arguments = command_line(asked).parse_args(words)
    if arguments.verb is None:
        print(typed(FIRST_STEPS), end="")
        return DONE
    with interrupts_held():  # code that runs while modules load may swallow a KeyboardInterrupt
        verb = import_module(f"eyeline.cli.{arguments.verb.replace('-', '_')}")
    try:
        return int(verb.run(arguments))
    except EyelineError as error:
        complain(str(error))
        return error.exit_code
    except OSError as error:
        if error.errno != errno.ENAMETOOLONG:
            raise
        name = printable(str(error.filename))[:LONGEST_TOLD]
        complain(f"{name}…: no file has so long a name. Look what was typed")
        return MISUSED
