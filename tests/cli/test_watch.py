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
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.cli.conftest import SHOOT, copy_frames, environment

SETTINGS = "quiet_seconds = 0.3\nsitting_quiet_seconds = 0.5\nworkers = 1\n"


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
def service_manager(home: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """Stands in for systemd: collects what a daemon that starts meanwhile tells by sd_notify(3)."""
    heard: list[str] = []
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(home / "notify"))
        monkeypatch.setenv("NOTIFY_SOCKET", str(home / "notify"))

        def listen() -> None:
            while (message := manager.recv(100).decode()) != "over":
                heard.append(message)

        listener = threading.Thread(target=listen)
        listener.start()
        yield heard
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as sender:
            sender.sendto(b"over", str(home / "notify"))
        listener.join()


def wait_until(holds: Callable[[], object], seconds: float = 90) -> None:
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "it did not happen in time"
        time.sleep(0.05)


def stop(process: subprocess.Popen[str], number: int = signal.SIGTERM) -> int:
    process.send_signal(number)
    return process.wait(timeout=60)


def test_photos_are_annotated_as_they_arrive_and_a_stop_is_clean(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    card = tmp_path / "card"
    card.mkdir()
    with service_manager(tmp_path, monkeypatch) as heard, daemon(tmp_path, card) as process:
        frame = card / "NL1_1005.jpg"
        data = (SHOOT / frame.name).read_bytes()
        with frame.open("wb") as file:  # slowly, as a camera writes
            for start in range(0, len(data), len(data) // 5 + 1):
                file.write(data[start : start + len(data) // 5 + 1])
                file.flush()
                time.sleep(0.2)
                assert not frame.with_suffix(".xmp").exists()
        wait_until(frame.with_suffix(".xmp").exists)
        (card / "sub").mkdir()
        hidden = card / "sub" / ".NL1_1006.jpg.part"
        shutil.copy(SHOOT / "NL1_1006.jpg", hidden)
        hidden.rename(card / "sub" / "NL1_1006.jpg")  # temp-then-rename, as a browser or copier does
        wait_until((card / "sub" / "NL1_1006.xmp").exists)
        assert stop(process) == 0
    said = (tmp_path / "out.txt").read_text()
    assert "NL1_1005.jpg" in said
    assert said.rstrip().endswith("Everything measured is written.")
    assert (tmp_path / "err.txt").read_text() == ""
    assert (heard[0], heard[-1]) == ("READY=1", "STOPPING=1")
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


def test_a_damaged_photo_is_told_once_and_a_mended_one_is_taken(tmp_path: Path) -> None:
    card = tmp_path / "card"
    card.mkdir()
    whole = (SHOOT / "NL1_1005.jpg").read_bytes()
    frame = card / "NL1_1005.jpg"
    frame.write_bytes(whole[:-20_000])
    with daemon(tmp_path, card) as process:
        wait_until(lambda: "NL1_1005.jpg" in (tmp_path / "err.txt").read_text())
        assert not frame.with_suffix(".xmp").exists()
        frame.write_bytes(whole)
        wait_until(frame.with_suffix(".xmp").exists)
        assert stop(process) == 0
    assert (tmp_path / "err.txt").read_text().count("NL1_1005.jpg") == 1


@pytest.mark.parametrize("how", ["saved", "hangup"])
def test_rules_are_read_again_when_they_change_and_on_sighup(how: str, tmp_path: Path) -> None:
    card = tmp_path / "card"
    card.mkdir()
    rules = tmp_path / "rules"
    rules.mkdir()
    (tmp_path / "config.toml").write_text(SETTINGS + f'rules = "{rules}"\n')
    with daemon(tmp_path, card) as process:
        own = rules / "mine.toml"
        own.write_text('name = "corporate headshot"\n[criteria.headroom]\nweigth = 1\n')
        if how == "hangup":
            os.kill(process.pid, signal.SIGHUP)
        wait_until(lambda: "mine.toml, line 3" in (tmp_path / "err.txt").read_text(), 20)
        (frame,) = copy_frames(card, "NL1_1005.jpg")
        wait_until(frame.with_suffix(".xmp").exists)
        assert stop(process) == 0


def test_a_folder_file_takes_effect_by_itself_and_a_broken_one_stops_its_folder_alone(tmp_path: Path) -> None:
    card, beside = tmp_path / "card", tmp_path / "beside"
    (first,) = copy_frames(card, "NL1_1005.jpg")
    beside.mkdir()
    sidecar, own = first.with_suffix(".xmp"), card / "eyeline.toml"
    with daemon(tmp_path, card, beside) as process:
        wait_until(sidecar.exists)
        assert "team page" not in sidecar.read_text()
        own.write_text('genres = ["team page"]\n')
        wait_until(lambda: "team page" in sidecar.read_text(), 20)
        own.write_text('genres = ["team pag"]\n')
        (second,) = copy_frames(card, "NL1_1040.jpg")
        (other,) = copy_frames(beside, "NL1_1012.jpg")
        wait_until(lambda: "did you mean 'team page'" in (tmp_path / "err.txt").read_text())
        wait_until(other.with_suffix(".xmp").exists)
        assert not second.with_suffix(".xmp").exists()
        own.write_text('genres = ["team page"]\n')
        wait_until(second.with_suffix(".xmp").exists, 20)
        assert stop(process) == 0
    assert (tmp_path / "err.txt").read_text().count("did you mean") == 1
