"""What all tests share: in CI a skipped, deselected or missing test is a failure."""

import os
from collections.abc import Sequence

import pytest
from xdist.remote import Producer  # type: ignore[import-untyped]
from xdist.scheduler import LoadScopeScheduling  # type: ignore[import-untyped]

BROWSER_TESTS = "tests/e2e/"
_left_out: list[str] = []


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Remember what was skipped, or failed as it was expected to."""
    if report.skipped:
        _left_out.append(report.nodeid)


def pytest_collectreport(report: pytest.CollectReport) -> None:
    """Remember whole files that were skipped."""
    if report.skipped:
        _left_out.append(report.nodeid)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Browser tests come first: they take longest, and of processes that share the tests one takes all."""
    items.sort(key=lambda item: "e2e" not in item.path.parts)


class BrowserTestsTogether(LoadScopeScheduling):  # type: ignore[misc] # a library without types
    """Every test goes to whichever process is free, but the browser tests to one."""

    def _split_scope(self, nodeid: str) -> str:
        return BROWSER_TESTS if nodeid.startswith(BROWSER_TESTS) else nodeid


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> BrowserTestsTogether:
    """How processes share the tests."""
    return BrowserTestsTogether(config, log)


def pytest_deselected(items: Sequence[pytest.Item]) -> None:
    """Remember what was left out by choice."""
    _left_out.extend(item.nodeid for item in items)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """In CI, leaving out is failing; a run that collected nothing fails by pytest's own rule."""
    if os.environ.get("CI") and _left_out and session.exitstatus == pytest.ExitCode.OK:
        print(f"\nCI: {len(_left_out)} tests were left out, the first is {_left_out[0]}")
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
