"""Two folders of sidecars compared: `python -m tests.sidecar.same_sidecars BEFORE AFTER`.

Sidecars are the same when they are the same bytes but for moments (ISO 8601, as XMP writes them) and for the
ids that name one edit. Prints those that differ, and how many there are; exits with 1 if any differ.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

MOMENT = re.compile(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|[+-]\d\d:\d\d)?")


def without_moments(content: bytes) -> bytes:
    return MOMENT.sub(b"MOMENT", content)


def sidecars(folder: Path) -> dict[str, bytes]:
    found = sorted(folder.rglob("*.xmp"))
    return {str(path.relative_to(folder)): without_moments(path.read_bytes()) for path in found}


def differing(before: Path, after: Path) -> list[str]:
    """Names of the sidecars that are not the same in both, by name."""
    old, new = sidecars(before), sidecars(after)
    return sorted(name for name in old.keys() | new.keys() if old.get(name) != new.get(name))


def main() -> int:
    before, after = map(Path, sys.argv[1:3])
    found = differing(before, after)
    for name in found:
        print(name)
    print(f"{len(sidecars(before))} sidecars before, {len(sidecars(after))} after, {len(found)} differ")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
