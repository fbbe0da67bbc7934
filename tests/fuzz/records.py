"""Mutated records in the history of sidecars that a person has rated and keyworded: nothing of hers goes."""

from __future__ import annotations

import json
import random
from pathlib import Path
from xml.etree import ElementTree

from eyeline.exiftool import ExifTool
from eyeline.sidecar.outcome import Result
from tests.fuzz.figures import Figures, resident_mib, watched
from tests.fuzz.mutate import binary
from tests.fuzz.photos import examples
from tests.sidecar.examples import names, take_back, write
from tests.sidecar.forged import forged, rated

RECORD = {
    "created": True,
    "rating": "5",
    "rating_before": "0",
    "keywords": ["client", "headshot"],
    "scenes": ["011200"],
    "regions": {"eyeline-sitter": [0.1, 0.2, 0.3, 0.4, "00ff00ff"]},
    "metadata_date": "2031-04-17T18:22:05+02:00",
    "metadata_date_before": "2030-01-02",
    "left_keywords": ["blink"],
    "left_scenes": ["010100"],
    "left_regions": ["eyeline-crop-4x5"],
}
"""One that eyeline might have written, and that names the person's own as eyeline's."""

RATING = "{http://ns.adobe.com/xap/1.0/}Rating"
ITEM = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}li"

THEIRS = rated("5", "client", "smith")

ODD = (
    *(None, True, 0, -1, 1e308, float("nan"), float("inf"), 10**400, "", " ", "5", "-1", "\ud800", "\0"),
    *("\x1b]0;x\x07", "a\nb", "\u202e", "x" * 5000, [], [[]], {}, [1], ["client"], {"eyeline-a": []}),
    *("011200", "2031-04-17", "eyeline-sitter", ["\ud800"], {"eyeline-a": [0, 0, 1, 1, "c"]}),
)
"""Values of every type of JSON, at their limits."""


def fuzz_records(folder: Path, cases: int, seed: int) -> Figures:
    """Annotate and take back under `cases` mutated records, without a ledger and with one."""
    figures = Figures("records", seed)
    photo, sidecar = folder / "IMG_1.jpg", folder / "IMG_1.xmp"
    photo.write_bytes(examples()["jpg"])
    with ExifTool() as exiftool:
        for case in range(cases):
            chance = random.Random(f"{seed} {case}")
            with watched(figures, case):
                before = forged(mutated(chance), THEIRS)
                sidecar.write_bytes(before)
                lost = _lost(exiftool, photo, sidecar, before, figures)
                if lost:
                    figures.altered.append(f"record {case}: {lost}")
            figures.resident_mib.append(resident_mib())
    return figures


def mutated(chance: random.Random) -> str:
    """A record with one to three fields of other types or names, or with damaged bytes."""
    record: dict[str, object] = dict(RECORD)
    for _ in range(chance.choice((1, 1, 2, 3))):
        key = chance.choice(list(record) or ["rating"])
        value = record.pop(key, None)
        match chance.randrange(5):
            case 0:
                record[key] = chance.choice(ODD)
            case 1 if isinstance(value, list):
                record[key] = [*value, chance.choice(ODD)]
            case 2 if isinstance(value, dict):
                record[key] = {chance.choice(("eyeline-x", "x", "")): chance.choice(ODD), **value}
            case 3:
                record[chance.choice(("rating", "Rating", "digest", "parameters", "x"))] = value
            case _:
                record[key] = {"": value} if chance.randrange(2) else [value]
    text = json.dumps(record)
    if chance.randrange(4) == 0:
        text = binary(text.encode(), chance).decode("utf-8", "replace")
    # XML cannot hold other control characters (XML 1.0, 2.2); JSON's escapes for them stay.
    return "".join(character for character in text if character.isprintable() or character == "\n")


def _lost(exiftool: ExifTool, photo: Path, sidecar: Path, before: bytes, figures: Figures) -> str:
    refused = take_back(exiftool, photo, None)
    if sidecar.read_bytes() != before and refused.result is not Result.WRITTEN:
        return "not taken back, yet changed"
    if _is_less(sidecar):
        return "taken back on the record's word"
    outcome = write(exiftool, photo)
    figures.outcomes[outcome.result.name.lower()] += 1
    if _is_less(sidecar):
        return "written over"
    take_back(exiftool, photo, outcome.written)
    if _is_less(sidecar):
        return "taken back with eyeline's own"
    return "" if names(photo.parent) == ["IMG_1.jpg", "IMG_1.xmp"] else "something was left beside it"


def _is_less(sidecar: Path) -> bool:
    """Whether the person's rating or a keyword of hers is gone, as the standard library's parser finds it."""
    if not sidecar.exists():
        return True
    texts = [element.text for element in ElementTree.parse(sidecar).iter() if element.tag in (RATING, ITEM)]
    ratings = [value for element in ElementTree.parse(sidecar).iter() for value in element.attrib.values()]
    return not {"5", "client", "smith"} <= {*texts, *ratings}
