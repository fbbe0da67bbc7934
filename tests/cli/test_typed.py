"""Hints stand as they can be typed here."""

from __future__ import annotations

from pathlib import Path

import pytest

from eyeline.cli.typed import typed


@pytest.mark.parametrize(
    ("called", "on_the_path", "shown"),
    [
        (".venv/bin/eyeline", None, ".venv/bin/eyeline"),
        (".venv/bin/eyeline", "/usr/bin/eyeline", "eyeline"),
        ("/opt/x/pytest", None, "eyeline"),
    ],
)
def test_a_command_is_shown_as_it_was_called(
    called: str, on_the_path: str | None, shown: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.argv", [called])
    monkeypatch.setattr("shutil.which", lambda _: on_the_path)
    assert typed("Why? eyeline why A.jpg") == f"Why? {shown} why A.jpg"
    assert typed("eyeline wrote it; ~/x/eyeline run") == "eyeline wrote it; ~/x/eyeline run"


def test_a_path_in_this_folder_is_shown_from_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.argv", [str(Path.cwd() / ".venv/bin/eyeline")])
    monkeypatch.setattr("shutil.which", lambda _: None)
    assert typed("Run: eyeline run A") == "Run: .venv/bin/eyeline run A"
