"""The ExifTool child: every call ends in time, whatever happens to the process."""

import contextlib
import fcntl
import gc
import os
import signal
import subprocess
import sys
import termios
import threading
import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from eyeline.errors import ExifToolFailed
from eyeline.exiftool import ExifTool, Refused
from eyeline.exiftool.child import MINIMUM_VERSION, Child
from tests.waiting import PATIENCE_SECONDS, wait_until


@pytest.fixture
def tool() -> Iterator[ExifTool]:
    with ExifTool() as exiftool:
        yield exiftool


@pytest.fixture
def jpeg(tmp_path: Path) -> Path:
    path = tmp_path / "photo.jpg"
    Image.new("RGB", (6, 4)).save(path)
    return path


def run_aside(call: object) -> list[object]:
    """What `call` returned or raised, on a thread of its own so that a hang fails instead of hanging."""
    outcome: list[object] = []

    def run() -> None:
        try:
            outcome.append(call())  # type: ignore[operator]
        except Exception as error:
            outcome.append(error)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    thread.join(PATIENCE_SECONDS)
    assert outcome, "no answer"
    return outcome


def state(process_id: int) -> str:
    """The letter of proc_pid_stat(5): T stopped, Z a zombie, ...; Z too where it is gone."""
    try:
        return Path(f"/proc/{process_id}/stat").read_text().rpartition(")")[2].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return "Z"


def unread_bytes(pipe: int) -> int:
    """How much lies in a pipe that nobody has read yet (FIONREAD, pipe(7))."""
    return int.from_bytes(fcntl.ioctl(pipe, termios.FIONREAD, bytes(4)), sys.byteorder)


def test_states_its_version(tool: ExifTool) -> None:
    assert tuple(int(part) for part in tool.version.split(".")) >= MINIMUM_VERSION


def test_reads_tags_with_their_group(tool: ExifTool, jpeg: Path) -> None:
    assert tool.read(jpeg, ["File:ImageWidth", "File:ImageHeight"]) == {
        "File:ImageWidth": "6",
        "File:ImageHeight": "4",
    }


def test_a_keyword_that_looks_like_a_number_or_a_truth_stays_what_it_is(tool: ExifTool, jpeg: Path) -> None:
    tool.edit(jpeg, [f"-XMP-dc:Subject+={word}" for word in ("2026", "1e5", "0100", "a, b")])
    assert tool.read(jpeg, ["XMP-dc:Subject"]) == {"XMP-dc:Subject": ["2026", "1e5", "0100", "a, b"]}


def test_what_is_not_there_is_absent(tool: ExifTool, jpeg: Path) -> None:
    assert tool.read(jpeg, ["XMP-xmp:Rating"]) == {}


def test_a_missing_file_is_refused_by_name(tool: ExifTool, tmp_path: Path) -> None:
    with pytest.raises(Refused, match=r"none\.jpg"):
        tool.read(tmp_path / "none.jpg", ["File:ImageWidth"])


def test_a_refused_value_fails_although_another_was_written(tool: ExifTool, jpeg: Path) -> None:
    """ExifTool 12.57 exits with 0 here, and says on stderr that 'five' is no number."""
    with pytest.raises(Refused, match="floating point"):
        tool.edit(jpeg, ["-XMP-xmp:Rating=five", "-XMP-dc:Subject+=word"])


def test_a_flood_on_stderr_does_not_block(tool: ExifTool, jpeg: Path) -> None:
    flood = [f"-XMP-dc:NoSuchTag{number}=x" for number in range(4000)]  # a warning each, far over 64 KiB
    (error,) = run_aside(lambda: tool.edit(jpeg, flood))
    assert isinstance(error, Refused)
    assert tool.read(jpeg, ["File:ImageWidth"]) == {"File:ImageWidth": "6"}


def test_after_a_flood_the_next_stderr_is_its_own(tool: ExifTool, jpeg: Path) -> None:
    with pytest.raises(Refused):
        tool.edit(jpeg, ["-XMP-dc:NoSuchTag=x"])
    tool.edit(jpeg, ["-XMP-xmp:Rating=4"])
    assert tool.read(jpeg, ["XMP-xmp:Rating"]) == {"XMP-xmp:Rating": "4"}


