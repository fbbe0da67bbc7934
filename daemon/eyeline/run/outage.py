"""What has to wait while the ledger cannot be written or a folder does not answer. Pure: touches nothing."""

from __future__ import annotations

from eyeline.errors import LedgerFailed


class Outage:
    """Whether the ledger can be written, and the messages that are put off.

    While it cannot be written nothing is recorded, so nothing may be written into sidecars either.
    """

    def __init__(self) -> None:
        self._error: LedgerFailed | None = None
        self._put_off: list[object] = []

    @property
    def error(self) -> LedgerFailed | None:
        """Why the ledger cannot be written; None while it can be."""
        return self._error

    def begin(self, error: LedgerFailed) -> bool:
        """Note that the ledger could not be written; True where that is new, and the user is to know."""
        is_new = self._error is None
        self._error = self._error or error
        return is_new

    def end(self) -> LedgerFailed | None:
        """Note that the ledger can be written; what stood in the way, to be recorded now."""
        error, self._error = self._error, None
        return error

    def put_off(self, message: object) -> None:
        """Keep `message` until it can be acted on."""
        self._put_off.append(message)

    def take_up(self) -> list[object]:
        """The messages that were put off, in their order; none of them is kept any longer."""
        messages, self._put_off = self._put_off, []
        return messages
