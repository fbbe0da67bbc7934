"""`eyeline workers`: certificates made, and what cannot be done said with the cure."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import run_here


def test_certificates_are_made_and_where_they_belong_is_said(tmp_path: Path) -> None:
    ran = run_here(tmp_path, "workers", "certificates", "studio", "chair-2", "--folder", tmp_path / "keys")
    assert ran.returncode == 0 and ran.stdout.startswith("2 machines certified.")
    for name in ("studio", "chair-2"):
        assert str(tmp_path / "keys" / name) in ran.stdout
        assert (tmp_path / "keys" / name / "own.key").is_file()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["start"], "no scheduler is named"),
        (["status"], "no scheduler is named"),
        (["start", "studio:8786"], "no address of a scheduler"),
        (["scheduler", "tcp://192.0.2.1:8786"], "not encrypted and leaves this machine"),
        (["start", "tls://127.0.0.1:9", "--map", "here"], "--map"),
        (["start", "tls://127.0.0.1:9", "--count", "0"], "measures nothing"),
        (["start", "tls://127.0.0.1:9"], "eyeline workers certificates"),
    ],
)
def test_what_cannot_be_done_is_refused_with_the_cure(words: list[str], said: str, tmp_path: Path) -> None:
    ran = run_here(tmp_path, "workers", *words)
    assert ran.returncode == 2 and said in ran.stderr


@pytest.mark.parametrize("scheduler", ["", 'scheduler = "tls://127.0.0.1:9"\n'])
def test_without_the_extra_it_is_said_how_to_get_it(
    scheduler: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As where the packages are not installed: importing them fails."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    (tmp_path / "c.toml").write_text('ledger = "l"\n[workers]\nengine = "dask"\n' + scheduler)
    ran = run_here(tmp_path, "run", "--config", tmp_path / "c.toml", tmp_path)
    assert ran.returncode == 2 and "sh service/bootstrap stations" in ran.stderr


def test_the_usual_engine_loads_nothing_of_it(tmp_path: Path) -> None:
    loaded = (
        "import sys, eyeline.run.session, eyeline.cli.run, eyeline.cli.watch, eyeline.cli.status\n"
        "print(*(name for name in ('dask', 'distributed', 'cryptography', 'eyeline.stations')"
        " if name in sys.modules))"
    )
    ran = subprocess.run([sys.executable, "-c", loaded], capture_output=True, text=True, check=True)
    assert ran.stdout.split() == []
