"""Every link of README, guide and handbook leads somewhere, headings included; the site fetches nothing."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]
PAGES = [
    *(CHECKOUT / name for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md")),
    *sorted((CHECKOUT / "docs").rglob("*.md")),
]
LINK = re.compile(r"\]\(([^)\s]+)\)")
CODE = re.compile(r"^```.*?^```$|`[^`\n]*`", re.MULTILINE | re.DOTALL)
FROM_ELSEWHERE = re.compile(
    r"""<(?:script|img|link|iframe)[^>]*(?:src|href)=["']?(?:https?:)?//[^"' >]+""", re.IGNORECASE
)


def anchors(page: Path) -> set[str]:
    """As GitHub and Python-Markdown make them of headings."""
    text = re.sub(r"^```.*?^```$", "", page.read_text("utf-8"), flags=re.MULTILINE | re.DOTALL)
    found = set()
    for heading in re.findall(r"^#+ (.+)$", text, re.MULTILINE):
        plain = re.sub(r"[^\w\s-]", "", heading.replace("`", "").lower())
        found.add(re.sub(r"\s+", "-", plain.strip()))
    return found


def dead_links(page: Path) -> list[str]:
    dead = []
    for link in LINK.findall(CODE.sub("", page.read_text("utf-8"))):
        if re.match(r"[a-z]+:", link):
            continue
        place, _, anchor = link.partition("#")
        target = (page.parent / place).resolve() if place else page
        if not target.exists() or (anchor and anchor not in anchors(target)):
            dead.append(link)
    return dead


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_every_link_leads_somewhere(page: Path) -> None:
    assert dead_links(page) == []


def test_a_dead_link_would_be_seen(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("# A heading, with more\n[a](#a-heading-with-more) [b](gone.md) [c](page.md#no-such)\n")
    assert dead_links(page) == ["gone.md", "page.md#no-such"]


def built(site: Path, checkout: Path) -> subprocess.CompletedProcess[str]:
    """Not --quiet: what MkDocs does not say it does not count either."""
    return subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "--site-dir", str(site)],
        cwd=checkout,
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_page_that_the_menu_leaves_out_is_a_mistake(tmp_path: Path) -> None:
    (tmp_path / "docs").mkdir()
    (tmp_path / "mkdocs.yml").write_text((CHECKOUT / "mkdocs.yml").read_text().partition("nav:\n  -")[0])
    with (tmp_path / "mkdocs.yml").open("a") as file:
        file.write("nav:\n  - index.md\n")
    (tmp_path / "docs" / "index.md").write_text("# One\n")
    (tmp_path / "docs" / "other.md").write_text("# Another\n")
    assert built(tmp_path / "site", tmp_path).returncode != 0
    (tmp_path / "docs" / "other.md").unlink()
    assert built(tmp_path / "site", tmp_path).returncode == 0


def test_the_site_is_built_of_every_page_and_fetches_nothing(tmp_path: Path) -> None:
    """By MkDocs in strict mode: pages that the menu leaves out, dead links and dead anchors are mistakes."""
    ran = built(tmp_path, CHECKOUT)
    assert ran.returncode == 0, ran.stderr
    assert "stars in your viewer" in (tmp_path / "viewer.html").read_text("utf-8")
    fetched = {
        found
        for page in tmp_path.rglob("*.html")
        for found in FROM_ELSEWHERE.findall(page.read_text("utf-8"))
    }
    assert fetched == set()
    styles = [each.read_text("utf-8") for each in tmp_path.rglob("*.css")]
    assert not any(re.search(r"url\(['\"]?https?://|@import ['\"]?https?://", each) for each in styles)


WHERE_FROM = "`ADDRESS` stands for the address of the repository from which you have eyeline; "


def test_wherever_a_clone_is_told_of_it_is_said_what_its_address_is() -> None:
    told = [page for page in PAGES if "git clone" in page.read_text("utf-8")]
    assert len(told) == 3
    assert all("git clone ADDRESS eyeline" in page.read_text("utf-8") for page in told)
    assert all(WHERE_FROM in page.read_text("utf-8") for page in told)
