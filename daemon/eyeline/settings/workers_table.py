"""The grammar of `[workers]`: how many photos are measured at the same time, and where."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from eyeline.settings.file_path import FilePath
from eyeline.toml_files.grammar import Default, Kind, one_of, whole_between

MOST_WORKERS = 64

SCHEDULER_PORT = 8786
"""The port that Dask's scheduler listens at unless told otherwise (its documentation)."""

_PORT = "[1-9][0-9]{0,4}"
_ADDRESS = (
    rf"tls://([A-Za-z0-9._-]+|\[[0-9A-Fa-f:.]+\]):{_PORT}"
    rf"|tcp://(localhost|127\.[0-9]{{1,3}}\.[0-9]{{1,3}}\.[0-9]{{1,3}}|\[::1\]):{_PORT}"
)
"""TLS to anywhere; plain TCP on this machine alone, since whoever can speak to a scheduler can run what they
like on every worker."""


def scheduler_address(value: Any) -> str:
    """The address in `value`. Raises ValueError where it is none, or a plain one that leaves this machine."""
    if not isinstance(value, str) or not re.fullmatch(_ADDRESS, value):
        raise ValueError
    return value


SCHEDULER = Kind(
    f'an address such as "tls://studio:{SCHEDULER_PORT}" (tcp:// only on this machine itself, as 127.0.0.1)',
    {"type": "string", "pattern": f"^({_ADDRESS})$"},
    scheduler_address,
)


@dataclass(frozen=True, slots=True)
class WorkersTable:
    """How many photos are measured at the same time, and on which machines."""

    count: Annotated[
        Annotated[int, whole_between(1, MOST_WORKERS)] | None,
        "how many photos are measured at the same time on this machine",
        Default("one a processor, as memory allows"),
    ] = None
    engine: Annotated[
        Annotated[Literal["processes", "dask"], one_of("processes", "dask")] | None,
        "what measures: processes of this machine, or stations, on other machines too",
        Default('"processes"'),
    ] = None
    scheduler: Annotated[
        Annotated[str, SCHEDULER] | None,
        "where the scheduler of the stations listens",
        Default("with `dask`: one is started for you, with one station, on this machine"),
    ] = None
    certificates: Annotated[
        FilePath | None,
        "folder of this machine's certificates, made by `eyeline workers certificates`",
        Default("`certificates` beside this file's default place"),
    ] = None
