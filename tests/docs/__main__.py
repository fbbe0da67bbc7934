"""Writes what the docs' commands print now into the pages: `python -m tests.docs [PAGE ...]`."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.accuracy.pipeline import pairs_of
from tests.accuracy.portraits import shoot
from tests.docs.desk import desk
from tests.docs.test_transcripts import PAGES, printed_by
from tests.docs.transcript import with_printed

if __name__ == "__main__":
    examined = [pair.examined for pair in pairs_of(shoot())]
    for page in [Path(name).resolve() for name in sys.argv[1:]] or PAGES:
        text = page.read_text("utf-8")
        with desk(examined) as made:
            new = with_printed(text, printed_by(made, text))
        if new != text:
            page.write_text(new, "utf-8")
            print(f"written anew: {page}")
