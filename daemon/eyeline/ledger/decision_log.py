"""The decision log beside the ledger: one event a line, in JSON, for people and their other programs."""

from __future__ import annotations

import errno
import json
import os
import threading
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any

from eyeline.errors import LedgerFailed
from eyeline.ledger.conversion import json_text, utc_text
from eyeline.ledger.records import Decision, Problem
from eyeline.system.whole_file import write_whole

LARGEST_BYTES = 10_000_000  # some 15,000 decisions: opens in any editor
KEPT_FILES = 5  # the one being written and four before it: some 50 MB at most

CURE = "Free some space or make it writable"
TOO_MANY_OPEN = (errno.EMFILE, errno.ENFILE)


class DecisionLog:
    """A log file, private to the user, that is put aside as NAME.1, NAME.2, ... when it grows too large.

    A line is ASCII: what a file name or metadata holds of control characters is escaped, so nothing
    can begin a line of its own. Threads may share it. Every method raises LedgerFailed.
    """

    def __init__(self, path: Path, largest_bytes: int = LARGEST_BYTES, kept_files: int = KEPT_FILES) -> None:
        self.path = path
        self._largest_bytes = largest_bytes
        self._one_at_a_time = threading.Lock()
        self._files = (path, *(path.with_name(f"{path.name}.{n}") for n in range(1, kept_files)))

    def decided(self, decision: Decision) -> None:
        """Log a decision, its reasons in short: what each criterion cost, in the verdict's order."""
        verdict = decision.verdict
        self.event(
            "decided",
            decision.decided_at,
            path=str(decision.path),
            digest=decision.digest,
            rules_digest=verdict.rules_digest,
            genre=verdict.genre,
            stars=verdict.stars,
            score=verdict.score,
            keywords=list(verdict.keywords),
            cost={reason.name: reason.cost for reason in verdict.reasons},
            crops=[crop.format_name for crop in verdict.crops],
            outcome=decision.outcome,
            refused_because=decision.refused_because,
            sidecar=str(decision.sidecar) if decision.sidecar is not None else None,
        )

    def problem(self, problem: Problem) -> None:
        """Log a problem."""
        path = str(problem.path) if problem.path is not None else None
        self.event("problem", problem.at, path=path, what=problem.what, cure=problem.cure)

    def event(self, event: str, at: datetime, **fields: Any) -> None:
        """Log any other event, such as a start or a reload of the rules, with its `fields`."""
        line = json_text({"at": utc_text(at), "event": event, **fields}).encode("ascii") + b"\n"
        try:
            with self._one_at_a_time:
                self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                self._append(line)
        except OSError as error:
            raise self._failed("cannot be written", error) from error

    def forget(self, folder: Path) -> int:
        """Erase every line about `folder` or what lies under it; how many lines that was."""
        erased = 0
        for file in self._files:
            try:
                with suppress(FileNotFoundError):
                    erased += _erase(file, folder)
            except OSError as error:
                raise self._failed("cannot be rewritten", error) from error
        return erased

    def _append(self, line: bytes) -> None:
        descriptor = os.open(self.path, os.O_CREAT | os.O_APPEND | os.O_RDWR | os.O_NOFOLLOW, 0o600)
        try:
            size = os.fstat(descriptor).st_size
            if size and os.pread(descriptor, 1, size - 1) != b"\n":
                line = b"\n" + line  # an earlier line was cut short, by a full disk for one
            if os.write(descriptor, line) < len(line):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        finally:
            os.close(descriptor)
        if size + len(line) >= self._largest_bytes:
            for older, newer in zip(reversed(self._files), reversed(self._files[:-1]), strict=False):
                with suppress(FileNotFoundError):
                    newer.replace(older)

    def _failed(self, what: str, error: OSError) -> LedgerFailed:
        cure = "Raise the limit of open files (ulimit -n)" if error.errno in TOO_MANY_OPEN else CURE
        return LedgerFailed(f"the decision log {what}: {error.strerror}", self.path, cure)


def _erase(file: Path, folder: Path) -> int:
    lines = file.read_bytes().splitlines(keepends=True)
    kept = [line for line in lines if not _is_about(line, folder)]
    if len(kept) == len(lines):
        return 0
    write_whole(file, b"".join(kept))
    return len(lines) - len(kept)


def _is_about(line: bytes, folder: Path) -> bool:
    try:
        fields = json.loads(line)
    except ValueError:
        return False
    if not isinstance(fields, dict):
        return False
    paths = [fields.get(key) for key in ("path", "sidecar")]
    return any(isinstance(path, str) and Path(path).is_relative_to(folder) for path in paths)
