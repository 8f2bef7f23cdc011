"""Garbage is collected while nobody waits."""

import asyncio
import gc
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from starlette.types import Message, Receive, Scope, Send

from server.web.idle import FULL, YOUNG, CollectWhenIdle, leave_full_collections_to_idle_times

HTTP: Scope = {"type": "http"}
MANY_TURNS = 50


class FullCollections:
    """Counts the full collections, and tells a waiting loop of them."""

    def __init__(self) -> None:
        self.count = 0
        self.came = asyncio.Event()

    def __call__(self, phase: str, info: dict[str, Any]) -> None:
        if (
            phase == "stop"
            and info["generation"] == 2
            and threading.current_thread() is threading.main_thread()
        ):
            self.count += 1
            self.came.set()


@pytest.fixture
def collections() -> Iterator[FullCollections]:
    """Full collections, none of which comes by itself."""
    thresholds, counter = gc.get_threshold(), FullCollections()
    gc.set_threshold(0)
    gc.callbacks.append(counter)
    yield counter
    gc.callbacks.remove(counter)
    gc.set_threshold(*thresholds)


async def _receive() -> Message:
    return {"type": "http.request"}


async def _send(_message: Message) -> None:
    return None


async def _at_once(_scope: Scope, _receive: Receive, _send: Send) -> None:
    return None


def test_a_full_collection_follows_the_last_answer(collections: FullCollections) -> None:
    async def visit() -> None:
        await CollectWhenIdle(_at_once, idle_s=0.0)(HTTP, _receive, _send)
        assert collections.count == 0
        await asyncio.wait_for(collections.came.wait(), 10)

    asyncio.run(visit())

    assert collections.count == 1


def test_nothing_is_collected_while_another_request_is_under_way(collections: FullCollections) -> None:
    async def visit() -> int:
        release = asyncio.Event()

        async def app(scope: Scope, _receive: Receive, _send: Send) -> None:
            if scope.get("path") == "/slow":
                await release.wait()

        idle = CollectWhenIdle(app, idle_s=0.0)
        slow = asyncio.create_task(idle({**HTTP, "path": "/slow"}, _receive, _send))
        await asyncio.sleep(0)
        await idle(HTTP, _receive, _send)
        for _ in range(MANY_TURNS):
            await asyncio.sleep(0)
        before = collections.count
        release.set()
        await slow
        await asyncio.wait_for(collections.came.wait(), 10)
        return before

    assert asyncio.run(visit()) == 0


def test_a_new_request_puts_a_planned_collection_off(collections: FullCollections) -> None:
    async def visit() -> int:
        idle = CollectWhenIdle(_at_once, idle_s=0.0)
        await idle(HTTP, _receive, _send)
        await idle(HTTP, _receive, _send)
        await asyncio.wait_for(collections.came.wait(), 10)
        for _ in range(MANY_TURNS):
            await asyncio.sleep(0)
        return collections.count

    assert asyncio.run(visit()) == 1


def test_the_life_of_the_app_is_no_request(collections: FullCollections) -> None:
    async def visit() -> None:
        await CollectWhenIdle(_at_once, idle_s=0.0)({"type": "lifespan"}, _receive, _send)
        for _ in range(MANY_TURNS):
            await asyncio.sleep(0)

    asyncio.run(visit())

    assert collections.count == 0


def test_by_itself_the_interpreter_looks_at_young_values_alone() -> None:
    thresholds = gc.get_threshold()
    try:
        leave_full_collections_to_idle_times()
        assert gc.get_threshold() == (*YOUNG, FULL)
    finally:
        gc.set_threshold(*thresholds)
