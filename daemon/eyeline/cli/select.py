"""`eyeline select`: the frames that a client's answer names."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path, PurePath
from shlex import quote

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, counted, say_problem
from eyeline.deciding.mark_selected import Marked, select, unselect
from eyeline.errors import BadConfiguration, EyelineError, printable
from eyeline.ledger.records import Photo
from eyeline.run.select import Offer, last_answer, meant, offer, understood
from eyeline.run.session import Session, open_session
from eyeline.selecting.answer import Answer
from eyeline.selecting.found import Ambiguous, Meant

LARGEST_ANSWER_BYTES = 5_000_000
"""A pasted thread of mails has some hundred thousand; a photo named by mistake has more."""

NAMES_SHOWN = 12
"""Frames that are named in a line; the others are counted: nobody reads two hundred names."""


def run(arguments: argparse.Namespace) -> int:
    """Mark what the answer names, or take the last answer back; 1 where a sidecar could not be written."""
    folders = [folder.resolve() for folder in arguments.folders]
    if arguments.undo == (arguments.source is not None):
        raise BadConfiguration("say where the answer is", cure="--from FILE, or --from - and paste it")
    configuration = configuration_of(arguments)
    text = "" if arguments.undo else _text(arguments.source)
    with open_session(configuration, folders, (), arguments.dry_run, say_problem) as session:
        offered = offer(session.ledger, folders)
        if arguments.undo:
            return _take_back(session, folders, offered, arguments.dry_run)
        answer = understood(text)
        found = _settled(answer, offered, folders, asks=arguments.source != "-" and sys.stdin.isatty())
        if found.unknown and not arguments.known:
            among = " among those that went out" if offered.proof else ""
            raise EyelineError(
                f"no such frame{among}: {', '.join(found.unknown)}",
                cure="Nothing was marked. To go on without: --known",
            )
        _say(answer, found)
        if arguments.dry_run:
            say("Nothing was written (dry run).")
            if found.frames or found.refused:
                source = quote(printable(arguments.source))
                known = " --known" if found.unknown else ""
                say(f"To mark them: eyeline select {_quoted(folders)} --from {source}{known}")
            return DONE
        return _mark(session, offered, found, arguments.source, folders)


def _text(source: str) -> str:
    """The answer as it was given. Raises BadConfiguration where it cannot be read."""
    if source == "-":
        return sys.stdin.read(LARGEST_ANSWER_BYTES)
    try:
        with open(source, "rb") as file:
            content = file.read(LARGEST_ANSWER_BYTES + 1)
    except OSError as error:
        raise BadConfiguration(f"it cannot be read ({error.strerror})", Path(source)) from error
    if len(content) > LARGEST_ANSWER_BYTES or b"\0" in content[:4096].replace(b"\xff\xfe", b"")[:512:2]:
        raise BadConfiguration("it is no text", Path(source), "Name the client's mail, note or table")
    for encoding in ("utf-8-sig", "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "cp1252"):
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    return content.decode("latin-1")


def _settled(answer: Answer, offered: Offer, folders: Sequence[Path], asks: bool) -> Meant:
    """The frames meant; what is ambiguous is asked, or without a terminal an error with the candidates."""
    if answer.doubts:
        listed = "\n  ".join(answer.doubts)
        raise EyelineError(
            f"the answer does not say clearly what is wanted:\n  {listed}",
            cure="Nothing was marked. Ask the client, or write the numbers down and give those",
        )
    found = meant(answer, offered)
    if not (found.frames or found.ambiguous or found.unknown or found.refused):
        raise EyelineError(
            "there is no frame in this answer", cure="Numbers and names are looked for: 213, 217-220"
        )
    if found.ambiguous and not asks:
        listed = "\n  ".join(
            f"{each.words}: {' or '.join(_told(group, folders) for group in each.candidates)}"
            for each in found.ambiguous
        )
        cure = "Nothing was marked. Name one folder, or the frames by their names"
        raise EyelineError(f"more than one frame fits:\n  {listed}", cure=cure)
    settled = [(each.words, _asked(each, folders)) for each in found.ambiguous]
    return meant(answer, offered, settled) if settled else found


def _asked(ambiguous: Ambiguous, folders: Sequence[Path]) -> tuple[PurePath, ...]:
    """Which of the candidates a person says it is; none where they say so."""
    say(f"{printable(ambiguous.words)} may be:")
    for number, group in enumerate(ambiguous.candidates, 1):
        say(f"  {number}  {_told(group, folders)}", 5)
    while True:
        print("Which? A number, all, or none: ", end="", flush=True)
        said = sys.stdin.readline()
        if not said:
            raise EyelineError("nobody said which", cure="Nothing was marked")
        said = said.strip().casefold()
        if said in ("all", "none"):
            return tuple(path for group in ambiguous.candidates for path in group) if said == "all" else ()
        if said.isascii() and said.isdigit() and 1 <= int(said) <= len(ambiguous.candidates):
            return ambiguous.candidates[int(said) - 1]


def _told(group: Sequence[PurePath], folders: Sequence[Path]) -> str:
    """A group of frames, by folder and name."""
    first = group[0]
    root = next((folder for folder in folders if first.is_relative_to(folder)), first.parent)
    shown = printable(str(PurePath(root.name) / first.relative_to(root)))
    return shown if len(group) == 1 else f"{shown} to {printable(group[-1].name)}"


def _say(answer: Answer, found: Meant) -> None:
    """What was understood: how many frames, which, and what of the text was passed over."""
    say(f"The answer names {counted(len(found.frames), 'frame')}.")
    names = [printable(path.name) for path, _ in found.frames]
    more = f" and {len(names) - NAMES_SHOWN} more" if len(names) > NAMES_SHOWN else ""
    if names:
        say(f"  {', '.join(names[:NAMES_SHOWN])}{more}")
    if found.refused:
        say(f"  not wanted: {', '.join(printable(path.name) for path in found.refused)}")
    if found.unknown:
        say(f"  no such frame: {', '.join(found.unknown)}")
    if answer.passed_over:
        say(f"  taken for no frame: {'; '.join(answer.passed_over)}")


def _mark(session: Session, offered: Offer, found: Meant, source: str, folders: Sequence[Path]) -> int:
    photos = {photo.frame.path: photo for photo in offered.photos}
    now = datetime.now(UTC)
    wanted = [(photos[Path(path)], words) for path, words in found.frames]
    marked = list(select(session.decider, wanted, source, now))
    for folder in folders:
        for words in found.unknown:
            session.ledger.choices.add_in_vain(folder, words, source, now)
    refused = [photos[Path(path)] for path in found.refused]
    chosen = {each.path for folder in folders for each in session.ledger.choices.under(folder)}
    gone = list(unselect(session.decider, [each for each in refused if each.frame.path in chosen], None, now))
    new = sum(not each.was_selected for each in marked if each.problem is None)
    before = sum(each.was_selected for each in marked)
    tail = f", {before} had it before" if before else ""
    say(f"{counted(new, 'frame')} marked 'selected'{tail}.")
    if any(each.was_selected for each in gone):
        say(f"{counted(len(gone), 'frame')} no longer selected.")
    if new or before:
        say(f"The files that were sold: eyeline deliver {_quoted(folders)} --to FOLDER --dry-run")
    if new:
        say(f"To take it back: eyeline select {_quoted(folders)} --undo")
    return _code([*marked, *gone])


def _take_back(session: Session, folders: Sequence[Path], offered: Offer, dry_run: bool) -> int:
    last = last_answer(session.ledger, folders)
    if not last:
        say("No answer of a client is kept for this: nothing was done.")
        return DONE
    at, paths = last[0].at, {each.path for each in last}
    photos: list[Photo] = [each for each in offered.photos if each.frame.path in paths]
    what = f"the answer of {at.astimezone():%d %B %Y, %H:%M} ({counted(len(last), 'frame')})"
    if dry_run:
        say(f"Would be taken back: {what}. Nothing was written (dry run).")
        say(f"To take it back: eyeline select {_quoted(folders)} --undo")
        return DONE
    marked = list(unselect(session.decider, photos, at, datetime.now(UTC)))
    for folder in folders:
        session.ledger.choices.take_back_in_vain(folder, at)
    say(f"Taken back: {what}.")
    return _code(marked)


def _quoted(folders: Sequence[Path]) -> str:
    return " ".join(quote(printable(folder)) for folder in folders)


def _code(marked: Sequence[Marked]) -> int:
    return SOME_UNREADABLE if any(each.problem is not None for each in marked) else DONE
