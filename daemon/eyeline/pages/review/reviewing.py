"""The daemon and the page in one process: one ledger, one writer."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import contextmanager

from eyeline.errors import EyelineError
from eyeline.ledger.records import Decision, Photo
from eyeline.pages.review.corrections import Corrections
from eyeline.pages.review.desk import Desk
from eyeline.pages.review.live import Live
from eyeline.pages.review.own_hands import HandReader, OwnHands
from eyeline.pages.review.pictures import PATIENCE_SECONDS, Pictures
from eyeline.pages.review.serving import served
from eyeline.pages.review.table import LightTable
from eyeline.run.daemon import Daemon
from eyeline.run.session import Session
from eyeline.workers.draw import ToDraw


@contextmanager
def reviewing(session: Session, port: int) -> Iterator[tuple[Daemon, str]]:
    """A daemon over the roots of `session` and a page of what it knows; yields it and the address.

    The caller runs the daemon. Raises BadConfiguration where `port` is taken.
    """
    table = LightTable(lambda: session.decider, session.decider.roots)

    def measured(photo: Photo) -> None:
        table.touch(photo.frame.path.parent)

    def decided(photo: Photo, _: Decision) -> None:
        table.touch(photo.frame.path.parent)

    def draw(photo: ToDraw) -> Future[EyelineError | None]:
        # The pool is the daemon's: only its thread hands in work.
        previews = session.configuration.small_versions
        return daemon.ask(lambda: session.pool.draw(photo, previews)).result(PATIENCE_SECONDS)

    daemon = Daemon(session, decided, measured)

    def reload() -> None:
        daemon.ask(session.reload_rules).result(PATIENCE_SECONDS)
        table.touch_all()

    live = Live(table)
    hands = OwnHands(lambda: session.decider)
    desk = Desk(
        lambda: session.decider,
        table,
        hands,
        Corrections(daemon.ask, lambda: session.decider),
        Pictures(session.configuration.small_versions, draw),
        live,
        reload,
    )
    reader = HandReader(hands, live.changed)
    table.subscribe(reader.take)
    table.start()
    try:
        with served(desk, port) as address:
            yield daemon, address
    finally:
        reader.stop()
        table.stop()
