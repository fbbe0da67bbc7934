"""`eyeline watch`: the daemon on real folders, from start to a clean stop."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

import pytest

from tests.cli.conftest import SHOOT, copy_frames, environment
from tests.waiting import PATIENCE_SECONDS, wait_until

SETTINGS = "quiet_seconds = 0.12\nsitting_quiet_seconds = 0.5\nworkers = 1\n"


@contextmanager
def daemon(home: Path, *folders: Path) -> Iterator[subprocess.Popen[str]]:
    settings = home / "config.toml"
    if not settings.exists():
        settings.write_text(SETTINGS)
    with (home / "out.txt").open("w") as out, (home / "err.txt").open("a") as err:
        process = subprocess.Popen(
            [sys.executable, "-m", "eyeline", "watch", *folders, "--config", settings],
            env=environment(home),
            stdout=out,
            stderr=err,
            text=True,
        )
        try:
            wait_until(lambda: "Watching" in (home / "out.txt").read_text() or process.poll() is not None)
            yield process
        finally:
            if process.poll() is None:
                process.kill()
            process.wait()


@contextmanager
def service_manager(home: Path) -> Iterator[list[str]]:
    """Stands in for systemd: collects what a daemon that starts meanwhile tells by sd_notify(3)."""
    heard: list[str] = []
    with (
        socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager,
        mock.patch.dict(os.environ, {"NOTIFY_SOCKET": str(home / "notify")}),
    ):
        manager.bind(str(home / "notify"))

        def listen() -> None:
            while (message := manager.recv(100).decode()) != "over":
                heard.append(message)

        listener = threading.Thread(target=listen)
        listener.start()
        yield heard
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as sender:
            sender.sendto(b"over", str(home / "notify"))
        listener.join()


def stop(process: subprocess.Popen[str], number: int = signal.SIGTERM) -> int:
    process.send_signal(number)
    return process.wait(PATIENCE_SECONDS)


@dataclass(slots=True)
class Running:
    """A daemon that several tests share, each with a folder of its own: it watches `card`."""

    home: Path
    process: subprocess.Popen[str]
    heard: list[str]

    @property
    def card(self) -> Path:
        return self.home / "card"

    @property
    def rules(self) -> Path:
        return self.home / "rules"

    @property
    def said(self) -> str:
        return (self.home / "out.txt").read_text()

    @property
    def complained(self) -> str:
        return (self.home / "err.txt").read_text()


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    home = tmp_path_factory.mktemp("home")
    for folder in ("card", "rules"):
        (home / folder).mkdir()
    (home / "config.toml").write_text(SETTINGS + f'rules = "{home / "rules"}"\n')
    with service_manager(home) as heard, daemon(home, home / "card") as process:
        yield Running(home, process, heard)


def test_photos_are_annotated_as_they_arrive(running: Running) -> None:
    before = running.complained
    frame = running.card / "NL1_1005.jpg"
    data = (SHOOT / frame.name).read_bytes()
    with frame.open("wb") as file:  # slowly, as a camera writes
        for start in range(0, len(data), len(data) // 5 + 1):
            file.write(data[start : start + len(data) // 5 + 1])
            file.flush()
            time.sleep(0.08)
            assert not frame.with_suffix(".xmp").exists()
    (running.card / "sub").mkdir()
    hidden = running.card / "sub" / ".NL1_1006.jpg.part"
    shutil.copy(SHOOT / "NL1_1006.jpg", hidden)
    hidden.rename(running.card / "sub" / "NL1_1006.jpg")  # temp-then-rename, as a browser or copier does
    wait_until(frame.with_suffix(".xmp").exists)
    wait_until((running.card / "sub" / "NL1_1006.xmp").exists)
    assert "NL1_1005.jpg" in running.said
    assert running.complained == before


def test_a_damaged_photo_is_told_once_and_a_mended_one_is_taken(running: Running) -> None:
    whole = (SHOOT / "NL1_1030.jpg").read_bytes()
    frame = running.card / "damaged" / "NL1_1030.jpg"
    frame.parent.mkdir()
    frame.write_bytes(whole[:-20_000])
    wait_until(lambda: "NL1_1030.jpg" in running.complained)
    assert not frame.with_suffix(".xmp").exists()
    with frame.open("r+b") as file:  # so that it is never empty meanwhile
        file.write(whole)
    wait_until(frame.with_suffix(".xmp").exists)
    assert running.complained.count("NL1_1030.jpg") == 1


def test_rules_are_read_again_when_they_change_and_on_sighup(running: Running) -> None:
    own = running.rules / "mine.toml"
    own.write_text('name = "corporate headshot"\n[criteria.headroom]\nweigth = 1\n')
    wait_until(lambda: "mine.toml, line 3" in running.complained)
    told = running.complained.count("mine.toml, line 3")
    os.kill(running.process.pid, signal.SIGHUP)
    wait_until(lambda: running.complained.count("mine.toml, line 3") > told)
    own.unlink()
    (frame,) = copy_frames(running.card / "rules", "NL1_1005.jpg")
    wait_until(frame.with_suffix(".xmp").exists)


def test_a_folder_file_takes_effect_by_itself_and_a_broken_one_stops_its_folder_alone(
    running: Running,
) -> None:
    card, beside = running.card / "file", running.card / "beside"
    (first,) = copy_frames(card, "NL1_1005.jpg")
    beside.mkdir()
    sidecar, own = first.with_suffix(".xmp"), card / "eyeline.toml"
    wait_until(sidecar.exists)
    assert "team page" not in sidecar.read_text()
    own.write_text('genres = ["team page"]\n')
    wait_until(lambda: "team page" in sidecar.read_text())
    own.write_text('genres = ["team pag"]\n')
    (second,) = copy_frames(card, "NL1_1040.jpg")
    (other,) = copy_frames(beside, "NL1_1012.jpg")
    wait_until(lambda: "did you mean 'team page'" in running.complained)
    wait_until(other.with_suffix(".xmp").exists)
    assert not second.with_suffix(".xmp").exists()
    own.write_text('genres = ["team page"]\n')
    wait_until(second.with_suffix(".xmp").exists)
    assert running.complained.count("did you mean 'team page'") == 1


def test_a_stop_is_clean_and_told_to_the_service_manager(running: Running) -> None:
    assert stop(running.process) == 0
    assert running.said.rstrip().endswith("Everything measured is written.")
    heard = running.heard
    wait_until(lambda: heard[-1:] == ["STOPPING=1"])
    assert heard[0] == "READY=1"
    assert heard.count("READY=1") == heard.count("STOPPING=1") == 1
    assert set(heard[1:-1]) == {"WATCHDOG=1"}


def test_what_arrived_while_it_was_down_is_caught_up_and_what_is_unchanged_is_left(tmp_path: Path) -> None:
    card = tmp_path / "card"
    (first,) = copy_frames(card, "NL1_1012.jpg")
    with daemon(tmp_path, card) as process:
        wait_until(first.with_suffix(".xmp").exists)
        assert stop(process, signal.SIGINT) == 0
    written = first.with_suffix(".xmp").stat().st_mtime_ns
    (second,) = copy_frames(card, "NL1_1040.jpg")  # hours later, so no series with the first
    with daemon(tmp_path, card) as process:
        wait_until(second.with_suffix(".xmp").exists)
        assert stop(process) == 0
    assert first.with_suffix(".xmp").stat().st_mtime_ns == written
    assert first.name not in (tmp_path / "out.txt").read_text()
