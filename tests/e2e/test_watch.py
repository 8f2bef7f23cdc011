"""What must fail a browser test is seen: each trouble is made on purpose."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.e2e.conftest import LiveServer
from tests.e2e.watch import Watch


@pytest.fixture
def watch(live_server: LiveServer) -> Watch:
    return Watch(live_server.url)


@pytest.fixture
def watched(browser: Browser, live_server: LiveServer, watch: Watch) -> Iterator[Page]:
    context = browser.new_context(base_url=live_server.url)
    page = context.new_page()
    watch.over(page)
    yield page
    context.close()


@pytest.mark.parametrize("kind", ["error", "warning", "log"])
def test_a_console_message_is_noted(watched: Page, watch: Watch, kind: str) -> None:
    with watched.expect_console_message():
        watched.evaluate(f"console.{kind.removesuffix('ing')}('made on purpose')")

    assert watch.troubles == [f"console {kind}: made on purpose"]


def test_a_script_error_is_noted(watched: Page, watch: Watch) -> None:
    with watched.expect_event("pageerror"):
        watched.evaluate("queueMicrotask(() => { throw new Error('made on purpose') })")

    assert watch.troubles == ["script: made on purpose"]


def test_a_request_that_leaves_the_machine_is_noted_and_goes_nowhere(watched: Page, watch: Watch) -> None:
    with watched.expect_event("requestfailed"):
        watched.evaluate("open('http://other.example/', '_self'); 0")

    assert watch.troubles[0] == "left the machine: http://other.example/"


def test_only_the_expected_status_is_no_trouble(watched: Page, watch: Watch) -> None:
    watch.expected_statuses.add(404)
    watched.goto("/nowhere")
    assert watch.troubles == []
    watch.expected_statuses.clear()
    with watched.expect_console_message():
        watched.goto("/nowhere")

    assert len(watch.troubles) == 1
