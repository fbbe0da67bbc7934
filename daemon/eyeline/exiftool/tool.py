"""ExifTool as the rest of eyeline sees it: read tags, edit tags; every call ends in time."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType

from eyeline.errors import ExifToolFailed, printable
from eyeline.exiftool.arguments import assignment_arguments, path_argument, tag_arguments
from eyeline.exiftool.child import Child, ChildDied, DiedAtStart

CALL_DEADLINE_S = 30.0
"""Seconds for one command. Measured: 2 ms; a slow network folder may take a thousand times that."""


class Refused(ExifToolFailed):
    """ExifTool answered that it cannot do it: the file is at fault, the process is well."""


MINOR = "Warning: [minor] "
"""How a warning begins that ExifTool's option -m would leave out. "[Minor]", with a capital, is one by which
more than the warning changes; that and every other is serious."""

START_TRIES = 3
"""How often a process that ends before it answers is started: one killed from outside (a tidy-up of the
system's, too little memory) starts at the next try, a program that is no ExifTool never does."""


class ExifTool:
    """Owner of one ExifTool process, started at the first call and anew after a failure.

    Safe to share between threads: calls wait for one another. Use as a context manager, or call `close`.
    """

    def __init__(self, executable: str = "exiftool", deadline_s: float = CALL_DEADLINE_S) -> None:
        self._executable = executable
        self._deadline_s = deadline_s
        self._one_at_a_time = threading.RLock()
        self._child: Child | None = None

    def __enter__(self) -> ExifTool:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def version(self) -> str:
        """The version as ExifTool states it. Raises ExifToolFailed when it is missing or too old."""
        with self._one_at_a_time:
            return str(self._living().version)

    @property
    def process_id(self) -> int | None:
        """Process id of the running child, None when there is none."""
        with self._one_at_a_time:
            child = self._child
            return int(child._process.pid) if child is not None and child.alive else None

    def close(self) -> None:
        """End the process. A later call starts a new one."""
        with self._one_at_a_time:
            if self._child is not None:
                self._child.close()
                self._child = None

    def read(self, path: Path, tags: Iterable[str]) -> dict[str, object]:
        """The tags asked for, keyed "Group1:Tag" ("IFD0:Orientation", "XMP-xmp:Rating").

        Values are as stored (no print conversion); numbers come as the text that ExifTool printed, since JSON
        would turn the keyword 2026 into a number. Structures are dicts and lists. Absent tags are absent.
        Raises Refused when the file cannot be read, ExifToolFailed when ExifTool itself fails.
        """
        arguments = [b"-j", b"-n", b"-G1", b"-a", b"-struct", *tag_arguments(tags), path_argument(path)]
        try:
            stdout, stderr, status = self._ask(arguments, path)
        except ChildDied:
            # Reading changes nothing, so a child that was killed from outside costs one more try.
            stdout, stderr, status = self._ask(arguments, path)
        if status != 0 or not stdout:
            raise Refused(f"ExifTool cannot read it ({_reason(stderr, path)})", path, "Check the file")
        try:
            (answer,) = json.loads(stdout.decode("utf-8", "replace"), parse_int=str, parse_float=str)
        except ValueError as error:
            raise ExifToolFailed(
                f"ExifTool's answer is not JSON ({error})", path, "Check the file"
            ) from error
        answer.pop("SourceFile", None)
        return dict(answer)

    def extract(self, path: Path, tag: str) -> bytes:
        """The bytes of the binary `tag` ("SubIFD1:JpgFromRaw", as `read` keys it); empty where it is absent.

        Raises ExifToolFailed when ExifTool itself fails.
        """
        arguments = [b"-b", *tag_arguments((tag,)), path_argument(path)]
        try:
            return self._ask(arguments, path)[0]
        except ChildDied:
            return self._ask(arguments, path)[0]

    def edit(self, path: Path, assignments: Iterable[str]) -> None:
        """Apply `assignments` (each `-Group:Tag=value`, `+=` or `-=`) to the file at `path`, in its place.

        The caller gives a copy, never an original. ExifTool's exit status says little (it is 0 when one of
        several values was refused), so any word on stderr is a failure: Refused; but for warnings that it
        calls minor itself, of what it passes over or mends on the way. Raises ExifToolFailed
        when ExifTool itself fails.
        """
        arguments = [b"-n", b"-overwrite_original", *assignment_arguments(assignments), path_argument(path)]
        _, stderr, status = self._ask(arguments, path)
        serious = "\n".join(line for line in stderr.splitlines() if not line.startswith(MINOR))
        if serious or status != 0:
            raise Refused(
                f"ExifTool refused the edit ({_reason(serious or stderr, path)}; status {status})",
                path,
                "Nothing was written",
            )

    def _living(self) -> Child:
        if self._child is not None and not self._child.alive:
            self._child.close()
            self._child = None
        if self._child is None:
            self._child = self._started()
        return self._child

    def _started(self) -> Child:
        for _ in range(START_TRIES - 1):
            try:
                return Child(self._executable)
            except DiedAtStart:
                continue
        return Child(self._executable)

    def _ask(self, arguments: list[bytes], path: Path) -> tuple[bytes, str, int]:
        with self._one_at_a_time:
            try:
                return self._living().ask(arguments, self._deadline_s)
            except ExifToolFailed as error:
                raise type(error)(error.what, error.file or path, error.cure) from error


def _reason(stderr: str, path: Path) -> str:
    """The first line of what ExifTool said, without the path, which the error names anyway."""
    return printable(stderr.replace(f" - {path}", "").strip().partition("\n")[0])[:200] or "no reason given"
