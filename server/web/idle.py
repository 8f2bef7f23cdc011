"""Looks for garbage while nobody waits, instead of in the middle of an answer.

What is kept of large boats is hundreds of thousands of values, hardly any of them in cycles. A full
collection looks at each of them, takes as long as an answer, and comes when an answer has made many new ones.
"""

import asyncio
import gc

from starlette.types import ASGIApp, Receive, Scope, Send

IDLE_S = 2.0
"""A full collection waits until nothing was asked for so long: a page asks for its late parts sooner."""
YOUNG = (5_000, 10)
"""How many new values call for a look at the youngest, and how many looks for one at those a little older."""
FULL = 2_000
"""Looks at the middle-aged before a full collection comes by itself, should the server never be idle."""


def leave_full_collections_to_idle_times() -> None:
    """Have the interpreter collect only young garbage by itself."""
    gc.set_threshold(*YOUNG, FULL)


class CollectWhenIdle:
    """Collects garbage once no request has been under way for a while."""

    def __init__(self, app: ASGIApp, idle_s: float = IDLE_S) -> None:
        """Stand before an app."""
        self._app = app
        self._idle_s = idle_s
        self._under_way = 0
        self._planned: asyncio.TimerHandle | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on; plan a collection after the last one."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        if self._planned is not None:
            self._planned.cancel()
        self._under_way += 1
        try:
            await self._app(scope, receive, send)
        finally:
            self._under_way -= 1
            if not self._under_way:
                self._planned = asyncio.get_running_loop().call_later(self._idle_s, gc.collect)
