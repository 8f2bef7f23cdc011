"""Joining from other devices on the network: a code, sessions, and a limit on wrong guesses."""

import io
import math
import secrets
import socket
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

from fastapi import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from server.web.errors import error_response
from server.web.render import is_htmx

ALPHABET = "ABCDEFGHJKMNPQRTUVWXYZ23456789"  # 30 signs, none that is mistaken for another
CODE_LENGTH = 8  # 30^8: 39.3 bits
COOKIE = "tapchart_session"

WINDOW_S = 60.0
FAILURES_PER_ADDRESS = 5
FAILURES_IN_ALL = 20
SESSION_LIFE_S = 12 * 3600.0
SESSION_IDLE_S = 2 * 3600.0

JOIN_PATH = "/join"
PROBE = ("192.0.2.1", 9)  # an address for documentation (RFC 5737)
_OPEN_PREFIXES = ("/static/", "/lib/")

Clock = Callable[[], float]


def new_code() -> str:
    """A fresh join code."""
    return "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))


@dataclass
class _Session:
    began_s: float
    seen_s: float


@dataclass
class JoinDesk:
    """Knows the join code, the sessions that it opened, and the recent wrong guesses."""

    code: str
    clock: Clock = time.monotonic
    _sessions: dict[str, _Session] = field(default_factory=dict)
    _failures: deque[tuple[float, str]] = field(default_factory=deque)

    def wait_s(self, address: str) -> int:
        """Whole seconds until this address may try a code again; 0 when it may now."""
        now = self.clock()
        while self._failures and self._failures[0][0] <= now - WINDOW_S:
            self._failures.popleft()
        every = [at for at, _ in self._failures]
        own = [at for at, who in self._failures if who == address]
        waits = [_wait(every, FAILURES_IN_ALL, now), _wait(own, FAILURES_PER_ADDRESS, now)]
        return math.ceil(max(waits))

    def join(self, address: str, typed: str) -> str | None:
        """The id of a new session when the typed code is right; a wrong one is counted."""
        given = "".join(typed.split()).replace("-", "").upper()
        now = self.clock()
        if not secrets.compare_digest(given.encode("utf-8", "replace"), self.code.encode()):
            self._failures.append((now, address))
            return None
        self._sessions = {key: one for key, one in self._sessions.items() if self._is_alive(one)}
        session = secrets.token_urlsafe(32)
        self._sessions[session] = _Session(now, now)
        return session

    def admits(self, session: str | None) -> bool:
        """Whether a session is known and not expired; asking keeps it from going idle."""
        found = self._sessions.get(session or "")
        if found is None or not self._is_alive(found):
            return False
        found.seen_s = self.clock()
        return True

    def _is_alive(self, session: _Session) -> bool:
        now = self.clock()
        return now - session.began_s < SESSION_LIFE_S and now - session.seen_s < SESSION_IDLE_S


def _wait(failures: list[float], limit: int, now: float) -> float:
    """Seconds until fewer than ``limit`` of the failures lie within the window."""
    return failures[-limit] + WINDOW_S - now if len(failures) >= limit else 0.0


class LanGate:
    """Refuses everything but the join page and the static files to who has not joined."""

    def __init__(self, app: ASGIApp, desk: JoinDesk) -> None:
        self.app = app
        self.desk = desk

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on when it is open to all or carries a session."""
        if scope["type"] != "http" or scope["path"] == JOIN_PATH or scope["path"].startswith(_OPEN_PREFIXES):
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        if self.desk.admits(request.cookies.get(COOKIE)):
            await self.app(scope, receive, send)
        else:
            await _to_join(request)(scope, receive, send)


def _to_join(request: Request) -> Response:
    asks_for_page = request.method == "GET" and "text/html" in request.headers.get("accept", "")
    if asks_for_page and not is_htmx(request):
        return RedirectResponse(JOIN_PATH, status_code=303)  # the browser carries the #c=… along
    return error_response(request, 401, "Join with the code first.", headers={"HX-Redirect": JOIN_PATH})


def lan_names() -> tuple[str, ...]:
    """IPv4 addresses and names of this machine on its networks, the best guess first."""
    name = socket.gethostname().lower()
    found = (*_address_of_the_route(), *_addresses_of(name))
    addresses = dict.fromkeys(address for address in found if not address.startswith("127."))
    return (*addresses, name, f"{name}.local")


def _address_of_the_route() -> tuple[str, ...]:
    """Our address on the way out; nothing is sent, and there is none without a network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(PROBE)
        except OSError:
            return ()
        return (str(probe.getsockname()[0]),)


def _addresses_of(name: str) -> tuple[str, ...]:
    """What the system knows under a name; a machine need not know its own."""
    try:
        return tuple(str(info[4][0]) for info in socket.getaddrinfo(name, None, socket.AF_INET))
    except socket.gaierror:
        return ()


def invitation(address: str, code: str) -> str:
    """What the terminal shows: address, code, and both as a QR code; the code travels in the fragment."""
    import segno

    target = f"{address}/#c={code}"
    picture = io.StringIO()
    segno.make(target, error="m").terminal(out=picture, compact=True)
    return (
        f"Other devices on this network: {address}\n"
        f"Join code: {code[:4]}-{code[4:]} (or scan)\n{picture.getvalue()}"
        "The network is not encrypted: whoever is on it can read along."
    )
