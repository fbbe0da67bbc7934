"""`eyeline deliver`: the files that were sold, in their sizes."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from shlex import quote

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
from eyeline.cli.lines import folded
from eyeline.cli.words import configuration_of, counted, say_problem
from eyeline.delivery.specification import Specification
from eyeline.errors import BadConfiguration, EyelineError, printable
from eyeline.pages.delivery_report import delivery_report
from eyeline.rendering.encode import BYTES_A_KILOBYTE
from eyeline.rendering.profile import target_profile
from eyeline.run.deliver import Delivering, deliver
from eyeline.run.delivered import Delivered, named
from eyeline.run.delivery_again import measured_here
from eyeline.run.delivery_archive import archive_of
from eyeline.run.delivery_item import NotMade
from eyeline.run.delivery_plan import DeliveryPlan, delivery_plan
from eyeline.run.session import Session, open_session
from eyeline.settings.delivery_file import specification_in
from eyeline.system.whole_file import write_whole
from eyeline.workers.pool import PHOTOS_WORTH_A_WORKER

STATES = ("written", "unchanged", "not as promised")

SHOWN = 20
"""Files that are named in a report on the terminal; --json has all."""


def run(arguments: argparse.Namespace) -> int:
    """Deliver, and say what was made; 1 if a file was not, or does not say what was promised."""
    folders = [folder.resolve() for folder in arguments.folders]
    out = arguments.to.absolute()
    _apart(folders, out)
    specification = specification_in(arguments.settings)
    target_profile(specification.profile)
    configuration = configuration_of(arguments)
    with open_session(configuration, folders, (), arguments.dry_run, say_problem) as session:
        plan = delivery_plan(
            session.decider,
            folders,
            specification,
            arguments.best,
            arguments.from_preview,
            [folder.resolve() for folder in arguments.finals],
        )
        done = _made(session, plan, specification, out, arguments.dry_run)
        zips = arguments.zip and not arguments.dry_run
        archive = archive_of(session.ledger.deliveries, done, out) if zips else None
    lines = in_words(done, plan, out, archive)
    if arguments.report is not None:
        _report(arguments.report, out, lines[0], done, plan)
    if arguments.json:
        print(json.dumps(record(done, plan, archive), ensure_ascii=True))
    else:
        for line in lines:
            print(line)
    wrong = any(each.is_wrong for each in done)
    return SOME_UNREADABLE if wrong or plan.not_made else DONE


def _apart(folders: Sequence[Path], out: Path) -> None:
    """Raise BadConfiguration where files would be delivered among the photos: they would be judged there."""
    for folder in folders:
        if out.resolve() == folder:
            raise BadConfiguration("the target is the folder of the photos", out, "Name another")


def _made(
    session: Session, plan: DeliveryPlan, specification: Specification, out: Path, dry_run: bool
) -> list[Delivered]:
    session.pool.expect(len(plan.files))
    again = measured_here if len(plan.files) <= PHOTOS_WORTH_A_WORKER else session.pool.measure_again
    job = Delivering(session.decider, specification, out, again, dry_run)
    console = Console(stderr=True)
    columns = (TextColumn("delivering"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, disable=not console.is_terminal, transient=True) as bar:
        return list(bar.track(deliver(job, plan), total=len(plan.files)))


def _report(path: Path, out: Path, sentence: str, done: Sequence[Delivered], plan: DeliveryPlan) -> None:
    title = f"Delivered to {printable(out.name)}"
    content = delivery_report(title, sentence, done, plan, datetime.now().astimezone())
    try:
        write_whole(path, content)
    except OSError as error:
        what = f"the report cannot be written ({error.strerror})"
        raise EyelineError(what, path, "Name a file in a folder that you may write") from error


def in_words(done: Sequence[Delivered], plan: DeliveryPlan, out: Path, archive: Path | None) -> list[str]:
    """What came out, first in a sentence, then file by file; 80 columns."""
    states = {state: sum(each.state == state for each in done) for state in STATES}
    would = sum(each.state == "would be written" for each in done)
    failed = [each for each in done if each.state == "not made"]
    counts = [f"{number} {state}" for state, number in states.items() if number]
    counts += [f"{would} would be written"] if would else []
    missing = len(failed) + len(plan.not_made)
    counts += [f"{missing} not made"] if missing else []
    of = f"{counted(len(done), 'file')} of {counted(plan.frames, 'frame')}"
    words = [f"{of}: {', '.join(counts) or 'nothing to make'}."]
    of_all = _said_of_all(done)
    for each in done[:SHOWN]:
        if each.state != "not made":
            size = f", {each.size_bytes // BYTES_A_KILOBYTE} kB" if each.size_bytes else ""
            made_from = ", from the final" if each.file.source.kind == "final" else ""
            name = each.target.relative_to(out)
            words.append(folded(f"  {name}  {each.file.whose}{made_from}{size}", 6))
            said = [note for note in each.said if note not in of_all]
            words += [folded(f"      {note}", 8) for note in (*each.broken, *said)]
    words += [folded(f"  of all: {note}", 6) for note in of_all]
    if len(done) > SHOWN:
        words.append(f"  and {len(done) - SHOWN} more; --json names all")
    words += [folded(f"  not made: {named(each)}: {each.problem}", 6) for each in failed]
    words += [folded(f"  not made: {_called(each)}: {each.reason}", 6) for each in plan.not_made]
    words += [folded(f"  final: {each}", 6) for each in plan.told]
    if archive is not None:
        words.append(f"All of them with their checksums: {printable(archive)}")
    elif states["written"] or states["unchanged"]:
        words.append(f"They lie in {quote(printable(out))}. Look before you send them.")
    return words


def _said_of_all(done: Sequence[Delivered]) -> list[str]:
    """What is said of every file that is written, where there are several."""
    written = [each for each in done if each.state == "written"]
    if len(written) < 2:
        return []
    return [note for note in written[0].said if all(note in each.said for each in written)]


def _called(missing: NotMade) -> str:
    size = f", {missing.size[0]}×{missing.size[1]}" if missing.size is not None else ""
    return f"{printable(missing.path.name)}, {printable(missing.line)}{size}"


def record(done: Sequence[Delivered], plan: DeliveryPlan, archive: Path | None) -> dict[str, object]:
    """The same for other programs."""
    return {
        "frames": plan.frames,
        "files": [
            {
                "file": str(each.target),
                "frame": str(each.file.photo.frame.path),
                "from": str(each.file.source.path),
                "source": each.file.source.kind,
                "sitter": each.file.sitter,
                "line": each.file.line.name,
                "size": list(each.file.size),
                "crop": each.file.whose.value,
                "box": [each.file.box.left, each.file.box.top, each.file.box.width, each.file.box.height],
                "scale": each.file.scale,
                "state": each.state,
                "problem": each.problem,
                "quality": each.quality,
                "bytes": each.size_bytes,
                "promised": {
                    "eye_line": each.file.promise.eye_line,
                    "head_height": each.file.promise.head_height,
                    "eye_blur_px": each.file.promise.eye_blur_px,
                },
                "measured": dict(each.measured) if each.measured is not None else None,
                "broken": list(each.broken),
                "said": list(each.said),
            }
            for each in done
        ],
        "not_made": [
            {
                "frame": str(each.path),
                "line": each.line,
                "size": list(each.size) if each.size is not None else None,
                "reason": each.reason,
            }
            for each in plan.not_made
        ],
        "finals": list(plan.told),
        "archive": str(archive) if archive is not None else None,
    }
