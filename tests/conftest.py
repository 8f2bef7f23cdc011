"""What all tests share: in CI a skipped, deselected or missing test is a failure."""

import os
from collections.abc import Sequence

import pytest

_left_out: list[str] = []


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Remember what was skipped, or failed as it was expected to."""
    if report.skipped:
        _left_out.append(report.nodeid)


def pytest_collectreport(report: pytest.CollectReport) -> None:
    """Remember whole files that were skipped."""
    if report.skipped:
        _left_out.append(report.nodeid)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Browser tests come first and together: of two processes that share the tests, one takes these."""
    items.sort(key=lambda item: "e2e" not in item.path.parts)
    for item in items:
        if "e2e" in item.path.parts:
            item.add_marker(pytest.mark.xdist_group("browser"))


def pytest_deselected(items: Sequence[pytest.Item]) -> None:
    """Remember what was left out by choice."""
    _left_out.extend(item.nodeid for item in items)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """In CI, leaving out is failing; a run that collected nothing fails by pytest's own rule."""
    if os.environ.get("CI") and _left_out and session.exitstatus == pytest.ExitCode.OK:
        print(f"\nCI: {len(_left_out)} tests were left out, the first is {_left_out[0]}")
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
