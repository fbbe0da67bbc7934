"""Who is let in: one browser of this machine, from its own page; everybody else is refused.

Rules of the web platform that this holds to: same-site cookies (RFC 6265bis), the Origin header (Fetch,
section "Origin header"), Content Security Policy Level 3, dot segments in paths (RFC 3986, 5.2.4).
"""

from __future__ import annotations

import pytest

from eyeline.errors import BadConfiguration
from eyeline.pages.review.gate import is_tricky
from eyeline.pages.review.serving import listening
from tests.pages.review.conftest import SERIES, Page

VIEWS = ("/", "/frames", "/live", "/static/review.css")


@pytest.mark.parametrize("path", [*VIEWS, "/picture/0/small", "/frame/0", "/nowhere"])
def test_nothing_is_shown_without_the_cookie(page: Page, path: str) -> None:
    status, _, body = page.ask("GET", path, Cookie=None)
    assert status == 401
    assert b"printed" in body


def test_the_printed_address_lets_in_once(page: Page) -> None:
    token = page.address.rpartition("/")[2]
    assert page.ask("GET", f"/enter/{token}")[0] == 200  # the browser that is inside
    assert page.ask("GET", f"/enter/{token}", Cookie=None)[0] == 403
    assert page.ask("GET", "/enter/" + "x" * len(token), Cookie=None)[0] == 403
    assert page.ask("GET", "/enter/", Cookie=None)[0] == 403


def test_the_cookie_is_for_this_page_s_own_requests_alone(page: Page) -> None:
    name, _, value = page.cookie.partition("=")
    for wrong in (f"{name}={value}x", f"{name}=", f"x={value}", value):
        assert page.ask("GET", "/frames", Cookie=wrong)[0] == 401
    assert page.ask("GET", "/static/review.css", Cookie=f"{name}=planted; {page.cookie}")[0] == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:80", "127.0.0.1", "127.0.0.1:1", "0.0.0.0", "", None]
)
def test_a_foreign_host_is_refused(page: Page, host: str | None) -> None:
    assert page.ask("GET", "/frames", Host=host)[0] in (400, 421)


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": None},
        {"Origin": "https://127.0.0.1"},
        {"Sec_Fetch_Site": "cross-site"},
        {"Sec_Fetch_Site": "same-site"},
        {"Cookie": None},
    ],
)
def test_a_change_that_does_not_come_from_the_page_is_refused(
    page: Page, headers: dict[str, str | None]
) -> None:
    before = page.ask("GET", page.frame(SERIES[0]))[2]
    fields = {"stars": "5", "state": page.state(SERIES[0])}
    status, _, _ = page.ask("POST", page.frame(SERIES[0]) + "/correct", fields, **headers)
    assert status in (401, 403)
    assert page.ask("GET", page.frame(SERIES[0]))[2] == before


def test_a_foreign_page_may_not_even_read(page: Page) -> None:
    assert page.ask("GET", "/frames", Origin="http://evil.example")[0] == 403


@pytest.mark.parametrize("path", ["/correct", "/undo"])
def test_nothing_is_changed_by_get(page: Page, path: str) -> None:
    assert page.ask("GET", page.frame(SERIES[0]) + path + "?stars=1")[0] == 405


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_other_methods_are_not_understood(page: Page, method: str) -> None:
    assert page.ask(method, "/frames", {})[0] == 405


@pytest.mark.parametrize(
    "path",
    [
        *("/static/../../ledger.sqlite3", "/static/..%2f..%2fledger.sqlite3", "/static//etc/passwd"),
        *("/static/%2e%2e/%2e%2e/x", "/picture/..%5c..%5cx/small", "/static/.", "/./frames"),
        *("/static/review.css%00.js", "/" + "a" * 600, "/picture/a;b/small"),
    ],
)
def test_tricky_paths_are_no_addresses(page: Page, path: str) -> None:
    assert page.ask("GET", path)[0] in (400, 404)


@pytest.mark.parametrize("path", ["/static/gate.py", "/static/nothing.css", "/picture/x/raw", "/frame/x"])
def test_what_is_not_on_the_table_is_not_found(page: Page, path: str) -> None:
    assert page.ask("GET", path)[0] == 404


@pytest.mark.parametrize("path", ["/frames", "/frame/x", "/static/review.css", "/live/x"])
def test_every_answer_carries_the_policy(page: Page, path: str) -> None:
    _, headers, _ = page.ask("GET", path)
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert "server" not in headers


def test_a_long_body_is_refused_unread(page: Page) -> None:
    status, _, _ = page.ask("POST", page.frame(SERIES[0]) + "/correct", {}, Content_Length=str(10**9))
    assert status == 413


def test_the_server_listens_to_this_machine_alone(page: Page) -> None:
    assert page.address.startswith("http://127.0.0.1:")


def test_what_links_need_is_not_tricky() -> None:
    assert not is_tricky(b"/frame/0123456789abcdef")
    assert not is_tricky(b"/tune/judged?genre=a%20b")


def test_pictures_come_by_key_and_kind_alone(page: Page) -> None:
    address = page.frame(SERIES[0]).replace("/frame/", "/picture/")
    for kind in ("small", "large", "eyes"):
        status, headers, body = page.ask("GET", f"{address}/{kind}")
        assert (status, headers["content-type"], body[:2]) == (200, "image/jpeg", b"\xff\xd8")
        assert "private" in headers["cache-control"]
    assert page.ask("GET", f"{address}/SMALL")[0] == 404


def test_a_port_that_cannot_be_had_is_said(page: Page) -> None:
    for port in (int(page.host.partition(":")[2]), 99_999, -1):
        with pytest.raises(BadConfiguration, match=str(port)):
            listening(port)
