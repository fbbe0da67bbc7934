"""Print the figures on real photographs: `python -m tests.accuracy.real [--seen | --unseen]`.

With --seen only photographs that may be looked at while something is fitted or chosen.
"""

from __future__ import annotations

import argparse

from tests.accuracy.figures.row import Row
from tests.accuracy.real.rows import HEADINGS, real_rows


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy.real", description=__doc__)
    part = parser.add_mutually_exclusive_group()
    part.add_argument("--seen", action="store_true", help="only what may be looked at")
    part.add_argument("--unseen", action="store_true", help="only what is kept for the end")
    arguments = parser.parse_args()
    which = True if arguments.seen else False if arguments.unseen else None
    rows: list[Row] = real_rows(which)
    if not rows:
        print("the real photographs are not at hand")
    for line in (HEADINGS, *(row.cells() for row in rows)):
        print(" | ".join(line))


if __name__ == "__main__":
    main()
