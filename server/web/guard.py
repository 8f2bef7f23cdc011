"""What is refused before any route sees it: foreign hosts, foreign origins, oversized bodies."""

import asyncio
from collections.abc import Collection

from fastapi import Request
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from server.web.errors import error_response

LOOPBACK_NAMES = frozenset({"127.0.0.1", "localhost", "::1"})
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
MAX_BODY_BYTES = 1_000_000
MAX_IMPORT_BYTES = 2_000_000
MAX_PHOTO_BYTES = 16_000_000
MAX_PHOTOS_BYTES = 120_000_000
BODY_TIMEOUT_S = 30.0
LARGE_BODY_TIMEOUT_S = 180.0
"""A whole survey's photos over a boat's own network."""
_LARGER = (("/import-photos", MAX_PHOTOS_BYTES), ("/import", MAX_IMPORT_BYTES), ("/photos", MAX_PHOTO_BYTES))
"""Where more may be sent, by the end of the path."""


def host_name(host: str) -> str:
    """The name in a ``Host`` header, lower case, without port and brackets."""
    if host.startswith("["):
        return host[1:].partition("]")[0].lower()
    return host.partition(":")[0].lower()


def is_same_origin(headers: Headers) -> bool:
    """Whether a request that may change something comes from one of our own pages.

    Browsers send ``Sec-Fetch-Site`` on loopback and TLS; on plain HTTP in a LAN ``Origin`` must do.
    """
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in {"same-origin", "none"}
    _, _, origin_host = headers.get("origin", "").partition("://")
    return origin_host != "" and origin_host.lower() == headers.get("host", "").lower()


class HostCheck:
    """Refuses a ``Host`` that is not ours (421): else a name that resolves to us would be of our origin."""

    def __init__(self, app: ASGIApp, names: Collection[str]) -> None:
        self.app = app
        self.names = LOOPBACK_NAMES | {name.lower() for name in names}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on when its host is known."""
        if scope["type"] == "http" and host_name(Headers(scope=scope).get("host", "")) not in self.names:
            message = (
                "This server does not answer to that name. Use the address that it printed when it started."
            )
            await error_response(Request(scope), 421, message)(scope, receive, send)
            return
        await self.app(scope, receive, send)


class OriginCheck:
    """Refuses a change asked for by a foreign page (403)."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on when it changes nothing or comes from our own pages."""
        if (
            scope["type"] == "http"
            and scope["method"] not in SAFE_METHODS
            and not is_same_origin(Headers(scope=scope))
        ):
            message = "Changes are taken only from Tapchart's own pages. Open the page here and try again."
            await error_response(Request(scope), 403, message)(scope, receive, send)
            return
        await self.app(scope, receive, send)


class BodyCap:
    """Reads the body first, up to a cap in bytes (413) and in time (408); imports may be larger."""

    def __init__(self, app: ASGIApp, timeout_s: float = BODY_TIMEOUT_S) -> None:
        self.app = app
        self.timeout_s = timeout_s

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on with its body already read."""
        if scope["type"] != "http" or scope["method"] in SAFE_METHODS:
            await self.app(scope, receive, send)
            return
        cap = next((most for end, most in _LARGER if scope["path"].endswith(end)), MAX_BODY_BYTES)
        timeout_s = LARGE_BODY_TIMEOUT_S if cap > MAX_IMPORT_BYTES else self.timeout_s
        try:
            body = await asyncio.wait_for(_read(receive, Headers(scope=scope), cap), timeout_s)
        except TimeoutError:
            message = f"The request did not arrive whole within {timeout_s:g} s. Nothing was changed."
            await error_response(Request(scope), 408, message, headers={"Connection": "close"})(
                scope, receive, send
            )
            return
        if body is None:
            message = f"More than {cap:,} bytes were sent; that is the limit here. Nothing was changed."
            await error_response(Request(scope), 413, message, headers={"Connection": "close"})(
                scope, receive, send
            )
            return
        await self.app(scope, _replay(body, receive), send)


async def _read(receive: Receive, headers: Headers, cap: int) -> bytes | None:
    """The whole body, or nothing when it is larger than the cap."""
    declared = headers.get("content-length", "0")
    if not declared.isdecimal() or int(declared[:20]) > cap:
        return None
    body = bytearray()
    more = True
    while more:
        message = await receive()
        body += message.get("body", b"")
        if len(body) > cap:
            return None
        more = message.get("more_body", False)
    return bytes(body)


def _replay(body: bytes, receive: Receive) -> Receive:
    unread = [body]

    async def replay() -> Message:
        if unread:
            return {"type": "http.request", "body": unread.pop(), "more_body": False}
        return await receive()

    return replay
