"""A live server, a browser, and pages that report everything that goes wrong in them.

``page`` runs a test twice, as ``desk`` and as ``tablet``; ``open_page("desk")`` gives further pages.
``live_server`` is a server over an empty data folder, started anew for each test; a module whose tests
leave the demo boats as they are (a move opens an option) lets it be ``lasting_server``, which has computed
them already.
A page fails its test on script errors, console messages and requests that leave the machine.
Chromium reports every answer of 400 and above on the console: announce one that a test provokes
on purpose with ``expected_statuses.add(422)``.
Hands wait until the page listens (``calm.py``).
With ``TAPCHART_SLOW=1`` pages run on a fourth of the processor and every answer comes up to 0.8 s late,
by chance; ``TAPCHART_SLOW=2`` draws other chances. What passes so passes on a busy machine.
"""

import asyncio
import os
import random
import re
import threading
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypedDict

import pytest
from coverage import Coverage
from fastapi import FastAPI
from playwright.sync_api import Browser, Page, ViewportSize, expect, sync_playwright
from starlette.types import ASGIApp, Receive, Scope, Send

from server.main import create_app, listening_socket, web_server
from server.settings import Settings
from tests.e2e import calm
from tests.e2e.browser import launch
from tests.e2e.watch import Watch

Device = Literal["desk", "tablet"]
OpenPage = Callable[[Device], Page]

ARTIFACTS = Path(__file__).resolve().parents[1] / "artifacts"
PAGE_TIMEOUT_MS = 60_000
expect.set_options(timeout=PAGE_TIMEOUT_MS)
PATIENT = """document.addEventListener("htmx:configRequest", ({ detail }) => {
  detail.timeout = Math.max(detail.timeout, 240000);
});"""
"""A busy machine is no server that does not answer: how fast pages are is the bench's to say."""
SLOW = os.environ.get("TAPCHART_SLOW", "")
SLOWER_TIMES = 4
MOST_LATE_S = 0.8
_FAILED = pytest.StashKey[bool]()


class _Context(TypedDict, total=False):
    viewport: ViewportSize
    has_touch: bool
    is_mobile: bool
    device_scale_factor: float


DEVICES: dict[Device, _Context] = {
    "desk": {"viewport": {"width": 1180, "height": 820}},
    "tablet": {
        "viewport": {"width": 820, "height": 1180},
        "has_touch": True,
        "is_mobile": True,
        "device_scale_factor": 2,
    },
}


@dataclass(frozen=True)
class LiveServer:
    """A running server: its address and the app behind it."""

    url: str
    app: FastAPI


class Late:
    """Every answer but that of a file of ours comes late, each by a time of its own."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app
        self.chance = random.Random(SLOW)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Wait, then answer."""
        if scope["type"] == "http" and not scope["path"].startswith(("/static/", "/lib/")):
            await asyncio.sleep(self.chance.uniform(0, MOST_LATE_S))
        await self.app(scope, receive, send)


@pytest.fixture(scope="package", autouse=True)
def patient_hands() -> Iterator[None]:
    """Hands wait until the page listens."""
    with pytest.MonkeyPatch.context() as patch:
        calm.patient_locators(patch)
        yield


@pytest.fixture(scope="package", autouse=True)
def untraced() -> Iterator[None]:
    """Pages are tried at the speed a person meets: the tests below the browser carry the coverage."""
    tracing = Coverage.current()
    if tracing is not None:
        tracing.stop()
    yield
    if tracing is not None:
        tracing.start()


@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    """Closed with the last of these tests: playwright's event loop runs in the main thread until then."""
    with sync_playwright() as playwright:
        browser = launch(playwright)
        yield browser
        browser.close()


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """How the live server runs; a test module may give its own."""
    return Settings(data_dir=tmp_path / "boats", demo=True, port=0)


@pytest.fixture
def live_server(settings: Settings) -> Iterator[LiveServer]:
    with _serving(settings) as server:
        yield server


@pytest.fixture(scope="package")
def lasting_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveServer]:
    """One for all tests that leave the demo boats as they are, for what it has computed once."""
    with _serving(Settings(data_dir=tmp_path_factory.mktemp("lasting"), demo=True, port=0)) as server:
        yield server


@contextmanager
def _serving(settings: Settings) -> Iterator[LiveServer]:
    app = create_app(settings)
    if SLOW:
        app.add_middleware(Late)
    # The socket listens before the server runs: an early request waits in its queue.
    with listening_socket(settings) as listener:
        server = web_server(app)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        yield LiveServer(f"http://127.0.0.1:{listener.getsockname()[1]}", app)
        server.should_exit = True
        thread.join()


@pytest.fixture
def expected_statuses() -> set[int]:
    """Error statuses that the test provokes on purpose."""
    return set()


@pytest.fixture
def open_page(
    browser: Browser, live_server: LiveServer, request: pytest.FixtureRequest, expected_statuses: set[int]
) -> Iterator[OpenPage]:
    """Opens a page in a context of its own; paths given to ``goto`` are relative to the live server."""
    pages: list[Page] = []
    watch = Watch(live_server.url, expected_statuses)

    def open_(device: Device) -> Page:
        context = browser.new_context(base_url=live_server.url, **DEVICES[device])
        context.set_default_timeout(PAGE_TIMEOUT_MS)
        context.add_init_script(PATIENT)
        context.add_init_script(calm.WATCH)
        page = context.new_page()
        watch.over(page)
        calm.watch(page)
        if SLOW:
            context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER_TIMES})
        pages.append(page)
        return page

    yield open_
    try:
        for page in pages:
            _let_late_answers_come(page)
        if watch.troubles or request.node.stash.get(_FAILED, False):
            _keep_pictures(request.node.nodeid, pages)
    finally:
        for page in pages:
            page.context.close()
    assert watch.troubles == []


def _let_late_answers_come(page: Page) -> None:
    """What a page asked for by itself is not cut off: the browser would complain of it."""
    if not page.is_closed():
        page.wait_for_function("() => !document.querySelector('.htmx-request')", timeout=LATE_TIMEOUT_MS)


LATE_TIMEOUT_MS = 240_000


@pytest.fixture(params=["desk", "tablet"])
def page(open_page: OpenPage, request: pytest.FixtureRequest) -> Page:
    """A page on each device in turn."""
    return open_page(request.param)


def _keep_pictures(nodeid: str, pages: list[Page]) -> None:
    ARTIFACTS.mkdir(exist_ok=True)
    name = re.sub(r"[^a-zA-Z0-9]+", "-", nodeid).strip("-")
    for number, page in enumerate(pages, start=1):
        if not page.is_closed():
            page.screenshot(path=ARTIFACTS / f"{name}-{number}.png", full_page=True)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Tell the fixtures whether the test failed; a run of its own counts anew."""
    report = yield
    item.stash[_FAILED] = report.failed or (report.when != "setup" and item.stash.get(_FAILED, False))
    return report
