"""One connection to a browser: nobody may hold it without asking anything, and every reply carries the headers."""

from __future__ import annotations

import asyncio
import logging
from typing import Any, Final

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from silhouette.page.guard import HEADERS

PATIENCE: Final = 15.0  #: seconds for a whole request to come in, this tool's convention
MOST_DROPPED: Final = 4_000_000  #: bytes that are read and dropped after a refusal, so that the asker can hear it
_LOG: Final = logging.getLogger(__name__)


class Connection(H11Protocol):
    """HTTP/1.1 as the server has it, with an end to waiting and an end to bodies that nobody wants.

    A connection on which no whole request arrives within ``PATIENCE`` is closed. The rest of a refused body is
    dropped, and the connection with it once that is more than ``MOST_DROPPED``.
    """

    patience: float = PATIENCE

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self._ends: asyncio.TimerHandle | None = None
        self._dropped = 0

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._expect()

    def connection_lost(self, exc: Exception | None) -> None:
        self._rest()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        if self.conn.our_state is h11.DONE and self.conn.their_state is h11.SEND_BODY:
            self._dropped += len(data)
            if self._dropped > MOST_DROPPED:
                self._cut()
                return
        super().data_received(data)
        self._expect()

    def on_response_complete(self) -> None:
        self._dropped = 0
        super().on_response_complete()
        self._expect()

    def send_400_response(self, msg: str) -> None:
        """The reply to what is not HTTP; the server's own lacks the headers."""
        head = h11.Response(
            status_code=400,
            headers=[*HEADERS.items(), ("content-type", "text/plain; charset=utf-8"), ("connection", "close")],
            reason=b"Bad Request",
        )
        for event in (head, h11.Data(data=msg.encode("ascii")), h11.EndOfMessage()):
            self.transport.write(self.conn.send(event) or b"")
        self.transport.close()

    @property
    def _answering(self) -> bool:
        return self.cycle is not None and not self.cycle.response_complete and not self.cycle.more_body

    def _expect(self) -> None:
        """Wait for a whole request, but not for ever; a request that has come in whole takes the time it takes."""
        if self._answering:
            self._rest()
        elif self._ends is None and not self.transport.is_closing():
            self._ends = self.loop.call_later(self.patience, self._cut)

    def _rest(self) -> None:
        if self._ends is not None:
            self._ends.cancel()
            self._ends = None

    def _cut(self) -> None:
        self._ends = None
        if not self.transport.is_closing():
            _LOG.info("connection closed: no whole request in %.0f s, or more than anybody wants", self.patience)
            self.transport.abort()
