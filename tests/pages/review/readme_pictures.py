"""Pictures of the page for the documentation: `python -m tests.pages.review.readme_pictures [--write]`.

The bundled shoot up to its fourth sitter, with a brief that counts per sitter, in Debian's Chromium: the
brief as it fills, and a frame with its reasons. Without --write they are made in a temporary folder.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from eyeline.pages.review.spread import key_of
from tests.cli.conftest import SHOOT
from tests.pages.readme_pictures import PICTURES
from tests.pages.review.conftest import reviewed
from tests.waiting import wait_until

LAST = "NL1_1043.jpg"
FRAME = "NL1_1040.jpg"
QUALITY = 80
SIZE = {"width": 1440, "height": 880}
BRIEF = 'sitters = "pauses"\n' + "".join(
    f'[[brief]]\ngenre = "{genre}"\nwanted = {wanted}\nper = "sitter"\n'
    for genre, wanted in (
        ("corporate headshot", 2),
        ("tight close crop", 1),
        ("loose keeper", 1),
        ("copy space left", 1),
        ("copy space right", 1),
    )
)


def main() -> None:
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None:
        sys.exit("There is no Chromium here.")
    home = Path(tempfile.mkdtemp(prefix="eyeline-pictures-"))
    folder = home / "monday"
    folder.mkdir()
    (folder / "eyeline.toml").write_text(BRIEF)
    photos = [photo for photo in sorted(SHOOT.glob("*.jpg")) if photo.name <= LAST]
    for photo in photos:
        shutil.copy(photo, folder)
    target = PICTURES if "--write" in sys.argv else home
    with reviewed(folder, home) as page, sync_playwright() as playwright:
        wait_until(lambda: len(list(folder.glob("*.xmp"))) == len(photos), 300)
        chromium = playwright.chromium.launch(executable_path=browser, args=["--no-sandbox"])
        tab = chromium.new_page(viewport=SIZE)  # type: ignore[arg-type]
        tab.goto(page.address)
        tab.wait_for_url(f"http://{page.host}/")
        for name, address in (("brief", "/"), ("frame", f"/frame/{key_of(folder / FRAME)}")):
            tab.goto(f"http://{page.host}{address}")
            tab.wait_for_timeout(1_500)  # pictures come one by one
            tab.screenshot(path=home / "full.png")
            made = target / f"{name}.jpg"  # few colours would take away the blue, which means something here
            with Image.open(home / "full.png") as image:
                image.convert("RGB").save(made, quality=QUALITY, subsampling=0, optimize=True)
            print(f"{made}: {made.stat().st_size / 1000:.0f} kB")
        chromium.close()
    if target is not home:
        shutil.rmtree(home)


if __name__ == "__main__":
    main()
