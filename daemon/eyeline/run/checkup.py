"""Is everything here that eyeline needs? One finding a line, none of which stops the others."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, distributions, version
from pathlib import Path

from eyeline.errors import EyelineError, LedgerOutdated
from eyeline.exiftool import ExifTool
from eyeline.ledger.ledger import Ledger
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import rules_in_force
from eyeline.settings.shipped import shipped_folder

LEAST_FREE_BYTES = 1_000_000_000
"""Free space below which a warning is due: a sidecar takes 10 kB, a photo's ledger row as much."""

LEAST_INOTIFY_WATCHES = 8_192
"""Folders that one user may watch on Linux; the kernel's older default, few for a photo archive."""

INOTIFY_LIMIT = Path("/proc/sys/fs/inotify/max_user_watches")


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at. `cure` says what to do where it is not `well`."""

    what: str
    well: bool
    says: str
    cure: str = ""


def examine_installation(configuration: Configuration) -> Iterator[Finding]:
    """Look at everything that eyeline needs, in the order in which a photo needs it."""
    yield _python()
    yield _opencv()
    yield _models()
    yield _exiftool()
    yield from _rules(configuration)
    yield _ledger(configuration)
    yield from _folders(configuration)
    yield _inotify()


def _python() -> Finding:
    running = ".".join(map(str, sys.version_info[:3]))
    well = sys.version_info >= (3, 11)
    return Finding("Python", well, running, "" if well else "Use Python 3.11 or newer")


def _opencv() -> Finding:
    """Exactly one distribution may provide the module cv2: two overwrite each other's files."""
    found = [
        f"{each.name} {each.version}"
        for each in distributions()
        if (each.name or "").lower().replace("_", "-").startswith("opencv-")
    ]
    cure = "Run: sh service/bootstrap install" if not found else "Uninstall all of them but one"
    return Finding("OpenCV", len(found) == 1, ", ".join(found) or "none", "" if len(found) == 1 else cure)


def _models() -> Finding:
    try:
        from eyeline.reading import models
        from eyeline.workers.quiet import quiet_native_logs

        with quiet_native_logs():
            models.load_all()
        return Finding(
            "face models", True, f"onnxruntime {version('onnxruntime')}, all {len(models.ALL)} load"
        )
    except (ImportError, OSError, RuntimeError, ValueError, PackageNotFoundError) as error:
        return Finding(
            "face models", False, f"they do not load ({error})", "Run: sh service/bootstrap install"
        )


def _exiftool() -> Finding:
    try:
        with ExifTool() as exiftool:
            where = shutil.which("exiftool")
            return Finding("ExifTool", True, f"{exiftool.version} ({where})")
    except EyelineError as error:
        return Finding("ExifTool", False, error.what, error.cure)


def _rules(configuration: Configuration) -> Iterator[Finding]:
    try:
        rules, guest_problems = rules_in_force(configuration)
    except EyelineError as error:
        yield Finding("genres", False, error.what, error.cure)
        return
    yield Finding("genres", True, f"{len(rules.rules.genres)} (shipped in {shipped_folder('rules')})")
    for mistake in rules.mistakes:
        yield Finding("rule file", False, str(mistake), "Run: eyeline genres check FILE")
    for problem in guest_problems:
        yield Finding("guest measure", False, problem)


def _ledger(configuration: Configuration) -> Finding:
    path = configuration.ledger
    folder = next(parent for parent in path.parents if parent.exists())
    if not os.access(folder, os.W_OK):
        return Finding("ledger", False, f"{folder} cannot be written to", "Change its rights, or `ledger`")
    if not path.exists():
        return Finding("ledger", True, f"{path} (none yet)")
    try:
        with Ledger.reader(path) as ledger:
            wrong = ledger.check()
    except LedgerOutdated:
        return Finding("ledger", True, f"{path} (of an older eyeline: the next command brings it up to date)")
    except EyelineError as error:
        return Finding("ledger", False, error.what, error.cure)
    if wrong:
        return Finding("ledger", False, f"{path} is damaged: {wrong[0]}", "Restore a backup of it")
    return Finding("ledger", True, str(path))


def _folders(configuration: Configuration) -> Iterator[Finding]:
    for watched in configuration.folders:
        path = watched.path
        if not path.is_dir():
            yield Finding("folder", False, f"{path} is not there", "Create it, or connect its disk")
        elif not os.access(path, os.R_OK | os.X_OK):
            yield Finding("folder", False, f"{path} cannot be read", "Change its rights")
        elif not os.access(path, os.W_OK):
            yield Finding("folder", False, f"{path} cannot be written to", "Sidecars lie beside photos")
        else:
            free = shutil.disk_usage(path).free
            well = free >= LEAST_FREE_BYTES
            yield Finding("folder", well, f"{path}, {free / 1e9:.1f} GB free", "" if well else "Make room")


def _inotify() -> Finding:
    if not INOTIFY_LIMIT.exists():
        return Finding("inotify", True, "not used on this system")
    limit = int(INOTIFY_LIMIT.read_text())
    well = limit >= LEAST_INOTIFY_WATCHES
    cure = "" if well else f"Run as root: sysctl fs.inotify.max_user_watches={LEAST_INOTIFY_WATCHES}"
    return Finding("inotify", well, f"{limit} folders may be watched", cure)
