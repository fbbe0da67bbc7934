"""`eyeline measure`: measures only."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from shlex import quote

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
from eyeline.cli.lines import complain, say
from eyeline.errors import EyelineError, UnreadablePhoto, printable
from eyeline.workers.examine import all_measures, examine, identify
from eyeline.workers.quiet import quiet_native_logs

NO_UNIT = ("bool", "true or false", "yes or no", "word")
"""Units of what answers for itself."""


def run(arguments: argparse.Namespace) -> int:
    """Measure each file in this process; nothing is written anywhere. 1 if one could not be read."""
    units = {quantity.name: quantity.unit for measure in all_measures() for quantity in measure.quantities}
    unreadable = 0
    for path in arguments.paths:
        if (no_photo := _no_photo(path)) is not None:
            complain(str(no_photo))
            unreadable += 1
            continue
        try:
            with quiet_native_logs():
                examined = examine(identify(path))
        except UnreadablePhoto as error:
            complain(str(error))
            unreadable += 1
            continue
        measured = examined.measurements
        if arguments.json:
            values = {name: each.value for name, each in measured.items()}
            missing = {name: each.missing for name, each in measured.items() if each.missing is not None}
            record = {"file": str(path), "sitter": examined.why_sitter, **values, "missing": missing}
            print(json.dumps(record, allow_nan=False))
            continue
        say(f"{printable(path)} (sitter: {examined.why_sitter})")
        for name, each in measured.items():
            if each.value is None:
                say(f"  {name:22} – ({each.missing})", 27)
            else:
                unit = "" if units[name] in NO_UNIT else units[name]
                say(f"  {name:22} {_shown(each.value):>14}  {unit}".rstrip(), 41)
    return SOME_UNREADABLE if unreadable else DONE


def _no_photo(path: Path) -> EyelineError | None:
    if path.is_dir():
        cure = f"Name the photos: eyeline measure {quote(printable(path))}/*.jpg"
        return EyelineError("this is a folder, and measure takes photos", path, cure)
    if not path.exists():
        return EyelineError("there is no such file", path, "Look at its name and its folder")
    return None


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.4g}" if isinstance(value, float) else str(value)
