"""The main job without any network, and whose eyes its files are for."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import copy_frames, environment

FRAMES = ("NL1_1005.jpg", "NL1_1012.jpg")

WITHOUT_NETWORK = ("unshare", "--map-root-user", "--net")

TRY_TO_TALK = """
import errno, socket
assert [name for _, name in socket.if_nameindex()] == ["lo"], socket.if_nameindex()
for address in ("127.0.0.1", "192.0.2.1", "::1"):
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as talk:
            talk.connect((address, 9))
    except OSError as error:
        assert error.errno in (errno.ENETUNREACH, errno.EADDRNOTAVAIL), error
    else:
        raise AssertionError(f"there is a way to {address}")
"""
"""In a network namespace of its own there is a loopback that is down, and no way anywhere."""


@pytest.mark.of_processes
def test_the_main_job_needs_no_network_and_its_files_are_the_users_alone(tmp_path: Path) -> None:
    alone = subprocess.run(
        [*WITHOUT_NETWORK, sys.executable, "-c", TRY_TO_TALK], capture_output=True, text=True, check=False
    )
    if alone.returncode and "AssertionError" not in alone.stderr:
        pytest.skip(f"no network namespace can be made here: {alone.stderr.strip()}")
    assert alone.returncode == 0, alone.stderr
    card = tmp_path / "card"
    copy_frames(card, *FRAMES)
    ran = subprocess.run(
        [*WITHOUT_NETWORK, sys.executable, "-m", "eyeline", "run", card, "--json"],
        env=environment(tmp_path),
        capture_output=True,
        text=True,
        check=False,
        umask=0,  # whatever others have set, what is stored is private
    )
    assert ran.returncode == 0, ran.stderr
    outcomes = {Path(line["file"]).name: line["outcome"] for line in map(json.loads, ran.stdout.splitlines())}
    assert outcomes == dict.fromkeys(FRAMES, "written")
    assert sorted(path.name for path in card.glob("*.xmp")) == ["NL1_1005.xmp", "NL1_1012.xmp"]

    backed_up = subprocess.run(
        [sys.executable, "-m", "eyeline", "ledger", "backup"],
        env=environment(tmp_path),
        check=False,
        umask=0,
    )
    assert backed_up.returncode == 0
    kept, previews = tmp_path / ".local" / "share" / "eyeline", tmp_path / ".cache" / "eyeline" / "previews"
    files = [path for path in kept.rglob("*") if path.is_file()]
    assert {path.name for path in files} >= {"ledger.sqlite3", "decisions.jsonl"}
    assert len(files) >= 3
    open_to_others = [
        path for root in (kept, previews) for path in (root, *root.rglob("*")) if path.stat().st_mode & 0o077
    ]
    assert open_to_others == []
    elsewhere = [
        os.fspath(path.relative_to(tmp_path))
        for path in tmp_path.rglob("*")
        if path.is_file() and not any(path.is_relative_to(each) for each in (kept, previews, card))
    ]
    assert elsewhere == [], "nothing is kept anywhere else"
