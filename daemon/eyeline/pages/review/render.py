"""What all views need: templates, the files beside them, forms, and errors in words."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response

from eyeline.errors import EyelineError, unforeseen

A_YEAR = 31_536_000
"""Seconds; for what never changes under its address."""

KINDS_OF_FILES = {
    ".css": "text/css",
    ".js": "text/javascript",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
    ".otf": "font/otf",
}
MOST_FIELDS = 200
"""A genre has some thirty criteria of three numbers each."""


def page(template: str, status: int = 200, **shown: Any) -> HTMLResponse:
    """A page made of `template`."""
    return HTMLResponse(_templates().get_template(template).render(**shown), status)


async def static(request: Request) -> Response:
    """Style, script, fonts."""
    found = _static().get(request.path_params["name"])
    if found is None:
        raise HTTPException(404)
    content, kind = found
    kept = f"private, max-age={A_YEAR}, immutable" if kind.startswith("font/") else "no-cache"
    return Response(content, media_type=kind, headers={"Cache-Control": kept})


async def form(request: Request) -> dict[str, str]:
    """The fields of a form, each once. Raises HTTPException for what is none."""
    if not request.headers.get("content-type", "").startswith("application/x-www-form-urlencoded"):
        raise HTTPException(415)
    try:
        text = (await request.body()).decode("ascii")
        fields = parse_qs(text, keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict")
    except ValueError as error:
        raise HTTPException(400) from error
    return {name: values[-1] for name, values in fields.items()}


async def said(_: Request, error: Exception) -> Response:
    """An error in words."""
    if isinstance(error, HTTPException):
        return PlainTextResponse(f"{error.detail}\n", error.status_code)
    return PlainTextResponse(f"{error}\n", 409)


async def unforeseen_said(request: Request, error: Exception) -> Response:
    """A fault of eyeline's own, in words: it costs one page, and the daemon goes on."""
    told = unforeseen(error, Path(request.url.path))
    return PlainTextResponse(f"{told}\n", 500)


HANDLERS = {EyelineError: said, HTTPException: said, Exception: unforeseen_said}


@cache
def _templates() -> Environment:
    return Environment(
        loader=PackageLoader("eyeline.pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def _static() -> dict[str, tuple[bytes, str]]:
    """Every file that may be asked for, read once: no address leads to any other."""
    folder = files("eyeline.pages") / "static"
    return {
        file.name: (file.read_bytes(), kind)
        for file in (*folder.iterdir(), *(folder / "fonts").iterdir())
        if (kind := KINDS_OF_FILES.get("." + file.name.rpartition(".")[2])) is not None
    }
