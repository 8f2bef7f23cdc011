"""What is shown adds up with a pocket calculator, and an element has one figure wherever it is shown."""

import re

from hypothesis import given
from hypothesis import strategies as st

from server.checks.shown_shares import between, dip_shares, rounded_to_sum
from server.checks.working import working
from server.web.views.event_why import splits
from tests.checks.test_working import restarting


@given(st.lists(st.floats(-20, 20), min_size=1, max_size=30), st.sampled_from([-1, 0, 1]))
def test_rounded_parts_make_the_total_and_move_by_a_hundredth_or_little_more(
    parts: list[float], off: int
) -> None:
    total = (round(sum(parts) * 100) + off) / 100

    told = rounded_to_sum(parts, total)

    assert round(sum(told), 2) == total
    assert all(abs(one - exact) <= 0.02 + 1e-6 for one, exact in zip(told, parts, strict=True))


def test_nothing_is_rounded_to_nothing() -> None:
    assert rounded_to_sum([], 0.0) == ()


def test_a_difference_is_that_of_the_shown_figures() -> None:
    assert between(12.346, 7.2749) == 5.08
    assert round(12.346 - 7.2749, 2) == 5.07


def test_the_finding_and_the_events_page_tell_the_same_share_of_each_element() -> None:
    patient = restarting(followed=True)
    (autopilot,) = (load for load in patient.modes[0].loads if load.id == "autopilot.supply")
    point = autopilot.events[0].in_time
    assert point is not None
    shown = {(cause.name, cause.cause): volts for cause, volts in dip_shares(point)}
    steps = {one.what: one.result for one in working(patient)}
    (dip, *_) = splits(point)

    told = [name for name, cause in shown if f"{name}, by its {cause}" in steps]
    assert len(told) > 3
    for (name, cause), volts in shown.items():
        assert steps.get(f"{name}, by its {cause}", f"{volts:.2f} V") == f"{volts:.2f} V"
    assert round(sum(float(re.sub(" V", "", row.volts.replace("−", "-"))) for row in dip.rows), 2) == between(
        point.before_v, point.lowest.value
    )
