"""Each job of the page in a real browser: by mouse, by keyboard, with files that arrive while it looks.

Chromium of the system, driven by Playwright. Accessibility is checked by axe-core where the bootstrap has
brought it (rules of WCAG 2.2 A and AA).
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, expect, sync_playwright
from playwright.sync_api import Page as Tab

from tests.cli.conftest import SHOOT, copy_frames
from tests.pages.review.conftest import OTHERS, SERIES, Page, reviewed
from tests.sidecar.readers import by_exiftool, by_exiv2
from tests.waiting import PATIENCE_SECONDS, wait_until

pytestmark = pytest.mark.slow

expect.set_options(timeout=PATIENCE_SECONDS * 1000)  # a busy machine is slow, not wrong

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
AXE = Path(__file__).resolve().parents[3] / ".bootstrap" / "axe" / "package" / "axe.min.js"
HOSTILE = "NL1 <img src=x onerror=alert(1)> \"'&{{7*7}}%2e%2e 1000.jpg"
WIDE, PHONE = {"width": 1440, "height": 900}, {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def page(measured_shoot: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """A page over a copy of the shoot, one of its names hostile."""
    home = tmp_path_factory.mktemp("browser")
    (home / "shoot").mkdir()
    for name in (*SERIES, *OTHERS[1:]):
        shutil.copy(SHOOT / name, home / "shoot" / name)
    shutil.copy(SHOOT / OTHERS[0], home / "shoot" / HOSTILE)
    for kept in ("ledger.sqlite3", "previews"):
        (shutil.copytree if (measured_shoot / kept).is_dir() else shutil.copy)(
            measured_shoot / kept, home / kept
        )
    with reviewed(home / "shoot", home) as page:
        wait_until(lambda: len(list(page.folder.glob("*.xmp"))) == 8)
        yield page


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        pytest.skip("no Chromium here: sh service/bootstrap test installs it")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def context(browser: Browser, page: Page) -> Iterator[BrowserContext]:
    """The one browser that is let in. What it complains of, a policy that is broken above all, fails here."""
    context = browser.new_context(viewport=WIDE)  # type: ignore[arg-type]
    context.set_default_timeout(PATIENCE_SECONDS * 1000)
    complaints: list[str] = []
    context.on("console", lambda each: complaints.append(each.text) if each.type == "error" else None)
    context.on("weberror", lambda each: complaints.append(str(each.error)))
    context.on("dialog", lambda each: complaints.append(f"a dialog: {each.message}"))
    tab = context.new_page()
    tab.goto(page.address)
    tab.wait_for_url(f"http://{page.host}/")
    page.cookie = "; ".join(f"{each['name']}={each['value']}" for each in context.cookies())
    tab.close()
    yield context
    context.close()
    assert [each for each in complaints if "409" not in each] == []


@pytest.fixture(scope="module")
def tab(context: BrowserContext) -> Iterator[Tab]:
    """One for all tests: each opens its own address."""
    tab = context.new_page()
    yield tab
    tab.close()


def open_(tab: Tab, page: Page, address: str) -> Tab:
    tab.goto(f"http://{page.host}{address}")
    return tab


def sidecar(page: Page, name: str) -> Path:
    return (page.folder / name).with_suffix(".xmp")


def rating(page: Page, name: str) -> str | None:
    return by_exiftool(sidecar(page, name)).rating


def test_by_mouse_from_the_brief_to_a_frame_and_its_corrections(tab: Tab, page: Page) -> None:
    open_(tab, page, "/")
    expect(tab.locator(".say h1")).not_to_be_empty()
    tab.locator(".stave .col", has_text="corporate headshot").locator("a").first.click()
    expect(tab.locator(".mat")).to_be_visible()
    name, before = SERIES[2], by_exiftool(sidecar(page, SERIES[2]))
    open_(tab, page, page.frame(name))
    given = int(tab.locator(".verdict .big").inner_text()) + 1
    tab.get_by_role("button", name="One star more").click()
    expect(tab.locator(".verdict .big")).to_have_text(str(given))
    tab.get_by_placeholder("a word").fill("cover")
    tab.get_by_role("button", name="add a word").click()
    expect(tab.locator(".words")).to_contain_text("cover")
    tab.get_by_role("button", name="Take out headshot").click()
    expect(tab.locator(".words s")).to_have_text("headshot")
    for seen in (by_exiftool(sidecar(page, name)), by_exiv2(sidecar(page, name))):
        assert seen.rating == str(given)
        assert "cover" in seen.keywords
        assert "headshot" not in seen.keywords
    for _ in range(3):
        undo = tab.get_by_role("button", name="Undo")
        said = undo.inner_text()
        undo.click()
        expect(tab.get_by_text(said, exact=True)).to_have_count(0)  # done before the next is asked for
    expect(tab.get_by_text("Undo: nothing yet")).to_be_visible()
    assert by_exiftool(sidecar(page, name)) == before


def test_by_keyboard_through_the_series_and_its_corrections(tab: Tab, page: Page) -> None:
    open_(tab, page, page.frame(SERIES[0]))
    tab.keyboard.press("ArrowRight")
    tab.wait_for_url(f"**{page.frame(SERIES[1])}")
    before = sidecar(page, SERIES[1]).read_bytes()
    given = int(tab.locator(".verdict .big").inner_text()) - 1
    tab.keyboard.press("-")
    expect(tab.locator(".verdict .big")).to_have_text(str(given))
    assert rating(page, SERIES[1]) == str(given)
    tab.keyboard.press("w")
    tab.keyboard.type("h o")  # letters are no keys inside a field
    tab.keyboard.press("Enter")
    expect(tab.locator(".words")).to_contain_text("h o")
    tab.keyboard.press("Control+z")  # still in the field, which is empty again
    expect(tab.locator(".words")).not_to_contain_text("h o")
    tab.keyboard.press("Control+z")
    expect(tab.get_by_text("Undo: nothing yet")).to_be_visible()
    assert sidecar(page, SERIES[1]).read_bytes() == before
    tab.keyboard.press("Escape")
    tab.keyboard.press("h")
    expect(tab.locator(".geometry").first).to_be_hidden()
    tab.keyboard.press("h")
    expect(tab.locator(".geometry").first).to_be_visible()
    tab.keyboard.press("o")
    expect(tab.locator(".under")).to_be_hidden()
    tab.keyboard.press("Escape")
    tab.keyboard.press("e")
    expect(tab.locator(".whole-eyes").first).to_be_visible()
    tab.keyboard.press("Escape")
    expect(tab.locator(".under")).to_be_visible()


def test_arrows_go_from_place_to_place_of_the_brief_and_enter_opens(tab: Tab, page: Page) -> None:
    open_(tab, page, "/")
    tab.keyboard.press("ArrowRight")
    first = tab.locator(":focus").get_attribute("href")
    tab.keyboard.press("ArrowRight")
    assert tab.locator(":focus").get_attribute("href") != first
    tab.keyboard.press("ArrowLeft")
    assert tab.locator(":focus").get_attribute("href") == first
    tab.keyboard.press("Enter")
    tab.wait_for_url(f"**{first}")


def test_letters_can_be_switched_off(tab: Tab, page: Page) -> None:
    open_(tab, page, page.frame(SERIES[0]))
    tab.get_by_role("button", name="Letters work as keys").click()
    tab.keyboard.press("o")
    expect(tab.locator(".under")).to_be_visible()
    tab.get_by_role("button", name="Letters work as keys").click()
    tab.keyboard.press("o")
    expect(tab.locator(".under")).to_be_hidden()


@pytest.mark.parametrize("by_mouse", [True, False], ids=["mouse", "keyboard"])
def test_a_crop_is_moved_and_kept(tab: Tab, page: Page, by_mouse: bool) -> None:
    name = SERIES[2]
    before = sidecar(page, name).read_bytes()
    open_(tab, page, page.frame(name))
    if by_mouse:
        tab.locator(".crops a").first.click()
        tab.wait_for_url("**/crop/**")  # loaded: before that nothing listens to the mouse
        box = tab.locator("[data-corner='1']").bounding_box()
        assert box is not None
        tab.mouse.move(box["x"] + 8, box["y"] + 8)
        tab.mouse.down()
        tab.mouse.move(box["x"] - 60, box["y"] - 75, steps=4)
        tab.mouse.up()
        expect(tab.locator(".as-it-will")).not_to_contain_text("1200 × 1500")
        tab.get_by_role("button", name="Keep this crop").click()
    else:
        tab.keyboard.press("m")
        tab.wait_for_url("**/crop/**")
        for key in ("-", "-", "ArrowLeft", "ArrowDown"):
            tab.keyboard.press(key)
        expect(tab.locator(".as-it-will")).not_to_contain_text("1200 × 1500")
        tab.keyboard.press("k")
    tab.wait_for_url(f"**{page.frame(name)}")
    expect(tab.locator(".crops li.hand")).to_contain_text("yours")
    area = by_exiftool(sidecar(page, name)).regions["own-crop-4x5"].area
    # Stored lying, 1800 by 1200: there 4:5 upright is 5:4.
    assert area[2] * 1800 / (area[3] * 1200) == pytest.approx(5 / 4, abs=0.003)
    tab.keyboard.press("Control+z")
    expect(tab.locator(".crops li.hand")).to_have_count(0)
    assert sidecar(page, name).read_bytes() == before


def test_what_arrives_shows_by_itself_and_a_fault_of_it_on_black_until_the_next(tab: Tab, page: Page) -> None:
    open_(tab, page, "/")
    expect(tab.locator(".facts")).to_contain_text("8 frames")
    bar = tab.locator(".say.now")
    expect(bar.locator("h1")).to_contain_text("Take another frame")  # 1041, the last that was measured
    copy_frames(page.folder, "NL1_1046.jpg")
    expect(bar.locator("h1")).to_contain_text("Move the sitter inward")
    expect(bar.locator("figcaption")).to_contain_text("1046")
    # Asked until it is so: the page is drawn anew with each word of the daemon, also between two questions.
    expect(bar).to_have_attribute("aria-live", "assertive")
    expect(bar.locator("h1")).to_have_css("background-color", "rgb(22, 22, 22)")
    assert violations(tab) == {}
    copy_frames(page.folder, "NL1_1047.jpg")
    expect(bar.locator("h1")).to_contain_text("1046 and 1047 alike")
    copy_frames(page.folder, "NL1_1055.jpg")
    expect(tab.locator(".facts")).to_contain_text("11 frames")
    expect(tab.locator(".say.now")).to_have_count(0)
    expect(tab.locator(".facts")).to_contain_text("1055")
    expect(tab.locator(".stave .col", has_text="copy space right")).to_contain_text("1055")


def test_two_tabs_lose_nothing_of_each_other(context: BrowserContext, tab: Tab, page: Page) -> None:
    name = OTHERS[3]
    other = context.new_page()
    other.route("**/live", lambda route: route.fulfill(status=204))  # a page that has heard nothing yet
    for each in (tab, other):
        open_(each, page, page.frame(name))
    tab.get_by_role("button", name="One star fewer").click()
    expect(tab.locator(".verdict .s").first).to_contain_text("yours")
    given = rating(page, name)
    other.get_by_role("button", name="One star more").click()
    expect(other.get_by_role("alert")).to_contain_text("Somewhere else, meanwhile")
    assert rating(page, name) == given
    other.close()
    tab.keyboard.press("Control+z")
    expect(tab.get_by_text("Undo: nothing yet")).to_be_visible()


def test_what_is_set_aside_opens_on_demand_and_is_kept(tab: Tab, page: Page) -> None:
    open_(tab, page, "/")
    tab.keyboard.press("a")
    tab.wait_for_url("**/aside")
    closed = tab.locator("details", has_text="The eyes are closed")
    closed.locator("summary").focus()
    tab.keyboard.press("Enter")
    closed.get_by_role("button", name="keep it: 1004").click()
    expect(tab.locator("details", has_text="The eyes are closed").locator(".count")).to_have_text("1")
    assert rating(page, OTHERS[1]) == "3"


def test_a_genre_is_tuned_by_mouse_and_keyboard_saved_and_put_back(tab: Tab, page: Page) -> None:
    rules = page.folder.parent / "rules"
    open_(tab, page, "/tune?genre=corporate+headshot")
    handle = tab.locator("li[data-criterion=headroom] .handle[data-end=high]")
    box = handle.bounding_box()
    assert box is not None
    tab.mouse.move(box["x"] + 4, box["y"] + 4)
    tab.mouse.down()
    tab.mouse.move(box["x"] + 44, box["y"] + 4, steps=5)
    tab.mouse.up()
    expect(tab.locator("input[name='high.headroom']")).not_to_have_value("12")
    expect(tab.locator("li[data-criterion=headroom]")).to_have_class("changed")
    low = tab.locator("input[name='low.headroom']")
    low.focus()
    for _ in range(5):
        tab.keyboard.press("ArrowDown")
    expect(low).not_to_have_value("6")
    expect(tab.locator("#judged h1")).not_to_contain_text("as it is saved")
    tab.keyboard.press("Escape")
    tab.keyboard.press("s")
    expect(tab.get_by_role("button", name="Put the last save back")).to_be_visible()
    saved = next(rules.glob("*.toml")).read_text()
    assert "[criteria.headroom]" in saved
    assert "between" in saved
    tab.get_by_role("button", name="Put the last save back").click()
    expect(tab.get_by_role("button", name="Put the last save back")).to_have_count(0)
    assert list(rules.glob("*.toml")) == []


def test_a_delivery_is_looked_at_by_keyboard_and_made_by_mouse(tab: Tab, page: Page, tmp_path: Path) -> None:
    open_(tab, page, page.frame(HOSTILE))
    tab.get_by_placeholder("a word").fill("selected")
    tab.get_by_role("button", name="add a word").click()
    expect(tab.locator(".words")).to_contain_text("selected")
    tab.get_by_role("link", name="Delivery").click()
    expect(tab.locator(".lead h1")).to_have_text("One frame is selected.")
    tab.wait_for_load_state()  # keys are listened to from then on
    tab.keyboard.press("ArrowRight")
    expect(tab.locator(":focus")).to_have_attribute("href", page.frame(HOSTILE))
    out = tmp_path / "out"
    tab.get_by_label("Into this folder").focus()
    tab.keyboard.type(str(out))  # with letters that are keys outside of a field
    tab.keyboard.press("Escape")
    tab.keyboard.press("l")
    expect(tab.locator(".came h2")).to_have_text("1 file of 1 frame: 1 would be written.")
    assert not out.exists()
    tab.get_by_role("button", name="Go: make the files").click()
    expect(tab.locator(".came h2")).to_have_text("1 file of 1 frame: 1 written.")
    expect(tab.get_by_label("Into this folder")).to_have_value(str(out))
    (made,) = out.iterdir()
    expect(tab.locator(".files tbody th")).to_have_text(made.name)
    assert tab.locator("img[src=x]").count() == 0
    assert violations(tab) == {}
    open_(tab, page, page.frame(HOSTILE))
    tab.get_by_role("button", name="Undo").click()


def test_a_hostile_name_is_only_text(tab: Tab, page: Page) -> None:
    open_(tab, page, page.frame(HOSTILE))
    expect(tab.locator(".facts")).to_contain_text("1000")
    assert tab.locator("img[src=x]").count() == 0
    open_(tab, page, page.frame(SERIES[0]))
    tab.get_by_placeholder("a word").fill("<b onmouseover=alert(1)>")
    tab.get_by_role("button", name="add a word").click()
    expect(tab.locator(".words")).to_contain_text("<b onmouseover=alert(1)>")
    assert "<b onmouseover=alert(1)>" in by_exiftool(sidecar(page, SERIES[0])).keywords
    tab.get_by_role("button", name="Undo").click()


def test_without_letters_or_script_the_forms_still_work(
    browser: Browser, page: Page, context: BrowserContext
) -> None:
    plain = browser.new_context(java_script_enabled=False)
    plain.add_cookies(context.cookies())  # type: ignore[arg-type]
    tab = plain.new_page()
    open_(tab, page, page.frame(SERIES[3]))
    tab.get_by_role("button", name="One star more").click()
    expect(tab.locator(".verdict .s").first).to_contain_text("yours")
    tab.get_by_role("button", name="Undo").click()
    expect(tab.get_by_text("Undo: nothing yet")).to_be_visible()
    plain.close()


VIEWS = ["/", "frame", "/delivery", "crop", "/tune", "/aside", "/sheet"]


def violations(tab: Tab) -> dict[str, list[str]]:
    """What axe-core finds in the view that is open, by rule; nothing without it."""
    if not AXE.exists():
        return {}
    if not tab.evaluate("'axe' in window"):
        tab.evaluate(AXE.read_text())
    told = tab.evaluate("axe.run({resultTypes: ['violations']})")
    return {each["id"]: [node["html"][:200] for node in each["nodes"][:3]] for each in told["violations"]}


def test_every_view_is_accessible_by_day_and_night_and_on_a_phone(tab: Tab, page: Page) -> None:
    if not AXE.exists():
        pytest.skip("axe-core is not here: sh service/bootstrap test fetches it where there is npm")
    found: dict[str, object] = {}
    frame = page.frame(SERIES[2])
    addresses = {"frame": frame, "crop": frame.replace("/frame/", "/crop/") + "/4x5"}
    for view in VIEWS:
        open_(tab, page, addresses.get(view, view))
        if view == "/aside":
            tab.locator("details summary").first.click()
            expect(tab.locator("details svg").first).to_be_visible()
        # Colours do not depend on the width, nor anything else on the hour: two of four are all.
        for scheme, size in (("light", WIDE), ("dark", PHONE)):
            tab.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            tab.set_viewport_size(size)  # type: ignore[arg-type]
            told = violations(tab)
            found |= {f"{view} {scheme} {size['width']} {rule}": nodes for rule, nodes in told.items()}
            overflow = tab.evaluate("document.documentElement.scrollWidth - innerWidth")
            if overflow > 0:
                found[f"{view} {size['width']} too wide"] = overflow
    tab.emulate_media(color_scheme="light")
    tab.set_viewport_size(WIDE)  # type: ignore[arg-type]
    assert found == {}
