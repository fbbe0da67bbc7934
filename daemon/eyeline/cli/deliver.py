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
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, say_problem
from eyeline.errors import EyelineError, printable
from eyeline.pages.delivery_report import delivery_report
from eyeline.rendering.encode import BYTES_A_KILOBYTE
from eyeline.run.delivered import Delivered, named, said_of_all
from eyeline.run.delivery_item import NotMade
from eyeline.run.delivery_order import Order, Outcome, carry_out, words_of
from eyeline.run.delivery_plan import DeliveryPlan
from eyeline.run.session import Session, open_session
from eyeline.settings.delivery_file import specification_in
from eyeline.system.whole_file import write_whole

SHOWN = 20
"""Files that are named in a report on the terminal; --json has all."""


def run(arguments: argparse.Namespace) -> int:
    """Deliver, and say what was made; 1 if a file was not, or does not say what was promised."""
    order = Order(
        tuple(folder.resolve() for folder in arguments.folders),
        arguments.to.absolute(),
        specification_in(arguments.settings),
        arguments.best,
        arguments.from_preview,
        tuple(folder.resolve() for folder in arguments.finals),
        arguments.zip,
        arguments.dry_run,
    )
    configuration = configuration_of(arguments)
    order.check(configuration)
    with open_session(configuration, order.folders, (), arguments.dry_run, say_problem) as session:
        outcome = _carried_out(session, order)
    lines = in_words(outcome, order.out)
    if arguments.report is not None:
        _report(arguments.report, order.out, lines[0], outcome.done, outcome.plan)
    if arguments.json:
        print(json.dumps(record(outcome), ensure_ascii=True))
    else:
        for line in lines:
            say(line, len(line) - len(line.lstrip()) + 2)
        if arguments.dry_run and outcome.plan.files:
            say(f"To make them: {_without_dry_run(arguments)}")
    return DONE if outcome.is_whole else SOME_UNREADABLE


def _without_dry_run(arguments: argparse.Namespace) -> str:
    """The same command, now in earnest."""
    words = ["eyeline", "deliver", *arguments.folders, "--to", arguments.to]
    for option in ("settings", "report", "config"):
        if (path := getattr(arguments, option)) is not None:
            words += [f"--{option}", path]
    words += ["--best"] if arguments.best else []
    words += ["--from-preview"] if arguments.from_preview else []
    words += [word for folder in arguments.finals for word in ("--finals", folder)]
    words += ["--zip"] if arguments.zip else []
    return " ".join(quote(printable(word)) for word in words)


def _carried_out(session: Session, order: Order) -> Outcome:
    console = Console(stderr=True)
    columns = (TextColumn("delivering"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, disable=not console.is_terminal, transient=True) as bar:
        task = bar.add_task("", total=None)

        def planned(plan: DeliveryPlan) -> None:
            session.pool.expect(len(plan.files))
            bar.update(task, total=len(plan.files))

        return carry_out(
            session.decider, order, session.pool.measure_again, planned, lambda _: bar.advance(task)
        )


def _report(path: Path, out: Path, sentence: str, done: Sequence[Delivered], plan: DeliveryPlan) -> None:
    title = f"Delivered to {printable(out.name)}"
    content = delivery_report(title, sentence, done, plan, datetime.now().astimezone())
    try:
        write_whole(path, content)
    except OSError as error:
        what = f"the report cannot be written ({error.strerror})"
        raise EyelineError(what, path, "Name a file in a folder that you may write") from error


def in_words(outcome: Outcome, out: Path) -> list[str]:
    """What came out, first in a sentence, then file by file."""
    done, plan, archive = outcome.done, outcome.plan, outcome.archive
    failed = [each for each in done if each.state == "not made"]
    words = [words_of(done, plan)]
    of_all = said_of_all(done)
    for each in done[:SHOWN]:
        if each.state != "not made":
            size = f", {each.size_bytes // BYTES_A_KILOBYTE} kB" if each.size_bytes else ""
            made_from = ", from the final" if each.file.source.kind == "final" else ""
            name = each.target.relative_to(out)
            words.append(f"  {name}  {each.file.whose}{made_from}{size}")
            said = [note for note in each.said if note not in of_all]
            words += [f"      {note}" for note in (*each.broken, *said)]
    words += [f"  of all: {note}" for note in of_all]
    if len(done) > SHOWN:
        words.append(f"  and {len(done) - SHOWN} more; --json names all")
    words += [f"  not made: {named(each)}: {each.problem}" for each in failed]
    words += [f"  not made: {_called(each)}: {each.reason}" for each in plan.not_made]
    words += [f"  final: {each}" for each in plan.told]
    words += [
        f"  earlier: {printable(each.relative_to(out))} is none of these files, and lies there still"
        for each in outcome.earlier[:SHOWN]
    ]
    if len(outcome.earlier) > SHOWN:
        words.append(f"  and {len(outcome.earlier) - SHOWN} more from earlier; --json names all")
    if archive is not None:
        words.append(f"All of them with their checksums: {printable(archive)}")
    elif any(each.is_there for each in done):
        words.append(f"They lie in {quote(printable(out))}. Look before you send them.")
    return words


def _called(missing: NotMade) -> str:
    size = f", {missing.size[0]}×{missing.size[1]}" if missing.size is not None else ""
    return f"{printable(missing.path.name)}, {printable(missing.line)}{size}"


def record(outcome: Outcome) -> dict[str, object]:
    """The same for other programs."""
    done, plan, archive = outcome.done, outcome.plan, outcome.archive
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
        "earlier": [str(each) for each in outcome.earlier],
    }