def test_a_child_killed_between_calls_is_replaced(tool: ExifTool, jpeg: Path) -> None:
    assert tool.version
    first = tool.process_id
    assert first is not None
    os.kill(first, signal.SIGKILL)
    assert run_aside(lambda: tool.read(jpeg, ["File:ImageWidth"])) == [{"File:ImageWidth": "6"}]
    assert tool.process_id not in (None, first)


def test_a_child_killed_in_a_call_fails_that_edit_at_once(jpeg: Path) -> None:
    with ExifTool(deadline_s=600.0) as tool:
        assert tool.version
        child = tool.process_id
        assert child is not None
        os.kill(child, signal.SIGSTOP)
        wait_until(lambda: state(child) == "T")  # before that it may still read a command
        assert tool._child is not None
        commands = tool._child._process.stdin.fileno()

        def kill_in_the_call() -> None:
            wait_until(lambda: unread_bytes(commands))
            os.kill(child, signal.SIGKILL)

        threading.Thread(target=kill_in_the_call, daemon=True).start()
        (error,) = run_aside(lambda: tool.edit(jpeg, ["-XMP-xmp:Rating=4"]))
        assert isinstance(error, ExifToolFailed)
        assert "died" in str(error)
        assert str(jpeg) in str(error)
        assert tool.read(jpeg, ["File:ImageWidth"]) == {"File:ImageWidth": "6"}


def test_a_child_that_was_stopped_and_goes_on_has_refused_nothing(tool: ExifTool, jpeg: Path) -> None:
    """SIGCONT, signal(7), interrupts ExifTool's wait for a command, of which Perl warns on stderr."""
    assert tool.version
    child, stopped = tool.process_id, tool._child
    assert child is not None and stopped is not None
    os.kill(child, signal.SIGSTOP)
    wait_until(lambda: state(child) == "T")
    commands = stopped._process.stdin.fileno()

    def let_go() -> None:
        wait_until(lambda: unread_bytes(commands))
        os.kill(child, signal.SIGCONT)

    threading.Thread(target=let_go, daemon=True).start()
    tool.edit(jpeg, ["-XMP-xmp:Rating=4"])
    assert tool.process_id == child
    assert tool.read(jpeg, ["XMP-xmp:Rating"]) == {"XMP-xmp:Rating": "4"}


def test_a_silent_child_is_killed_at_the_deadline(jpeg: Path) -> None:
    with ExifTool(deadline_s=0.5) as tool:
        assert tool.version
        silent = tool.process_id
        assert silent is not None
        os.kill(silent, signal.SIGSTOP)
        (error,) = run_aside(lambda: tool.read(jpeg, ["File:ImageWidth"]))
        assert isinstance(error, ExifToolFailed)
        assert "within 0.5 s" in str(error)
        wait_until(lambda: state(silent) == "Z")


def test_no_thread_and_no_descriptor_is_left_by_dead_children(jpeg: Path) -> None:
    with ExifTool() as tool:
        assert tool.version
        threads, descriptors = threading.active_count(), len(list(Path("/proc/self/fd").iterdir()))
        for _ in range(5):
            assert tool.process_id is not None
            os.kill(tool.process_id, signal.SIGKILL)
            tool.read(jpeg, ["File:ImageWidth"])
        # Threads that watched over the dead end by themselves, and close what they hold.
        wait_until(lambda: threading.active_count() <= threads + 1)
        wait_until(lambda: len(list(Path("/proc/self/fd").iterdir())) <= descriptors)


def test_threads_get_their_own_answers(tool: ExifTool, tmp_path: Path) -> None:
    photos = []
    for width in range(1, 9):
        photos.append(tmp_path / f"{width}.jpg")
        Image.new("RGB", (width, 3)).save(photos[-1])
    answers: dict[int, set[object]] = {width: set() for width in range(1, 9)}

    def ask(width: int) -> None:
        for _ in range(10):
            answers[width].add(tool.read(photos[width - 1], ["File:ImageWidth"])["File:ImageWidth"])

    threads = [threading.Thread(target=ask, args=(width,)) for width in answers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE_SECONDS)
    assert answers == {width: {str(width)} for width in answers}


def test_a_missing_executable_says_what_to_install() -> None:
    with pytest.raises(ExifToolFailed, match="apt install"), ExifTool("no-such-exiftool") as tool:
        _ = tool.version


