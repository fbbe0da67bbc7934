"""Between frozen data and what SQLite holds: JSON text, path bytes, UTC text.

JSON is pure ASCII, so that undecodable file names and control characters survive any store, and holds
finite numbers only. Reading is strict: a type that does not fit is an error, never converted.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from pathlib import Path
from sys import intern
from typing import Any, TypeVar

from cattrs import BaseValidationError, Converter

from eyeline.terms.measurement import Measurement, Value

T = TypeVar("T")


def _only(*types: type) -> Callable[[Any, Any], Any]:
    def structure(value: Any, _: Any) -> Any:
        if type(value) not in types:
            raise TypeError(f"{value!r} where {' or '.join(t.__name__ for t in types)} belongs")
        return value

    return structure


def _number(value: Any, _: Any) -> float:
    return float(_only(float, int)(value, _))


_CONVERTER = Converter(forbid_extra_keys=True)
_CONVERTER.register_structure_hook(float, _number)
for _exact in (int, bool, str):
    _CONVERTER.register_structure_hook(_exact, _only(_exact))
_CONVERTER.register_structure_hook_func(lambda kind: kind == Value, _only(float, int, bool, str, type(None)))


def json_text(value: Any) -> str:
    """`value` (dicts, lists, text, numbers, truth values, None) as ASCII JSON on one line.

    Raises ValueError for infinity and not-a-number, TypeError for whatever else JSON has no word for.
    """
    return json.dumps(value, ensure_ascii=True, allow_nan=False, separators=(",", ":"))


def to_json(value: object) -> str:
    """A dataclass of terms/ as JSON. Raises as `json_text`."""
    return json_text(_CONVERTER.unstructure(value))


def from_json(text: str, kind: type[T]) -> T:
    """The dataclass of type `kind` in `text`. Raises ValueError where it is not exactly that."""
    try:
        held = json.loads(text)
        if not isinstance(held, dict):
            raise TypeError(f"{held!r} where an object belongs")
        return _CONVERTER.structure(held, kind)
    except (BaseValidationError, TypeError, KeyError, RecursionError) as error:
        raise ValueError(f"this is no {kind.__name__}: {error!r}") from error


def measurements_to_json(measurements: Iterable[Measurement]) -> str:
    """Measurements as one object: name to value, or to {"missing": reason}. Raises as `json_text`."""
    by_name: dict[str, Any] = {}
    for one in measurements:
        if one.name in by_name:
            raise ValueError(f"{one.name} was measured twice")
        by_name[one.name] = {"missing": one.missing} if one.missing is not None else one.value
    return json_text(by_name)


def measurements_from_json(text: str) -> tuple[Measurement, ...]:
    """The measurements in `text`, in the order in which they were taken. Raises ValueError.

    Names and reasons are few and stand in every photo: each is kept once.
    """
    by_name = json.loads(text)
    if not isinstance(by_name, dict):
        raise ValueError("these are no measurements")
    found = []
    for name, held in by_name.items():
        if isinstance(held, (float, int, str)):
            found.append(Measurement(intern(name), held))
        elif isinstance(held, dict) and held.keys() == {"missing"} and isinstance(held["missing"], str):
            found.append(Measurement(intern(name), None, intern(held["missing"])))
        else:
            raise ValueError(f"{name}: {held!r} is no measurement")
    return tuple(found)


def path_bytes(path: Path) -> bytes:
    """The bytes by which the system knows `path`. Raises ValueError for a relative path."""
    if not path.is_absolute():
        raise ValueError(f"{path!r}: the ledger knows files by their absolute paths")
    return os.fsencode(path)


def path_of(held: bytes) -> Path:
    """The path that `path_bytes` was given."""
    return Path(os.fsdecode(held))


def span(folder: Path) -> tuple[bytes, bytes]:
    """The half-open range of path bytes in which all that lies under `folder` falls, and nothing else."""
    inside = path_bytes(folder).rstrip(b"/") + b"/"
    return inside, inside[:-1] + b"0"  # 0 follows / in ASCII


DIRECTLY_IN = "({0} > :start AND {0} < :end AND instr(substr({0}, :after), x'2f') = 0)"
"""SQL for "column {0}, path bytes, lies in the folder itself", with the parameters of `directly_in`."""


def directly_in(folder: Path) -> dict[str, bytes | int]:
    """The parameters of DIRECTLY_IN."""
    start, end = span(folder)
    return {"start": start, "end": end, "after": len(start) + 1}


def storable(text: str) -> str:
    """`text` with lone surrogates (from undecodable file names) escaped: SQLite holds UTF-8 only."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def utc_text(moment: datetime) -> str:
    """`moment` in UTC, as text that sorts like time. Raises ValueError for a naive datetime."""
    if moment.tzinfo is None:
        raise ValueError("a moment without a time zone is no moment")
    return moment.astimezone(UTC).isoformat(timespec="microseconds")


def moment_of(text: str) -> datetime:
    """The moment that `utc_text` was given, in UTC."""
    return datetime.fromisoformat(text)
