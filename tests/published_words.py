"""What is made from the parser: the man page, and completions for two shells.

The wheel carries them as shared data, so that installing it puts them under share/ of the environment.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

import shtab
from argparse_manpage.manpage import Manpage

from eyeline.cli.parsers import VERBS, command_line

COLUMNS = "80"
"""argparse folds usages by this variable; the files must not depend on who makes them."""

SHORT = "stars, keywords and crops for portraits, by the rules of their genre"


def words(checkout: Path) -> dict[Path, str]:
    """Each file that is made from the parser, with its text."""
    share = checkout / "service" / "share"
    return {
        share / "man/man1/eyeline.1": man_page(),
        share / "bash-completion/completions/eyeline": completion("bash"),
        share / "zsh/site-functions/_eyeline": completion("zsh"),
    }


def man_page() -> str:
    """The man page in troff; undated, since it changes with the parser alone."""
    with mock.patch.dict("os.environ", {"COLUMNS": COLUMNS}):
        parser = command_line()
        parser.man_short_description = SHORT  # type: ignore[attr-defined]
        page = Manpage(parser, format="pretty")
        page.section, page.date, page.source, page.manual = "1", "", "eyeline", "eyeline"
        text = str(page)
    examples = "".join(f".TP\n{each.says}\n.B {_escaped(each.example)}\n" for each in VERBS.values())
    codes = (
        ".SH EXIT STATUS\n0 done; 1 some photos could not be read, or their sidecars not written; 2 usage or "
        "configuration; 74 done, but what was to be printed could not be; 130 stopped by Ctrl\\-C\n"
    )
    files = (
        ".SH FILES\n.I ~/.config/eyeline/config.toml\nholds the configuration, on Linux; "
        ".B eyeline status\nsays where the ledger lies.\n"
    )
    return f"{text.rstrip()}\n.SH EXAMPLES\n{examples}{codes}{files}"


def completion(shell: str) -> str:
    """What completes commands, options and, where a path is wanted, paths."""
    with mock.patch.dict("os.environ", {"COLUMNS": COLUMNS}):
        parser = command_line()
        for action in _actions(parser):
            if action.type is Path or action.metavar in ("FOLDER", "FILE"):
                action.complete = shtab.FILE  # type: ignore[attr-defined]
        return str(shtab.complete(parser, shell)).rstrip() + "\n"


def _actions(parser: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    for action in parser._actions:
        yield action
        if isinstance(action, argparse._SubParsersAction):
            for below in dict.fromkeys(action.choices.values()):
                yield from _actions(below)


def _escaped(text: str) -> str:
    return text.replace("\\", "\\e").replace("-", "\\-").replace("~", "\\(ti").replace('"', "\\(dq")
