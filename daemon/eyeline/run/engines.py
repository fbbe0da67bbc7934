"""What measures, as the configuration has it: processes of this machine, or stations."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from functools import partial
from pathlib import Path

from eyeline.errors import EyelineError
from eyeline.settings.configuration import Configuration
from eyeline.workers.engine import Engine
from eyeline.workers.pool import WorkerPool


@contextmanager
def engine_of(
    configuration: Configuration, roots: Sequence[Path], tell: Callable[[EyelineError], None]
) -> Iterator[Engine]:
    """The engine, closed in the end; `tell` hears of stations that are refused or missing.

    Raises BadConfiguration where several machines are asked for and cannot be had, EyelineError.
    """
    previews = configuration.small_versions
    if configuration.engine == "processes":
        with WorkerPool(configuration.workers, previews=previews) as pool:
            yield pool
        return
    from eyeline.stations.library import load

    load()  # what is missing is said before anything is loaded or started
    from eyeline.stations.certificates import security_for
    from eyeline.stations.engine import StationEngine
    from eyeline.stations.meeting import Meeting
    from eyeline.stations.own import own_stations

    meeting: Callable[[], AbstractContextManager[Meeting]]
    if configuration.scheduler is None:
        meeting = partial(own_stations, configuration.workers)
    else:
        security = security_for(configuration.scheduler, configuration.certificates)
        known = Meeting(configuration.scheduler, security)
        meeting = lambda: nullcontext(known)  # noqa: E731
    with StationEngine(meeting, roots, WorkerPool(configuration.workers), previews, tell) as stations:
        yield stations
