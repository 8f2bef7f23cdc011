"""What keeps slow clients from crowding out the others."""

import asyncio
import sys

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_TIMEOUT_S = 10.0
OPEN_FILES = 4096


class PatientProtocol(H11Protocol):
    """Closes a connection whose request head is not whole in time; uvicorn would wait for ever."""

    head_timeout_s = HEAD_TIMEOUT_S
    _head_timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first head."""
        super().connection_made(transport)
        self._wait_for_head()

    def data_received(self, data: bytes) -> None:
        """Stop waiting once the head is whole; wait anew for the rest of a later one."""
        super().data_received(data)
        if self.conn.their_state is not h11.IDLE:
            self._stop_waiting()
        elif self._head_timer is None:
            self._wait_for_head()

    def connection_lost(self, exc: Exception | None) -> None:
        """Nothing to wait for any more."""
        self._stop_waiting()
        super().connection_lost(exc)

    def _wait_for_head(self) -> None:
        self._head_timer = self.loop.call_later(self.head_timeout_s, self.transport.close)

    def _stop_waiting(self) -> None:
        if self._head_timer is not None:
            self._head_timer.cancel()
            self._head_timer = None


if sys.platform == "win32":  # pragma: no cover - only on Windows

    def allow_many_connections() -> None:
        """Windows has no such limit."""

else:
    import resource

    def allow_many_connections() -> None:
        """Raise this process's limit of open files, as far as the system lets it."""
        soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
        wanted = OPEN_FILES if hard == resource.RLIM_INFINITY else min(OPEN_FILES, hard)
        if soft != resource.RLIM_INFINITY and soft < wanted:
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))
