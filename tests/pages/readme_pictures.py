"""Pictures for the README, of the bundled shoot: `python -m tests.pages.readme_pictures [--write]`.

Measures the shoot in a folder of its own, makes its sheet, and takes a picture of that in Debian's Chromium.
Without --write the picture is only made, in a temporary folder, and named.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

from tests.cli.conftest import SHOOT, run_here

PICTURES = Path(__file__).resolve().parents[2] / "docs" / "pictures"
WIDTH_PX, HEIGHT_PX = 1440, 860
COLOURS = 128
"""Enough for renders and greys, and a third of the size of full colour."""

BRIEF = """\
[[brief]]
genre = "corporate headshot"
wanted = 10

[[brief]]
genre = "tight close crop"

[[brief]]
genre = "copy space left"
wanted = 3

[[brief]]
genre = "copy space right"
wanted = 3
"""


def sheet_of_the_shoot(home: Path) -> Path:
    """The sheet of the bundled shoot, made below `home`."""
    folder = home / "monday"
    folder.mkdir()
    for photo in sorted(SHOOT.glob("*.jpg")):
        shutil.copy(photo, folder / photo.name)
    (folder / "eyeline.toml").write_text(BRIEF)
    for words in (("run", folder), ("sheet", folder, "--out", home / "sheet.html")):
        ran = run_here(home, *words)
        if ran.returncode:
            sys.exit(ran.stderr)
    return home / "sheet.html"


def seen(page: Path, target: Path, size: tuple[int, int]) -> None:
    """Have at `target` a picture of `page` in a window of that size, in few colours."""
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None:
        sys.exit("There is no Chromium here.")
    shot = target.with_suffix(".full.png")
    options = ("--headless", "--no-sandbox", "--hide-scrollbars", "--disable-gpu")
    subprocess.run(
        [browser, *options, f"--screenshot={shot}", "--window-size={},{}".format(*size), page.as_uri()],
        check=True,
        capture_output=True,
        timeout=120,
    )
    with Image.open(shot) as image:
        image.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE).save(target, optimize=True)
    shot.unlink()


def main() -> None:
    home = Path(tempfile.mkdtemp(prefix="eyeline-pictures-"))
    target = PICTURES if "--write" in sys.argv else home
    target.mkdir(parents=True, exist_ok=True)
    seen(sheet_of_the_shoot(home), target / "sheet.png", (WIDTH_PX, HEIGHT_PX))
    print(f"{target / 'sheet.png'}: {(target / 'sheet.png').stat().st_size / 1000:.0f} kB")
    if target is not home:
        shutil.rmtree(home)


if __name__ == "__main__":
    main()
