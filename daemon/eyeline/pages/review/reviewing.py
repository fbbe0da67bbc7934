"""The page beside the daemon in one process, or beside a daemon of another: one ledger, one hand."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Future
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Any, Protocol, TypeVar

from eyeline.errors import EyelineError
from eyeline.ledger.records import Decision, Photo
from eyeline.pages.review.corrections import Corrections
from eyeline.pages.review.delivery_job import DeliveryJob
from eyeline.pages.review.desk import Desk
from eyeline.pages.review.live import Live
from eyeline.pages.review.onlooker import Onlooker, daemon_watches
from eyeline.pages.review.own_hands import HandReader, OwnHands
from eyeline.pages.review.pictures import PATIENCE_SECONDS, Pictures
from eyeline.pages.review.serving import served
from eyeline.pages.review.stations_watch import watch_of
from eyeline.pages.review.table import LightTable
from eyeline.run import local_socket
from eyeline.run.daemon import Daemon
from eyeline.run.delivery_again import MeasureAgain, measured_here
from eyeline.run.session import Session
from eyeline.run.telling import telling
from eyeline.terms.measurement import Measurement
from eyeline.workers.draw import ToDraw

T = TypeVar("T")

NOBODY = "Nobody watches the folder: what you see is from before. Start eyeline watch again"

ENDED_SECONDS = 0.5
"""How often who waits for the daemon looks whether it has ended."""


class Runner(Protocol):
    """What runs while the page is served."""

    def run(self) -> None:
        """Until `stop`."""

    def stop(self) -> None:
        """Ask for a stop; may be called from any thread."""

    def reload(self) -> None:
        """Ask for the rules to be read again; may be called from any thread."""


@contextmanager
def reviewing(session: Session, port: int) -> Iterator[tuple[Runner, str]]:
    """A page of what is known of the roots of `session`; yields what the caller is to run, and the address.

    Where a daemon of another process watches these folders already, this one only looks on.
    Raises BadConfiguration where `port` is taken, or another daemon watches some of the folders.
    """
    table = LightTable(lambda: session.decider, session.decider.roots)
    live = Live(table)
    place = session.configuration.ledger.with_name(local_socket.NAME)
    with ExitStack() as stack:
        sit: Callable[[str, Path], Mapping[str, Any]]
        if daemon_watches(place, session.decider.roots):
            looks_on = _looking_on(session, place, table, live)
            runner: Runner = looks_on
            ask, sit = looks_on.ask, looks_on.sit
        else:
            daemon = _watching(session, table)
            stack.enter_context(telling(daemon))
            runner, ask = daemon, daemon.ask
            sit = _say_to(daemon)
        hands = OwnHands(lambda: session.decider)
        reader = HandReader(hands, live.changed, lambda: live.is_heard)
        table.subscribe(reader.take)
        ended = threading.Event()
        delivery = DeliveryJob(lambda: session.decider, _measuring_again(session, ask, ended), live.changed)
        stations = watch_of(session.configuration, lambda: live.is_heard, live.changed)
        if stations is not None:
            stack.callback(stations.stop)
            stations.start()
        desk = Desk(
            lambda: session.decider,
            table,
            hands,
            Corrections(ask, lambda: session.decider),
            Pictures(session.configuration.small_versions, _drawing(session, ask)),
            live,
            delivery,
            _reloading(session, ask, table),
            sit,
            stations,
        )
        stack.callback(table.stop)
        stack.callback(delivery.close)
        stack.callback(ended.set)
        stack.callback(reader.stop)
        table.start()
        address = stack.enter_context(served(desk, port))
        yield runner, address


def _watching(session: Session, table: LightTable) -> Daemon:
    def measured(photo: Photo) -> None:
        table.touch(photo.frame.path.parent)

    def decided(photo: Photo, _: Decision) -> None:
        table.touch(photo.frame.path.parent)

    return Daemon(session, decided, measured)


def _looking_on(session: Session, place: Path, table: LightTable, live: Live) -> Onlooker:
    def judged(folder: Path) -> None:
        # A name that no line of text can hold comes escaped: then anything may have changed.
        table.touch(folder) if folder.is_dir() else table.touch_all()

    def back() -> None:
        live.say("")
        table.touch_all()

    return Onlooker(place, judged, lambda: live.say(NOBODY), back, session.reload_rules)


def _say_to(daemon: Daemon) -> Callable[[str, Path], Mapping[str, Any]]:
    def sit(text: str, folder: Path) -> Mapping[str, Any]:
        return daemon.ask(lambda: daemon.attention.say(text, folder)).result(PATIENCE_SECONDS)

    return sit


def _drawing(
    session: Session, ask: Callable[[Callable[[], Future[EyelineError | None]]], Any]
) -> Callable[[ToDraw], Future[EyelineError | None]]:
    """Has pictures drawn by the workers, which are the daemon's: only its thread hands in work."""
    previews = session.configuration.small_versions

    def draw(photo: ToDraw) -> Future[EyelineError | None]:
        handed_in: Future[EyelineError | None] = ask(lambda: session.pool.draw(photo, previews)).result(
            PATIENCE_SECONDS
        )
        return handed_in

    return draw


def _measuring_again(
    session: Session,
    ask: Callable[[Callable[[], Future[Mapping[str, Measurement]]]], Future[Any]],
    ended: threading.Event,
) -> MeasureAgain:
    """Has delivered files measured by the workers, which are the daemon's; here, once that has `ended`."""

    def measure_again(path: Path, every: bool) -> Future[Mapping[str, Measurement]]:
        asked = ask(lambda: session.pool.measure_again(path, every))
        while not ended.is_set():
            with suppress(TimeoutError):
                handed_in: Future[Mapping[str, Measurement]] = asked.result(ENDED_SECONDS)
                return handed_in
        return measured_here(path, every)

    return measure_again


def _reloading(
    session: Session, ask: Callable[[Callable[[], None]], Future[None]], table: LightTable
) -> Callable[[], None]:
    def reload() -> None:
        ask(session.reload_rules).result(PATIENCE_SECONDS)
        table.touch_all()

    return reload
