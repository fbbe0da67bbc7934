"""What general-purpose readers see of what eyeline writes, by file type and way of writing.

    python -m tests.sidecar.reader_table --write docs/readers.md

Every cell is the outcome of a write and of a read by that program: a word stands there only where all of
it comes back as it was decided.
"""

from __future__ import annotations

import argparse
import io
import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pillow_heif
from PIL import Image

from eyeline.exiftool import ExifTool
from eyeline.sidecar.naming import Naming
from tests.reading.dng import dng
from tests.sidecar.examples import EXAMPLE, write
from tests.sidecar.readers import READERS, Seen, by_imagemagick, by_pillow, decided, differences

TABLE = Path(__file__).resolve().parents[2] / "docs" / "readers.md"

STORED = {
    "eyeline-crop-4x5": (0.05, 0.03, 0.7, 0.84),
    "eyeline-crop-1x1": (0.06, 0.03, 0.56, 0.84),
    "eyeline-sitter": (0.14, 0.34, 0.32, 0.36),
    "eyeline-copy-space": (0.04, 0.74, 0.5, 0.24),
}
"""As in `test_readers`: the metadata contract's worked example."""

COLUMNS: dict[str, tuple[str | None, Callable[[Path], Seen]]] = {
    "ExifTool": ("exiftool", READERS["exiftool"]),
    "exiv2": ("exiv2", READERS["exiv2"]),
    "exempi": ("exempi", READERS["exempi"]),
    "Pillow": (None, by_pillow),
    "ImageMagick": ("identify", by_imagemagick),
}
"""Heading, program, reader."""

ROWS = (
    ("JPEG", "jpg", Naming.REPLACE),
    ("JPEG", "jpg", Naming.EMBED),
    ("PNG", "png", Naming.REPLACE),
    ("TIFF", "tif", Naming.REPLACE),
    ("HEIC", "heic", Naming.REPLACE),
    ("RAW (DNG)", "dng", Naming.REPLACE),
)

NOTHING, ALL = "–", "rating, keywords, regions"

HEADING = """# What readers see

Made by `python -m tests.sidecar.reader_table --write docs/readers.md`: a real write and a real read a cell.

A program that is handed the photo finds what is inside the photo; one that is handed the sidecar finds what
is in that. RAW, HEIC, TIFF and PNG are never written into, so for them a program has to look for the sidecar.
Many do so for RAW but look only inside a JPEG: for those there is `write = "embedded"`.

Pillow and ImageMagick hand out the XMP packet as it stands and leave reading it to their caller;
`identify -verbose` names the rating. ExifTool reads keywords as `XMP-dc:Subject`, regions as
`XMP-iptcExt:ImageRegion`.

"""


def present_columns() -> list[str]:
    """The columns that can be run here."""
    return [name for name, (program, _) in COLUMNS.items() if program is None or shutil.which(program)]


def rows(columns: list[str]) -> list[list[str]]:
    """The table's rows: file type, way of writing, file handed over, then a cell for each of `columns`."""
    found = []
    with ExifTool() as exiftool:
        for kind, suffix, naming in ROWS:
            with tempfile.TemporaryDirectory() as folder:
                photo = Path(folder) / f"IMG_1.{suffix}"
                photo.write_bytes(_photo(suffix))
                carrier = write(exiftool, photo, naming=naming).sidecar
                way = "embedded" if carrier == photo else "sidecar"
                for handed in dict.fromkeys((photo, carrier)):
                    what = "the photo" if handed == photo else "the sidecar"
                    found.append([kind, way, what, *(_cell(name, handed) for name in columns)])
    return found


def document(columns: list[str], cells: list[list[str]]) -> str:
    """The page."""
    head = ["file", "`write`", "handed over", *columns]
    lines = ["| " + " | ".join(head) + " |", "| " + " | ".join("---" for _ in head) + " |"]
    return HEADING + "\n".join([*lines, *("| " + " | ".join(row) + " |" for row in cells)]) + "\n"


def written(table: Path = TABLE) -> tuple[list[str], list[list[str]]]:
    """Columns and rows of the page as it is kept."""
    lines = [line for line in table.read_text().splitlines() if line.startswith("|")]
    split = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    return split[0][3:], split[2:]


def _cell(name: str, handed: Path) -> str:
    try:
        seen = COLUMNS[name][1](handed)
    except Exception:  # a reader that finds no XMP complains in its own way
        return NOTHING
    told = differences(decided(EXAMPLE, STORED), seen)
    kinds = {
        "rating": seen.rating is not None and not any(line.startswith("rating") for line in told),
        "keywords": bool(seen.keywords) and not any(line.startswith("keywords") for line in told),
        "regions": bool(seen.regions) and not any(line.startswith(("regions", "eyeline-")) for line in told),
    }
    return ", ".join(word for word, seen_so in kinds.items() if seen_so) or NOTHING


def _photo(suffix: str) -> bytes:
    pixels = np.full((80, 120, 3), 128, np.uint8)
    if suffix == "dng":
        return dng(pixels)
    target = io.BytesIO()
    if suffix == "heic":
        pillow_heif.from_pillow(Image.fromarray(pixels)).save(target)
    else:
        form = {"jpg": "JPEG", "png": "PNG", "tif": "TIFF"}[suffix]
        Image.fromarray(pixels).save(target, form)
    return target.getvalue()


def main() -> int:
    """Print the page, or write it."""
    parser = argparse.ArgumentParser(description="What readers see of what eyeline writes.")
    parser.add_argument("--write", type=Path, metavar="FILE")
    arguments = parser.parse_args()
    missing = [name for name in COLUMNS if name not in present_columns()]
    if missing:
        print(f"not installed: {', '.join(missing)}", file=sys.stderr)
        return 1
    page = document(list(COLUMNS), rows(list(COLUMNS)))
    if arguments.write is None:
        print(page, end="")
    else:
        arguments.write.parent.mkdir(exist_ok=True)
        arguments.write.write_text(page)
    return 0


if __name__ == "__main__":
    sys.exit(main())
