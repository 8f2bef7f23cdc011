"""What all tests share: in CI a skipped, deselected or missing test is a failure.

There a browser test that fails is run once more, on a machine that may be busy with anything; the report
names it and tells how it failed, for that is a fault of the page or of the test all the same.
"""

import os
from collections.abc import Sequence

import pytest
from xdist.remote import Producer  # type: ignore[import-untyped]
from xdist.scheduler import LoadScopeScheduling  # type: ignore[import-untyped]

BROWSER_TESTS = "tests/e2e/"
_left_out: list[str] = []
_run_again: list[pytest.TestReport] = []


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Remember what was skipped, or failed as it was expected to, and what is run again."""
    if report.skipped:
        _left_out.append(report.nodeid)
    if report.outcome == "rerun":  # type: ignore[comparison-overlap] # pytest-rerunfailures sets it
        _run_again.append(report)


def pytest_collectreport(report: pytest.CollectReport) -> None:
    """Remember whole files that were skipped."""
    if report.skipped:
        _left_out.append(report.nodeid)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Browser tests come first: they take longest, and of processes that share the tests one takes all."""
    items.sort(key=lambda item: not _in_a_browser(item))
    if os.environ.get("CI"):
        for item in filter(_in_a_browser, items):
            item.add_marker(pytest.mark.flaky(reruns=1))


def _in_a_browser(item: pytest.Item) -> bool:
    return "e2e" in item.path.parts


class BrowserTestsTogether(LoadScopeScheduling):  # type: ignore[misc] # a library without types
    """Every test goes to whichever process is free, but the browser tests to one."""

    def _split_scope(self, nodeid: str) -> str:
        return BROWSER_TESTS if nodeid.startswith(BROWSER_TESTS) else nodeid


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> BrowserTestsTogether:
    """How processes share the tests."""
    return BrowserTestsTogether(config, log)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Tell how each test failed that was run again."""
    for report in _run_again:
        terminalreporter.section(f"failed, then run again: {report.nodeid}")
        terminalreporter.line(report.longreprtext)


def pytest_deselected(items: Sequence[pytest.Item]) -> None:
    """Remember what was left out by choice."""
    _left_out.extend(item.nodeid for item in items)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """In CI, leaving out is failing; a run that collected nothing fails by pytest's own rule."""
    if os.environ.get("CI") and _left_out and session.exitstatus == pytest.ExitCode.OK:
        print(f"\nCI: {len(_left_out)} tests were left out, the first is {_left_out[0]}")
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
