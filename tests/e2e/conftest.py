"""A live server, a browser, and pages that report everything that goes wrong in them.

``page`` runs a test twice, as ``desk`` and as ``tablet``; ``open_page("desk")`` gives further pages.
``live_server`` is a server over an empty data folder, started anew for each test.
A page fails its test on script errors, console messages and requests that leave the machine.
Chromium reports every answer of 400 and above on the console: announce one that a test provokes
on purpose with ``expected_statuses.add(422)``.
"""

import re
import threading
from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypedDict

import pytest
from coverage import Coverage
from fastapi import FastAPI
from playwright.sync_api import Browser, Page, ViewportSize, expect, sync_playwright

from server.main import create_app, listening_socket, web_server
from server.settings import Settings
from tests.e2e.browser import launch
from tests.e2e.watch import Watch

Device = Literal["desk", "tablet"]
OpenPage = Callable[[Device], Page]

ARTIFACTS = Path(__file__).resolve().parents[1] / "artifacts"
PAGE_TIMEOUT_MS = 20_000
expect.set_options(timeout=PAGE_TIMEOUT_MS)
PATIENT = """document.addEventListener("htmx:configRequest", ({ detail }) => {
  detail.timeout = Math.max(detail.timeout, 30000);
});"""
"""A busy machine is no server that does not answer: how fast pages are is the bench's to say."""
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
    app = create_app(settings)
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
        page = context.new_page()
        watch.over(page)
        pages.append(page)
        return page

    yield open_
    for page in pages:
        _let_late_answers_come(page)
    if watch.troubles or request.node.stash.get(_FAILED, False):
        _keep_pictures(request.node.nodeid, pages)
    for page in pages:
        page.context.close()
    assert watch.troubles == []


def _let_late_answers_come(page: Page) -> None:
    """What a page asked for by itself is not cut off: the browser would complain of it."""
    if not page.is_closed():
        page.wait_for_function("() => !document.querySelector('.htmx-request')", timeout=LATE_TIMEOUT_MS)


LATE_TIMEOUT_MS = 30_000


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
    """Tell the fixtures whether the test failed."""
    report = yield
    if report.failed:
        item.stash[_FAILED] = True
    return report
