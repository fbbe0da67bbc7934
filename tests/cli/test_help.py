"""Help answers at once, and every command shows an example that can be typed."""

from __future__ import annotations

import shlex
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

from eyeline.cli.parsers import VERBS, command_line
from tests.cli.conftest import run_here

OWN = (
    *("cli", "cli.main", "cli.parsers", "cli.exit_codes", "cli.streams", "cli.lines", "cli.typed", "errors"),
    *(f"cli.parsing{part}" for part in ("", ".verb", ".shoot", ".client", ".machine")),
    *("system", "system.interrupts"),
)
LIGHT = {f"eyeline.{name}" for name in OWN}
LOADED = """
import sys
before = set(sys.modules)
from eyeline.cli.main import main
try:
    main(sys.argv[1:])
except SystemExit:
    pass
print(*(name for name in set(sys.modules) - before if name.partition(".")[0] not in sys.stdlib_module_names))
"""


@pytest.mark.parametrize("words", [["--help"], ["learn", "--help"], ["run", "--help"], []])
def test_help_imports_nothing_that_is_slow(words: list[str]) -> None:
    ran = subprocess.run([sys.executable, "-c", LOADED, *words], capture_output=True, text=True, check=True)
    assert set(ran.stdout.splitlines()[-1].split()) - {"eyeline"} <= LIGHT


@pytest.mark.parametrize("name", VERBS)
def test_the_example_of_a_command_can_be_typed_and_is_shown(name: str, tmp_path: Path) -> None:
    command, *words = shlex.split(VERBS[name].example)
    assert command == "eyeline" and words[0] == name
    assert command_line().parse_args(words).verb == name
    ran = run_here(tmp_path, name, "--help")
    assert ran.returncode == 0 and f"Example: {VERBS[name].example}" in " ".join(ran.stdout.split())


def test_it_runs_as_a_module_too() -> None:
    ran = subprocess.run([sys.executable, "-m", "eyeline"], capture_output=True, text=True, check=True)
    assert "Three things to try" in ran.stdout


@pytest.mark.parametrize("name", VERBS)
def test_every_verb_has_a_module_that_runs_it(name: str) -> None:
    assert callable(import_module(f"eyeline.cli.{name.replace('-', '_')}").run)


def test_without_words_it_says_three_things_to_try(tmp_path: Path) -> None:
    ran = run_here(tmp_path)
    assert ran.returncode == 0 and not ran.stderr
    steps = [line.split("  ")[1].strip() for line in ran.stdout.splitlines() if line.startswith("  eyeline")]
    assert len(steps) == 3 and max(map(len, ran.stdout.splitlines())) <= 80
    for step in steps:
        assert command_line().parse_args(shlex.split(step)[1:]).verb


def test_a_word_that_is_no_verb_is_refused(tmp_path: Path) -> None:
    ran = run_here(tmp_path, "judgee")
    assert ran.returncode == 2
    assert ran.stderr == "eyeline: there is no command 'judgee'. Did you mean: eyeline judge\n"
