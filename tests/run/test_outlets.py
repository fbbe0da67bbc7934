"""Notifications on a real session bus, a command of one's own, lines in a file; each can be switched off."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path

import pytest

from eyeline.run import announcements, desktop, outlets
from eyeline.run.announcements import (
    KINDS,
    Announcement,
    Announcements,
    CardIn,
    DiskNearlyFull,
    EyesSoft,
    FlashMissed,
    FrameJudged,
    LineEmpty,
    SitterSeated,
)
from eyeline.run.outlets import attach, is_wanted, run_command
from eyeline.run.words_told import in_words
from eyeline.settings.configuration import Tell
from tests.waiting import PATIENCE_SECONDS

JOB = Path("/job")
TOLD: tuple[Announcement, ...] = (
    CardIn(JOB, 61, 4, ("1 of headshot",)),
    LineEmpty(JOB, "copy space left", "17 Alva", "0213.jpg", ("4 % more room wanted over the head",)),
    FlashMissed(JOB, ("1.jpg", "2.jpg")),
    EyesSoft(JOB, ("1.jpg", "2.jpg", "3.jpg")),
    DiskNearlyFull(JOB, 3 * 10**9),
)
ONLY_FOR_PROGRAMS = (FrameJudged(JOB / "1.jpg", "loose keeper", 3, ()), SitterSeated(JOB, "17"))


@pytest.fixture(autouse=True)
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a busy machine a listener may need long for its last words; here all of them count."""
    monkeypatch.setattr(announcements, "LAST_WORDS_SECONDS", PATIENCE_SECONDS)


def test_each_kind_can_be_switched_off_alone() -> None:
    assert {type(each) for each in (*TOLD, *ONLY_FOR_PROGRAMS)} == set(KINDS)
    switches = [each.kind.replace(" ", "_") for each in TOLD]
    assert set(switches) <= {field.name for field in fields(Tell)}
    for off, announcement in zip(switches, TOLD, strict=True):
        tell = replace(Tell(), **{off: False})
        assert [each for each in TOLD if not is_wanted(each, tell)] == [announcement]
    assert not any(is_wanted(each, Tell()) for each in ONLY_FOR_PROGRAMS)


@pytest.mark.parametrize("announcement", TOLD)
def test_what_is_told_says_what_happened_and_what_to_do(announcement: Announcement) -> None:
    words = in_words(announcement)
    assert words is not None and all(words) and len(words[0]) <= 60


def test_names_cannot_steer_a_terminal() -> None:
    words = in_words(LineEmpty(JOB, "a\x1b[2J", "b\x07", "c\x1b.jpg", ()))
    assert words is not None and all(word.isprintable() for word in words)


def test_a_command_gets_json_on_its_standard_input(tmp_path: Path) -> None:
    out = tmp_path / "out.json"
    command = (sys.executable, "-c", "import sys; open(sys.argv[1], 'w').write(sys.stdin.read())", str(out))
    run_command(command, TOLD[1])
    told = json.loads(out.read_text())
    assert (
        told["kind"] == "line empty" and told["sitter"] == "17 Alva" and told["says"][1].startswith("Nearest")
    )


def test_a_command_that_hangs_is_ended_and_holds_nothing_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(outlets, "COMMAND_SECONDS", 0.1)
    news, file = Announcements(), tmp_path / "told.jsonl"
    attach(news, Tell(desktop=False, command=("sleep", "600"), file=file))
    for each in TOLD:
        news.tell(each)
    news.close()
    assert len(file.read_text().splitlines()) == len(TOLD)


def test_a_file_gets_everything_as_json_lines_and_is_private(tmp_path: Path) -> None:
    news, file = Announcements(), tmp_path / "told.jsonl"
    attach(news, Tell(desktop=False, file=file))
    for each in (*TOLD, *ONLY_FOR_PROGRAMS):
        news.tell(each)
    news.close()
    lines = [json.loads(line) for line in file.read_text().splitlines()]
    assert [line["kind"] for line in lines] == [each.kind for each in (*TOLD, *ONLY_FOR_PROGRAMS)]
    assert file.stat().st_mode & 0o777 == 0o600


def test_a_desktop_that_does_not_answer_holds_nothing_up(tmp_path: Path) -> None:
    def broken(_: str, __: str) -> None:
        raise OSError("there is no session bus")

    news, file = Announcements(), tmp_path / "told.jsonl"
    attach(news, Tell(file=file), broken)
    for each in TOLD:
        news.tell(each)
    news.close()
    assert len(file.read_text().splitlines()) == len(TOLD)


def test_on_macos_words_are_arguments_of_the_script_and_no_part_of_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What a file is called must not become AppleScript. Unverified on a real macOS."""
    ran: list[list[str]] = []
    monkeypatch.setattr(desktop.subprocess, "run", lambda words, **_: ran.append(words))
    title = 'a" & (do shell script "true") & "'
    desktop.notifier(sound=True, platform="darwin")(title, "body")
    ((program, _, script, *arguments),) = ran
    assert program == "osascript" and arguments == [title, "body"] and title not in script
    assert 'sound name "Ping"' in script


ON_A_BUS = """
import sys, threading
from pathlib import Path
from jeepney import HeaderFields, MatchRule, MessageType, message_bus, new_method_return
from jeepney.io.blocking import Proxy, open_dbus_connection
from eyeline.run.announcements import Announcements, LineEmpty, FrameJudged
from eyeline.run.outlets import attach
from eyeline.settings.configuration import Tell

desktop = open_dbus_connection("SESSION")
assert Proxy(message_bus, desktop).RequestName("org.freedesktop.Notifications") == (1,)
news = Announcements()
attach(news, Tell(sound=True))
for number in range(2):
    news.tell(FrameJudged(Path("/job/1.jpg"), "loose keeper", 3, ()))
    news.tell(LineEmpty(Path("/job"), "copy space left", "17 Alva", f"021{number}.jpg", ("turn the camera",)))
for number in range(2):
    while True:
        asked = desktop.receive(timeout=200)
        if asked.header.fields.get(HeaderFields.member) == "Notify":
            break
    application, _, _, title, body, _, hints, _ = asked.body
    desktop.send(new_method_return(asked, "u", (number + 1,)))
    signature = asked.header.fields[HeaderFields.signature]
    print(signature, application, title, body, hints["sound-name"][1], sep="|")
news.close()
"""


@pytest.mark.skipif(shutil.which("dbus-run-session") is None, reason="needs dbus-run-session")
def test_a_notification_arrives_on_a_real_session_bus() -> None:
    """By the Desktop Notifications Specification 1.2: signature of Notify, order of its arguments."""
    ran = subprocess.run(
        ["dbus-run-session", "--", sys.executable, "-c", ON_A_BUS],
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    lines = [line for line in ran.stdout.splitlines() if line]
    assert lines == [
        f"susssasa{{sv}}i|eyeline|17 Alva: no copy space left yet|Nearest 021{number}.jpg: turn the camera|"
        "message-new-instant"
        for number in range(2)
    ]