@pytest.mark.parametrize("program", ["true", "cat"])
def test_a_program_that_is_no_exiftool_is_told_apart(program: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("eyeline.exiftool.child.START_DEADLINE_S", 2.0)
    (error,) = run_aside(lambda: ExifTool(program).version)
    assert isinstance(error, ExifToolFailed)


def test_whether_the_child_runs_is_asked_without_a_warning() -> None:
    """Where it does not, the error says so; pyexiftool would print a warning of its own beside it, and
    Python one for each pipe that nobody closed."""
    gc.collect()  # what earlier tests left behind warns here and not below
    with warnings.catch_warnings(record=True) as told:
        warnings.simplefilter("always")
        child = Child("exiftool")
        assert child.running
        process = child._process
        own = [str(process.pid), *(repr(pipe) for pipe in (process.stdin, process.stdout, process.stderr))]
        process.kill()
        process.wait()
        assert not child.running
        assert all(pipe.closed for pipe in (process.stdin, process.stdout, process.stderr))
    # What threads of earlier tests let go of just now is told here as well, and no concern of this one.
    others = [each for each in told if issubclass(each.category, ResourceWarning)
              and not any(word in str(each.message) for word in own)]  # fmt: skip
    assert [str(each.message) for each in told if each not in others] == []
    child.close()


@pytest.mark.parametrize(("deaths", "starts"), [(1, True), (2, True), (3, False)])
def test_a_child_killed_while_it_starts_is_started_again(deaths: int, starts: bool, tmp_path: Path) -> None:
    mortal = tmp_path / "exiftool"
    mortal.write_text(
        f"#!/bin/sh\necho x >> {tmp_path}/starts\n"
        f"[ $(wc -l < {tmp_path}/starts) -le {deaths} ] && kill -9 $$\n"
        'exec exiftool "$@"\n'
    )
    mortal.chmod(0o755)
    with ExifTool(str(mortal)) as tool:
        if starts:
            assert tool.version
        else:
            with pytest.raises(ExifToolFailed):
                _ = tool.version


def test_an_old_version_is_refused(tmp_path: Path) -> None:
    """Before 12.10 `${status}` came back as written; the stand-in answers as such a version does."""
    old = tmp_path / "exiftool"
    old.write_text(
        f"#!{sys.executable}\nimport sys\npost = ''\nlines = iter(sys.stdin)\n"
        "for line in lines:\n"
        "    if line.startswith('-echo4'):\n        post = next(lines)\n"
        "    if line.startswith('-execute'):\n"
        "        sys.stderr.write(post); sys.stderr.flush()\n"
        "        print('11.88\\n{ready' + line.strip()[8:] + '}', flush=True)\n"
    )
    old.chmod(0o755)
    (error,) = run_aside(lambda: ExifTool(str(old)).version)
    assert isinstance(error, ExifToolFailed)
    assert "12.15" in str(error)


def test_ctrl_c_for_the_daemon_does_not_reach_the_child(tool: ExifTool) -> None:
    """The terminal sends SIGINT to the foreground process group; the child has a session of its own."""
    assert tool.version
    assert tool.process_id is not None
    assert os.getsid(tool.process_id) != os.getsid(0)
    assert os.getpgid(tool.process_id) != os.getpgid(0)


@pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="the kernel's parent-death signal is Linux's"
)
def test_the_child_dies_with_its_parent() -> None:
    program = (
        "from eyeline.exiftool import ExifTool\nimport time\ntool = ExifTool()\ntool.version\n"
        "print(tool.process_id, flush=True)\ntime.sleep(3600)\n"
    )
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True) as parent:
        assert parent.stdout is not None
        child = int(parent.stdout.readline())
        assert Path(f"/proc/{child}").exists()
        parent.kill()
    wait_until(lambda: state(child) == "Z")


def test_no_configuration_of_the_user_is_read(
    jpeg: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    trace = tmp_path / "loaded"
    (tmp_path / ".ExifTool_config").write_text(f"open(my $f, '>', '{trace}'); 1;\n")
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("EXIFTOOL_HOME", str(tmp_path))
    with ExifTool() as tool:
        tool.read(jpeg, ["File:ImageWidth"])
    assert not trace.exists()


def test_closing_twice_and_asking_again(jpeg: Path) -> None:
    tool = ExifTool()
    assert tool.version
    tool.close()
    tool.close()
    assert tool.process_id is None
    assert tool.read(jpeg, ["File:ImageWidth"]) == {"File:ImageWidth": "6"}
    with contextlib.closing(tool):
        assert tool.process_id is not None
