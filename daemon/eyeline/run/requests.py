"""What other programs may ask of the daemon, by the name that stands in a request's `do`."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from eyeline.errors import BadConfiguration
from eyeline.run.daemon import Daemon
from eyeline.run.local_socket import Handler

PATIENCE_SECONDS = 20.0
"""How long a request may wait for the daemon, which answers between two photos."""


def requests_of(daemon: Daemon) -> dict[str, Handler]:
    """The handlers of `daemon`; each does its work in the daemon's own thread.

    `sitter`: {"sitter": "next", a number or a name; "folder": optional}, or no sitter to ask who sits.
    `move`: {"sitter": ..., "files": [...]}. `watched`: which folders are watched.
    """

    def sitter(request: Mapping[str, Any]) -> Mapping[str, Any]:
        folder = _folder(request)
        text = request.get("sitter")
        if text is None:
            return daemon.ask(lambda: daemon.attention.seated(folder)).result(PATIENCE_SECONDS)
        said = _text(text)
        return daemon.ask(lambda: daemon.attention.say(said, folder)).result(PATIENCE_SECONDS)

    def move_files(request: Mapping[str, Any]) -> Mapping[str, Any]:
        said, files = _text(request.get("sitter")), request.get("files")
        if not isinstance(files, list) or not files or not all(isinstance(each, str) for each in files):
            raise BadConfiguration(
                "no files are named", cure='Ask {"do": "move", "sitter": "17", "files": [...]}'
            )
        return daemon.ask(lambda: daemon.attention.move(said, [Path(each) for each in files])).result(
            PATIENCE_SECONDS
        )

    def watched(_: Mapping[str, Any]) -> Mapping[str, Any]:
        return {"folders": [str(root.resolve()) for root in daemon.session.decider.roots]}

    return {"sitter": sitter, "move": move_files, "watched": watched}


def _text(value: object) -> str:
    text = " ".join(value.split()) if isinstance(value, str) else ""
    if not text or not text.isprintable():
        raise BadConfiguration("no sitter is named", cure="Name a number or a name, or say next")
    return text


def _folder(request: Mapping[str, Any]) -> Path | None:
    folder = request.get("folder")
    return Path(folder).resolve() if isinstance(folder, str) else None
