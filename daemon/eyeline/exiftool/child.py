"""One ExifTool process that stays open, spoken to by pyexiftool, made safe against its own death.

pyexiftool 0.5.6 has no notion of a deadline, waits for ever for a child that has died, and stands
still when the child writes more than a pipe (64 KiB) to stderr. Here

* the child's stderr is a file without a name, so it is never full;
* a thread starts the child, waits for its end and then puts descriptors that cannot be read in the place
  of the child's (`dup2`, which is atomic), so that pyexiftool's waiting loop ends with an OSError;
* the child has a session of its own, so Ctrl-C at the terminal is not delivered to it;
* on Linux the kernel kills the child when the thread that started it ends, which is when eyeline dies.
  (Elsewhere an eyeline that is killed leaves an idle child behind.)
"""

from __future__ import annotations

import ctypes
import errno
import fcntl
import os
import queue
import re
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from io import FileIO
from pathlib import Path

import exiftool
from eyeline.errors import ExifToolFailed
from eyeline.exiftool.deadline import Watch

MINIMUM_VERSION = (12, 15)
"""pyexiftool reads the exit status of each command by `-echo4 ${status}`, which 12.15 brought."""

INSTALL_CURE = "Install ExifTool 12.15 or newer (Debian and Ubuntu: apt install libimage-exiftool-perl)"

START_DEADLINE_S = 30.0
"""Seconds for the first answer: a cold start takes 0.1 s here, a loaded machine may take many times that."""

CLOSE_DEADLINE_S = 2.0
"""Seconds that a child may take to leave when asked to, before it is killed; it has nothing to save."""

_WAIT_INTERRUPTED = re.compile(
    r"^Use of uninitialized value \$result in numeric eq \(==\) at .* line \d+\.\n?", re.MULTILINE
)
"""What Perl says where SIGCONT interrupts ExifTool's wait for its next command, as in a process that was
stopped and goes on. It is no word on the file."""

HAS_NAMELESS_FILES = sys.platform.startswith("linux")
"""Whether there are files that never have a name (memfd_create(2)), so that no kill can leave one."""

_CURES = {
    errno.EMFILE: "Raise the limit of open files (ulimit -n)",
    errno.ENFILE: "Close other programs, or raise the system's limit of open files (fs.file-max)",
    errno.ENOSPC: "Make room in the folder for temporary files",
    errno.ENOMEM: "Close other programs: there is too little memory",
    errno.EAGAIN: "Close other programs, or raise the limit of processes (ulimit -u)",
}
"""What to do where it is not ExifTool that is missing, by the system's error number."""

_PR_SET_PDEATHSIG = 1  # linux/prctl.h


class ChildDied(ExifToolFailed):
    """The process ended in the middle of a command, for no reason of ours."""


class DiedAtStart(ExifToolFailed):
    """The process ended before it said its version: killed from outside, or no ExifTool at all."""


