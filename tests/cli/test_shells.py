"""The man page is sound troff, and the completions complete: asked of groff, man-db and bash themselves."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from eyeline.cli.parsers import VERBS

SHARE = Path(__file__).resolve().parents[2] / "service" / "share"
PAGE = SHARE / "man" / "man1" / "eyeline.1"
COMPLETION = SHARE / "bash-completion" / "completions" / "eyeline"


def needs(program: str) -> None:
    if shutil.which(program) is None:
        pytest.skip(f"{program} is not installed")


def test_groff_warns_of_nothing() -> None:
    needs("groff")
    ran = subprocess.run(
        ["groff", "-man", "-ww", "-Kutf8", "-z", str(PAGE)], capture_output=True, text=True, check=True
    )
    assert ran.stderr == ""


def test_the_page_has_a_name_that_whatis_can_find() -> None:
    needs("lexgrog")
    ran = subprocess.run(["lexgrog", str(PAGE)], capture_output=True, text=True, check=True)
    assert '"eyeline - ' in ran.stdout


def test_man_shows_every_command_with_its_example() -> None:
    needs("man")
    ran = subprocess.run(
        ["man", "-l", "-P", "cat", str(PAGE)],
        capture_output=True,
        text=True,
        check=True,
        env={"PATH": "/usr/bin:/bin", "MANWIDTH": "200", "LC_ALL": "C.UTF-8"},
    )
    if "system has been minimized" in ran.stdout:
        pytest.skip("man is a stub here")
    assert all(each.example in ran.stdout for each in VERBS.values())


def completed(*words: str, at: Path) -> list[str]:
    """What bash offers for the last of `words`."""
    needs("bash")
    line = " ".join(f"'{word}'" for word in words)
    script = f"""
        source '{COMPLETION}'
        COMP_WORDS=({line}); COMP_CWORD={len(words) - 1}
        $(complete -p eyeline | sed 's/.*-F \\([^ ]*\\).*/\\1/')
        printf '%s\\n' "${{COMPREPLY[@]}}"
    """
    ran = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=True, cwd=at)
    assert ran.stderr == ""
    return [each for each in ran.stdout.splitlines() if each]


def test_bash_completes_commands_options_and_paths(tmp_path: Path) -> None:
    (tmp_path / "monday.d").mkdir()
    assert set(completed("eyeline", "", at=tmp_path)) >= set(VERBS)
    assert completed("eyeline", "jud", at=tmp_path) == ["judge"]
    assert "--dry-run" in completed("eyeline", "run", "--", at=tmp_path)
    assert completed("eyeline", "genres", "sh", at=tmp_path) == ["show"]
    assert completed("eyeline", "run", "mon", at=tmp_path) == ["monday.d"]


TYPED = r"""
zmodload zsh/zpty
zpty shell zsh -f -i
zpty -w shell "fpath=('FUNCTIONS' \$fpath); autoload -Uz compinit; compinit -u -D; print re''ady"
zpty -r -m shell said '*ready*'
zpty -w -n shell $'TYPED\t'
zpty -r -m shell said '*COMPLETED*' && print completed
"""


@pytest.mark.parametrize(
    ("typed", "whole"), [("eyeline jud", "eyeline judge"), ("eyeline run --dry", "eyeline run --dry-run")]
)
def test_zsh_completes_as_it_is_typed(typed: str, whole: str, tmp_path: Path) -> None:
    """In an interactive zsh on a terminal of its own, read until the whole word stands there."""
    needs("zsh")
    functions = SHARE / "zsh" / "site-functions"
    script = TYPED.replace("FUNCTIONS", str(functions)).replace("TYPED", typed).replace("COMPLETED", whole)
    ran = subprocess.run(
        ["zsh", "-f", "-c", script],
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
        env={"PATH": "/usr/bin:/bin", "TERM": "dumb", "HOME": str(tmp_path)},
    )
    assert ran.stdout == "completed\n", ran.stderr
