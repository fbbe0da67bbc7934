"""The gate before every request: this machine, this address, this browser, or nothing.

A page on localhost can be reached by every page that the browser has open elsewhere. What holds those off:
the Host must be the loopback address itself (against a name that was bound to it anew), a change must come
from the page's own Origin, and nothing at all is answered without a cookie that no other site's request
carries (SameSite=Strict, RFC 6265bis) and that only the printed address gives, once.
"""

from __future__ import annotations

import secrets
import threading
from collections.abc import Iterable

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

ENTRANCE = "/enter/"
CONTENT_POLICY = (
    "default-src 'none'; img-src 'self'; style-src 'self'; script-src 'self'; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # with none at all, a form's Origin would be null
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
"""On every answer (W3C CSP 3, Fetch, HTML)."""

READS = frozenset({"GET", "HEAD"})
METHODS = READS | {"POST"}
LONGEST_PATH = 512
TOKEN_BYTES = 32
LARGEST_BODY = 64 * 1024
"""A correction has a few hundred bytes."""

ONWARD = """<!doctype html><html lang="en"><meta charset="utf-8"><title>eyeline</title>
<link rel="icon" href="/static/eyeline.svg">
<meta http-equiv="refresh" content="0;url=/"><p><a href="/">To the page</a></p></html>"""
"""Leads on from within: a cookie that is strict is not sent on a way that began on another site."""

USED = (
    "This address has let somebody in already, and it does so once.\n"
    "Press Ctrl-C in the terminal where eyeline review runs and start it again: it prints a new one.\n"
)
STRANGER = "Open the address that eyeline review has printed: without it nothing is shown.\n"


class Gate:
    """Lets through to `app` what comes from the one browser that was let in.

    `port`: on which this machine listens. `token`: in the printed address, good for one browser.
    """

    def __init__(self, app: ASGIApp, port: int) -> None:
        self._app = app
        self._hosts = frozenset({f"127.0.0.1:{port}", f"localhost:{port}"})
        self._cookie_name = f"eyeline_{port}"  # cookies of one host are shared by all its ports
        self._cookie = secrets.token_urlsafe(TOKEN_BYTES)
        self.token = secrets.token_urlsafe(TOKEN_BYTES)
        self._is_used = False
        self._lock = threading.Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """ASGI: refuse, let in, or hand on."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers[name] = value
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        if scope["type"] != "http":  # a socket: nothing here speaks over one
            await send({"type": "websocket.close", "code": 1008})
            return
        answer = self._refusal(scope) or self._let_in(scope)
        await (answer or self._app)(scope, receive, with_headers)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if headers.getlist("host") != [headers.get("host", "")] or headers.get("host") not in self._hosts:
            return _refused(421, "This page answers under 127.0.0.1 alone.\n")
        if is_tricky(scope.get("raw_path") or scope["path"].encode()):
            return _refused(400, "This is no address of this page.\n")
        if scope["method"] not in METHODS:
            return _refused(405, "Only GET, HEAD and POST are understood.\n")
        own = {f"http://{host}" for host in self._hosts}
        origins = headers.getlist("origin")
        is_change = scope["method"] not in READS
        if any(each not in own for each in origins) or (is_change and len(origins) != 1):
            return _refused(403, "This request does not come from this page.\n")
        if is_change and headers.get("sec-fetch-site", "same-origin") != "same-origin":
            return _refused(403, "This request does not come from this page.\n")
        if not headers.get("content-length", "0").isdecimal():
            return _refused(400, "How long is this?\n")
        if int(headers.get("content-length", "0")) > LARGEST_BODY or (
            is_change and "content-length" not in headers
        ):
            return _refused(413, "This is too long.\n")
        return None

    def _let_in(self, scope: Scope) -> Response | None:
        """The answer at the entrance, or to somebody who did not come through it; None for who did."""
        path: str = scope["path"]
        inside = self._is_inside(Headers(scope=scope).getlist("cookie"))
        if path.startswith(ENTRANCE) and scope["method"] == "GET":
            if inside:
                return HTMLResponse(ONWARD)
            with self._lock:
                right = secrets.compare_digest(
                    path.removeprefix(ENTRANCE).encode("utf-8", "replace"), self.token.encode()
                )
                if not right or self._is_used:
                    return _refused(403, USED if right else STRANGER)
                self._is_used = True
            answer = HTMLResponse(ONWARD)
            answer.set_cookie(self._cookie_name, self._cookie, httponly=True, samesite="strict", path="/")
            return answer
        return None if inside else _refused(401, STRANGER)

    def _is_inside(self, cookies: Iterable[str]) -> bool:
        """Whether one of the cookies is ours. Every one is looked at: another program on this host may set
        more of the same name."""
        inside = False
        for part in (each for line in cookies for each in line.split(";")):
            name, _, value = part.strip().partition("=")
            if name == self._cookie_name:
                inside |= secrets.compare_digest(value.encode("utf-8", "replace"), self._cookie.encode())
        return inside


def is_tricky(raw_path: bytes) -> bool:
    """Whether a path, as it came over the wire, is one that no link of this page has: nothing here needs an
    escape, a dot segment, an empty segment or a letter outside ASCII."""
    lower = raw_path.split(b"?", 1)[0].lower()
    return (
        len(lower) > LONGEST_PATH
        or not lower.startswith(b"/")
        or b"//" in lower
        or any(byte <= 0x20 or byte >= 0x7F or byte in b"%\\;" for byte in lower)
        or any(segment in (b".", b"..") for segment in lower.split(b"/"))
    )


def _refused(status: int, text: str) -> Response:
    return PlainTextResponse(text, status)