class Child(exiftool.ExifTool):  # type: ignore[misc,unused-ignore]
    """One child process. Not for use by two threads at once; `tool.ExifTool` sees to that."""

    def __init__(self, executable: str) -> None:
        try:
            super().__init__(executable=executable, common_args=None, encoding="utf-8")
        except FileNotFoundError as error:
            raise ExifToolFailed(
                f"ExifTool is not installed ({executable!r} not found)", cure=INSTALL_CURE
            ) from error
        self._ended = threading.Event()
        self._late = threading.Event()
        self._watch = Watch(self._expire)
        self.run()

    def run(self) -> None:
        """Start the process and ask for its version.

        Raises ExifToolFailed when it does not start, does not answer, or is too old.
        """
        try:
            log_fd, log_name = _new_log()
        except OSError as error:
            raise _no_start(error) from error
        try:
            # Append mode: the log is emptied before each command while the child keeps it open.
            fcntl.fcntl(log_fd, fcntl.F_SETFL, fcntl.fcntl(log_fd, fcntl.F_GETFL) | os.O_APPEND)
            log = open(log_name, "r+b", buffering=0)  # noqa: SIM115 - lives as long as the child
            if not HAS_NAMELESS_FILES:
                Path(log_name).unlink()  # at once: whoever is killed from here on leaves no file
            started: queue.SimpleQueue[subprocess.Popen[bytes] | OSError] = queue.SimpleQueue()
            threading.Thread(
                target=self._live, args=(log, log_fd, started), name="exiftool-watch", daemon=True
            ).start()
            process = started.get()
        finally:
            os.close(log_fd)
        if isinstance(process, OSError):
            log.close()
            raise _no_start(process) from process
        self._process = process
        self._running = True
        try:
            version = self.ask([b"-ver"], START_DEADLINE_S)[0].decode("ascii", "replace").strip()
        except ChildDied as error:
            raise DiedAtStart(
                f"{self._executable} does not answer as ExifTool 12.15 or newer does", cure=INSTALL_CURE
            ) from error
        self._ver = version
        if _numbers(version) < MINIMUM_VERSION:
            self.close()
            raise ExifToolFailed(f"ExifTool {version[:20]!r} is too old", cure=INSTALL_CURE)

    @property
    def running(self) -> bool:
        """Whether the process runs, as pyexiftool asks before each command; its own answer also prints a
        warning, where a person is told the same by a sentence with a cure. The pipes of one that does not
        are closed here, since from then on nobody else knows of them."""
        if self._running and self._process.poll() is not None:
            self.close()
        return bool(self._running)

    @property
    def alive(self) -> bool:
        """Whether the process runs."""
        return bool(self._running) and not self._ended.is_set()

    def ask(self, arguments: list[bytes], deadline_s: float) -> tuple[bytes, str, int]:
        """Run one command; returns its stdout, its stderr and its exit status.

        On any failure (deadline, death, a garbled reply) the process is killed, and this instance
        is of no further use. Raises ExifToolFailed.
        """
        process: subprocess.Popen[bytes] = self._process
        assert process.stderr is not None
        try:
            with self._watch.within(deadline_s):
                log_fd = process.stderr.fileno()
                os.ftruncate(log_fd, 0)
                os.lseek(log_fd, 0, os.SEEK_SET)
                stdout = self.execute(*arguments, raw_bytes=True)
                stderr = _WAIT_INTERRUPTED.sub("", self.last_stderr.decode("utf-8", "replace")).strip()
                return stdout, stderr, int(self.last_status)
        except Exception as error:
            self.close(kill=True)
            if self._late.is_set():
                raise ExifToolFailed(
                    f"ExifTool gave no answer within {deadline_s:g} s and was killed",
                    cure="The next photo gets a new one; if this repeats, look at this photo and at the disk",
                ) from error
            raise ChildDied(
                f"ExifTool died in the middle of a command ({type(error).__name__}: {error})",
                cure="The next photo gets a new one; if this repeats, run `exiftool` on the photo by hand",
            ) from error
        except BaseException:  # Ctrl-C: the reply is still under way and would answer the next question
            self.close(kill=True)
            raise

    def close(self, kill: bool = False) -> None:
        """Ask the process to leave, or `kill` it at once; it is killed if it stays. Safe to call twice."""
        process: subprocess.Popen[bytes] | None = self._process
        if process is None:
            return
        assert process.stdin is not None and process.stdout is not None and process.stderr is not None
        if not kill and process.poll() is None:
            try:
                process.stdin.write(b"-stay_open\nFalse\n")
                process.stdin.flush()
            except (OSError, ValueError):
                process.kill()
            self._ended.wait(CLOSE_DEADLINE_S)
        process.kill()
        self._ended.wait(CLOSE_DEADLINE_S)
        for stream in (process.stdin, process.stdout, process.stderr):
            try:
                stream.close()
            except OSError:
                continue  # unsent bytes for a process that is gone
        self._flag_running_false()
        self._watch.close()

    def _expire(self) -> None:
        self._late.set()
        self._process.kill()

    def terminate(self, timeout: int = 30, _del: bool = False) -> None:
        """What pyexiftool calls when an instance is dropped."""
        self.close()

    def _live(
        self, log: FileIO, log_fd: int, started: queue.SimpleQueue[subprocess.Popen[bytes] | OSError]
    ) -> None:
        """Start the process and stay until it ends; this thread's end would be the process's end too."""
        try:
            process = subprocess.Popen(
                # `-config ''`: no configuration of the user's may change what a tag means.
                [self._executable, "-config", "", "-stay_open", "True", "-@", "-"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=log_fd,
                start_new_session=True,
                preexec_fn=_die_with_parent(),
                env={**os.environ, "LC_ALL": "C"},
            )
        except OSError as error:
            started.put(error)
            return
        process.stderr = log
        started.put(process)
        process.wait()
        unreadable = os.open(os.devnull, os.O_WRONLY)
        try:
            for stream in (process.stdout, log):
                assert stream is not None
                os.dup2(unreadable, stream.fileno(), inheritable=False)
        except ValueError:
            pass  # close() gave up waiting and closed them first
        finally:
            os.close(unreadable)
            self._ended.set()


def _new_log() -> tuple[int, str]:
    """An empty file, open, and the path by which it is opened once more. Raises OSError."""
    if HAS_NAMELESS_FILES:
        log_fd = os.memfd_create("eyeline-exiftool")
        return log_fd, f"/proc/self/fd/{log_fd}"
    return tempfile.mkstemp(prefix="eyeline-exiftool-")


def _no_start(error: OSError) -> ExifToolFailed:
    cure = _CURES.get(error.errno or 0, INSTALL_CURE)
    return ExifToolFailed(f"ExifTool does not start ({error.strerror or error})", cure=cure)


def _die_with_parent() -> Callable[[], None] | None:
    if not sys.platform.startswith("linux"):
        return None
    prctl = ctypes.CDLL(None).prctl  # looked up before the fork, where loading would not be safe

    def set_signal() -> None:
        prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)

    return set_signal


def _numbers(version: str) -> tuple[int, ...]:
    try:
        return tuple(int(part) for part in version.split("."))
    except ValueError:
        return (0,)
