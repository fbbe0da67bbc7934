"""`eyeline sheet`: all frames of some folders on one page, for oneself or for the client."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from shlex import quote

from eyeline.cli.exit_codes import DONE, SOME_UNREADABLE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, counted, say_problem
from eyeline.errors import BadConfiguration, EyelineError, printable
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo, Problem
from eyeline.pages.choice import Choice, Order, chosen, stars_range
from eyeline.pages.marked import FONT, marked
from eyeline.pages.pictures import Pictures, pictures
from eyeline.pages.sheet import Sheet
from eyeline.pages.sheet_file import HTML_ENDINGS, PDF_ENDING, write_sheet
from eyeline.pages.sheet_frames import sheet_of
from eyeline.pages.sheet_look import Look
from eyeline.run.proof import send_out
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import rules_in_force


def run(arguments: argparse.Namespace) -> int:
    """Write the sheet; 1 if a photo of which no small version is kept could not be read."""
    choice, look, out = _choice(arguments), _look(arguments), _out(arguments)
    configuration = configuration_of(arguments)
    folders = [folder.resolve() for folder in arguments.folders]
    rules, _ = rules_in_force(configuration)
    title = arguments.title or ("Proof" if look.client else ", ".join(folder.name for folder in folders))
    with Ledger.up_to_date(configuration.ledger, datetime.now(UTC)) as ledger:
        sheet = chosen(sheet_of(folders, ledger, configuration, rules, title, look.client), choice)
    if not sheet.frames:
        raise EyelineError(f"no frame has {choice.in_words}", folders[0], "Ask for less")
    shown = _pictures(sheet, look, configuration)
    without_letters: tuple[str, ...] = ()
    if out.suffix.lower() == PDF_ENDING:
        from eyeline.pages.sheet_pdf import sheet_pdf  # brings a library that takes long to import

        pdf = sheet_pdf(sheet, look, shown.of)
        content, without_letters = pdf.content, pdf.boxes
    else:
        from eyeline.pages.sheet_html import sheet_html

        content = sheet_html(sheet, look, shown.of)
    write_sheet(out, content)
    if look.client:
        now = datetime.now(UTC)
        with Ledger(configuration.ledger, now) as ledger:
            send_out(ledger, [frame.photo for frame in sheet.frames], out.name, now)
    what = "proof" if look.client else "sheet"
    say(f"The {what} of {counted(len(sheet.frames), 'frame')} is written: {printable(out)}")
    if without_letters:
        named = ", ".join(map(printable, without_letters))
        say(f"Not readable in it, since no face for print has these letters: {named}")
        say("As a web page they show: the same without --pdf, to an .html")
    if shown.drawn:
        drawn = f"Of {counted(shown.drawn, 'frame')} no picture was kept: drawn from the photo."
        say(drawn)
    again = " ".join(quote(printable(folder)) for folder in arguments.folders)
    if look.client:
        say(f"With the client's answer: eyeline select {again} --from FILE")
    elif out.suffix.lower() == PDF_ENDING:
        say(f"For the client: eyeline sheet {again} --client")
    else:
        say("Open it in a browser. For print: the same with --pdf")
    return SOME_UNREADABLE if shown.problems else DONE


def _pictures(sheet: Sheet, look: Look, configuration: Configuration) -> Pictures:
    scale = look.scale
    change: Callable[[Photo, bytes], bytes] = partial(
        marked, longest_px=scale.longest_px, words=look.watermark
    )
    if look.size == "small" and not look.watermark:
        change = _as_kept
    photos = [frame.photo for frame in sheet.frames]
    shown = pictures(photos, scale.kind, configuration.small_versions, configuration.workers, change)
    for problem in shown.problems:
        say_problem(Problem.of(problem, datetime.now(UTC)))
    return shown


def _as_kept(_: Photo, jpeg: bytes) -> bytes:
    return jpeg


def _choice(arguments: argparse.Namespace) -> Choice:
    fewest, most = (None, 5) if arguments.stars is None else stars_range(arguments.stars)
    order: Order = "clock" if arguments.client and arguments.sort == "taken" else arguments.sort
    return Choice(fewest, most, tuple(arguments.keyword), order)


def _look(arguments: argparse.Namespace) -> Look:
    """Raises BadConfiguration where a proof would tell what eyeline thinks."""
    if arguments.client and (arguments.geometry or arguments.sort == "stars"):
        asked = "--geometry" if arguments.geometry else "--sort stars"
        raise BadConfiguration(
            f"a proof shows nothing of our judgement, so not {asked}", cure=f"Leave {asked} out"
        )
    if arguments.watermark is not None and not arguments.client:
        raise BadConfiguration("only a proof has a watermark", cure="Add --client")
    watermark = ("proof" if arguments.watermark is None else arguments.watermark) if arguments.client else ""
    if not watermark.isascii():
        from eyeline.pages.pdf_fonts import has_letters  # brings a library that takes long to import

        if not has_letters(FONT, watermark):
            raise BadConfiguration(
                f"the face of the watermark does not have all letters of {printable(watermark)}",
                cure='Write it in Latin letters, or with --watermark "" none',
            )
    return Look(arguments.size, arguments.paper, arguments.geometry, arguments.client, watermark)


def _out(arguments: argparse.Namespace) -> Path:
    """The file to write. Raises BadConfiguration for one of another kind, which might be a photo."""
    ending = PDF_ENDING if arguments.pdf else ".html"
    if arguments.out is None:
        name = arguments.folders[0].resolve().name or "all"
        return Path(f"{name}-{'proof' if arguments.client else 'sheet'}{ending}")
    out: Path = arguments.out
    if out.suffix.lower() not in {*HTML_ENDINGS, PDF_ENDING}:
        raise BadConfiguration("a sheet is an .html or a .pdf", out, "Give it one of these endings")
    if arguments.pdf and out.suffix.lower() != PDF_ENDING:
        raise BadConfiguration("--pdf writes a .pdf", out, "Give it that ending, or leave --pdf out")
    return out
