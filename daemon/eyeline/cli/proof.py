"""`eyeline proof`: what went out to the client, so that numbers match."""

from __future__ import annotations

import argparse
import csv
import json
import sys
from datetime import UTC, datetime
from pathlib import Path
from shlex import quote

from eyeline.cli.exit_codes import DONE
from eyeline.cli.lines import say
from eyeline.cli.words import configuration_of, counted
from eyeline.deciding.judge_folder import measured_exposures
from eyeline.deciding.sidecar_record import SidecarRecords
from eyeline.errors import EyelineError, printable
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.run.proof import Proof, proof_of, send_out
from eyeline.run.ratings import their_stars
from eyeline.settings.configuration import Configuration


def run(arguments: argparse.Namespace) -> int:
    """List what went out; with --sent keep first that it goes out now."""
    folders = [folder.resolve() for folder in arguments.folders]
    configuration = configuration_of(arguments)
    if arguments.sent:
        with Ledger(configuration.ledger, datetime.now(UTC)) as ledger:
            photos = _chosen(ledger, folders, configuration, arguments.stars)
            send_out(ledger, photos, "list", datetime.now(UTC))
            return _print(proof_of(ledger, folders), arguments, folders)
    with Ledger.up_to_date(configuration.ledger, datetime.now(UTC)) as ledger:
        return _print(proof_of(ledger, folders), arguments, folders)


def _chosen(
    ledger: Ledger, folders: list[Path], configuration: Configuration, least_stars: int
) -> list[Photo]:
    """The frames in `folders` that have so many stars, the photographer's or else eyeline's."""
    photos = measured_exposures(ledger, folders)
    records = SidecarRecords(ledger, configuration.naming)

    def stars(photo: Photo) -> float:
        theirs = their_stars(records, photo)
        last = ledger.decisions.latest(photo.frame.path)
        eyelines = last.verdict.stars if last is not None else None
        return theirs if theirs is not None else eyelines or 0

    found = [photo for photo in photos if stars(photo) >= least_stars] if least_stars else photos
    if not found:
        raise EyelineError("no frame in it has so many stars", folders[0], "Nothing went out")
    return found


def _print(proof: Proof, arguments: argparse.Namespace, folders: list[Path]) -> int:
    if arguments.json:
        print(json.dumps(_record(proof), ensure_ascii=True))
        return DONE
    if arguments.csv:
        writer = csv.writer(sys.stdout, lineterminator="\n")
        writer.writerow(("number", "file", "choice"))
        writer.writerows((row.number, printable(row.path.name), "") for row in proof.rows)
        return DONE
    for line in in_words(proof, folders):
        say(line, 10 if line.startswith("  ") else 2)
    return DONE


def in_words(proof: Proof, folders: list[Path]) -> list[str]:
    """What went out, and what to type next."""
    where = " ".join(quote(printable(folder)) for folder in folders)
    if not proof.rows:
        return [
            "Nothing is known to have gone out to a client.",
            f"To keep what goes out now: eyeline proof {where} --sent",
        ]
    chosen = sum(row.chosen is not None for row in proof.rows)
    words = [f"{counted(len(proof.rows), 'frame')} went out, {chosen} chosen."]
    for row in proof.rows:
        mark = f"  chosen: {row.chosen}" if row.chosen is not None else ""
        words.append(f"  {row.number:>6}  {row.path.name}  {row.at.astimezone():%d %b}{mark}")
    if proof.twice:
        numbers = ", ".join(proof.twice)
        words.append(f"Twice among them: {numbers}. The client has to name these with letters.")
    return [*words, f"With the client's answer: eyeline select {where} --from FILE"]


def _record(proof: Proof) -> dict[str, object]:
    return {
        "frames": [
            {
                "number": row.number,
                "file": str(row.path),
                "made_as": row.made_as,
                "at": row.at.isoformat(),
                "chosen": row.chosen,
            }
            for row in proof.rows
        ],
        "twice": list(proof.twice),
    }
