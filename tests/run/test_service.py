"""The service: what systemd itself says of the unit, and what the daemon tells a service manager."""

from __future__ import annotations

import plistlib
import re
import shutil
import socket
import subprocess
from pathlib import Path

import pytest

from eyeline.run.readiness import READY, tell_service_manager
from eyeline.run.service import service

HIGHEST_EXPOSURE = 3.0
"""systemd-analyze security: 0 is best, 10 worst. A unit without any sandbox has 9.6."""

needs_systemd = pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="systemd is not here")
ODD = Path('/srv/a "quoted" folder, 100 % $HOME')


def unit(folder: Path) -> Path:
    path = folder / "eyeline.service"
    path.write_bytes(service([str(ODD)], [ODD, Path("/srv/kept")], "linux").content)
    return path


@needs_systemd
def test_systemd_finds_nothing_wrong_with_the_unit(tmp_path: Path) -> None:
    ran = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", str(unit(tmp_path))],
        capture_output=True,
        text=True,
        check=False,
    )
    ours = [line for line in ran.stderr.splitlines() if "eyeline.service" in line]
    # Older systemd does not know the growing intervals and says so; it then restarts every 2 s.
    assert [line for line in ours if "RestartSteps" not in line and "RestartMaxDelaySec" not in line] == []


@needs_systemd
def test_the_sandbox_scores_as_documented(tmp_path: Path) -> None:
    ran = subprocess.run(
        ["systemd-analyze", "security", "--offline=yes", "--no-pager", str(unit(tmp_path))],
        capture_output=True,
        text=True,
        check=False,
    )
    found = re.search(r"Overall exposure level[^:]*: ([0-9.]+)", ran.stdout)
    assert found is not None, ran.stderr
    assert float(found[1]) <= HIGHEST_EXPOSURE


def test_odd_folder_names_stay_one_word(tmp_path: Path) -> None:
    text = unit(tmp_path).read_text()
    assert '"/srv/a \\"quoted\\" folder, 100 %% $$HOME"' in text
    assert 'ReadWritePaths="-/srv/a \\"quoted\\" folder, 100 %% $HOME" "-/srv/kept"' in text


def test_the_launchd_agent_is_a_property_list_and_marked_unverified() -> None:
    made = service(["/photos"], [Path("/photos")], "darwin")
    assert not made.verified
    agent = plistlib.loads(made.content)
    assert agent["ProgramArguments"][-2:] == ["watch", "/photos"]


@pytest.mark.parametrize("abstract", [False, True])
def test_readiness_is_one_datagram(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, abstract: bool) -> None:
    name = f"@{tmp_path}" if abstract else str(tmp_path / "notify")
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(name.replace("@", "\0", 1))
        monkeypatch.setenv("NOTIFY_SOCKET", name)
        assert tell_service_manager(READY)
        assert manager.recv(100) == b"READY=1"


def test_without_a_service_manager_nothing_happens(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("NOTIFY_SOCKET", raising=False)
    assert not tell_service_manager(READY)
    monkeypatch.setenv("NOTIFY_SOCKET", str(tmp_path / "nobody"))
    assert not tell_service_manager(READY)
