"""Who sits, as it is said while photos arrive: each photo belongs to who sat when it began to arrive."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.sitting.seats import Seats, following

HOLDS = timedelta(hours=12)
"""How long a saying holds: a working day. Tomorrow's first frames are not yesterday's last sitter's."""


@dataclass(frozen=True, slots=True)
class Saying:
    """`sitter`: label; `at`: the moment, as the ledger keeps it."""

    sitter: str
    at: str

    @property
    def moment(self) -> datetime:
        """The moment, in UTC."""
        return datetime.fromisoformat(self.at)


class SaidSitters:
    """Who sits under which folder, by the latest saying. Methods raise LedgerFailed."""

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger
        self._now = {folder: Saying(*said) for folder, said in ledger.sitters.all_seated_now().items()}
        self._noticed: dict[Path, Saying | None] = {}

    def say(self, seats: Seats, text: str, seated: list[str]) -> str:
        """`text` sits from now on under the home of `seats`: a number, a name, or `next`, who follows in the
        list after who sat last. `seated`: labels of all frames, in the order taken. The label is returned."""
        now = datetime.now(UTC)
        last = self._holding(seats.home, now)
        if text.casefold() == "next":
            current = next(reversed(seated), None)
            if last is not None and last.sitter not in seated:  # no frame of that sitter has come yet
                current = last.sitter
            had = {*seated, *({current} if current is not None else ())}
            label = following(current, seats.chairs, had)
        else:
            label = seats.label(text)
        self._ledger.sitters.seat_now(seats.home, label, now)
        said = self._ledger.sitters.seated_now(seats.home)
        assert said is not None, "it was noted just now"
        self._now[seats.home] = Saying(*said)
        return label

    def sitter(self, home: Path) -> str | None:
        """Who sits under `home` by the latest saying."""
        saying = self._holding(home, datetime.now(UTC))
        return saying.sitter if saying is not None else None

    def noticed(self, path: Path) -> None:
        """A photo begins to arrive, or something else happens to it."""
        if self._now and path not in self._noticed:
            self._noticed[path] = self._said_of(path)

    def measured(self, photo: Photo) -> None:
        """A photo is measured; one that was measured before the saying is none of those that arrive."""
        path = photo.frame.path
        saying = self._noticed.pop(path) if path in self._noticed else self._said_of(path)
        if saying is not None and photo.measured_at >= saying.moment:
            self._ledger.sitters.seat(
                [(path, photo.frame.digest)], saying.sitter, saying.at, datetime.now(UTC)
            )

    def gone(self, path: Path) -> None:
        """Nothing will be measured at `path`."""
        self._noticed.pop(path, None)

    def _said_of(self, path: Path) -> Saying | None:
        now = datetime.now(UTC)
        inside = [home for home in self._now if path.is_relative_to(home)]
        innermost = max(inside, key=lambda home: len(home.parts), default=None)
        return self._holding(innermost, now) if innermost is not None else None

    def _holding(self, home: Path, now: datetime) -> Saying | None:
        saying = self._now.get(home)
        return saying if saying is not None and now - saying.moment <= HOLDS else None
