"""`eyeline service`: installed, asked for and removed through the service manager's own commands."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import environment

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="systemd's")

SYSTEMCTL = """#!/bin/sh
echo "$@" >> "$HOME/asked"
test ! -e "$HOME/refuses"
"""
"""Stands in for systemctl: writes down what it is asked, and obeys unless there is a file `refuses`."""


def service(home: Path, *words: str) -> subprocess.CompletedProcess[str]:
    programs = home / "bin"
    if not programs.exists():
        programs.mkdir()
        (programs / "systemctl").write_text(SYSTEMCTL)
        (programs / "systemctl").chmod(0o755)
    surroundings = environment(home)
    return subprocess.run(
        [sys.executable, "-m", "eyeline", "service", *words],
        env=surroundings | {"PATH": f"{programs}:{surroundings['PATH']}"},
        capture_output=True,
        text=True,
        check=False,
    )


def test_installed_seen_and_removed(tmp_path: Path) -> None:
    shoots = tmp_path / "my shoots"
    shoots.mkdir()
    unit = tmp_path / ".config" / "systemd" / "user" / "eyeline.service"
    assert "Not installed" in service(tmp_path, "status").stdout
    printed = service(tmp_path, "install", str(shoots), "--print")
    assert printed.returncode == 0
    assert not unit.exists()
    assert not (tmp_path / "asked").exists(), "printing does nothing"
    installed = service(tmp_path, "install", str(shoots))
    assert installed.returncode == 0, installed.stderr
    assert unit.read_text() == printed.stdout
    assert f'"watch" "{shoots}"' in unit.read_text()
    assert service(tmp_path, "status").returncode == 0
    assert service(tmp_path, "remove").returncode == 0
    assert not unit.exists()
    assert (tmp_path / "asked").read_text().splitlines() == [
        "--user daemon-reload",
        "--user enable --now eyeline.service",
        "--user --no-pager status eyeline.service",
        "--user disable --now eyeline.service",
    ]


def test_a_service_manager_that_refuses_is_told(tmp_path: Path) -> None:
    (tmp_path / "refuses").touch()
    ran = service(tmp_path, "install", str(tmp_path))
    assert ran.returncode == 1
    assert "the service is not started" in ran.stderr
    assert "systemctl --user enable --now eyeline.service" in ran.stderr, "how to do it by hand"


def test_without_a_folder_there_is_nothing_to_watch(tmp_path: Path) -> None:
    ran = service(tmp_path, "install")
    assert ran.returncode == 2
    assert "no folder to watch" in ran.stderr
