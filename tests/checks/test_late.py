"""Slower checks come late: what is found at once is a part of all that is found."""

import pytest

from server.checks.judge import BOAT_CHECKS, EVENT_CHECKS, LATE, MODE_CHECKS, findings, findings_at_once
from server.engine.analysis import analyse_mode
from tests.engine.demo import DEMO_BOATS, demo_boat


@pytest.mark.parametrize("name", DEMO_BOATS)
def test_what_is_found_at_once_stays_when_the_rest_has_come(name: str) -> None:
    boat = demo_boat(name)
    answer = analyse_mode(boat, boat.modes[-1].id, explained=())

    at_once, every = findings_at_once(boat, answer), findings(boat, answer)

    assert [one for one in every if one in at_once] == list(at_once)


def test_only_known_checks_come_late_and_none_of_what_an_event_does() -> None:
    assert {*BOAT_CHECKS, *EVENT_CHECKS, *MODE_CHECKS} >= LATE
    assert "event_findings" not in {check.__name__ for check in LATE}
