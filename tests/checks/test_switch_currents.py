"""Switches against the currents through them: the small boat with a winch or a starter behind its switch."""

from typing import Any

import pytest

from server.boat.finding import Finding
from server.checks.switch_currents import cranking_through_switches, overloaded_switches
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, small, wire


def with_load(amps: float, **more: object) -> dict[str, Any]:
    body = small()
    demand = {"kind": "constant-current", "current_a": amps}
    body["parts"].append(
        {"kind": "load", "id": "winch", "name": "Winch", "role": "winch",
         "inputs": [{"id": "main", "demand": demand}], **more}
    )  # fmt: skip
    body["conductors"] += [
        wire("h1", "plus/stud-3", "winch/main"),
        wire("h2", "winch/negative", "minus/stud-4"),
    ]
    body["modes"][0]["on"] = [{"part": "winch"}]
    return body


def steady(body: dict[str, Any], **ratings: float) -> list[Finding]:
    part(body, "switch").update(ratings)
    boat = read(body)
    return list(overloaded_switches(boat, analyse_mode(boat, "sailing")))


def test_what_runs_all_day_is_held_to_the_continuous_rating() -> None:
    (one,) = steady(with_load(70.0), continuous_a=50.0, five_minute_a=100.0)

    assert (one.code, one.severity) == ("over-rating", "fault")
    assert one.message == "Battery switch carries 70 A; it may carry 50 A all day."
    assert steady(with_load(70.0), continuous_a=80.0) == []
    assert steady(with_load(70.0)) == []


def test_what_runs_for_a_short_time_is_held_to_five_minutes() -> None:
    assert steady(with_load(70.0, duty="momentary"), continuous_a=50.0, five_minute_a=100.0) == []
    brief = {"duty": "short-time", "duty_on_s": 120.0}
    assert steady(with_load(70.0, **brief), continuous_a=50.0, five_minute_a=100.0) == []

    (over,) = steady(with_load(70.0, **brief), continuous_a=50.0, five_minute_a=60.0)

    assert over.message == "Battery switch carries 70 A; it may carry 60 A for five minutes."


@pytest.mark.parametrize(
    ("brief", "ratings"),
    [
        ({"duty": "short-time"}, {"five_minute_a": 100.0}),
        ({"duty": "short-time", "duty_on_s": 600.0}, {"five_minute_a": 100.0}),
        ({"duty": "momentary"}, {}),
    ],
)
def test_how_long_it_runs_or_what_the_switch_stands_for_that_time_must_be_known(
    brief: dict[str, Any], ratings: dict[str, float]
) -> None:
    (one,) = steady(with_load(70.0, **brief), continuous_a=50.0, **ratings)

    assert one.severity == "cannot-tell"
    assert "Winch in it run for a short time; see how long" in one.message


def with_starter(role: str = "starter", demand: dict[str, Any] | None = None) -> dict[str, Any]:
    """A starter that turns with 150 A and takes 400 A at 10 V when it stands: 25 mΩ."""
    body = small()
    motor = {"kind": "motor", "running_current_a": 150.0, "inrush_current_a": 400.0, "inrush_voltage_v": 10.0}
    body["parts"].append(
        {"kind": "load", "id": "starter", "name": "Starter", "role": role, "heavy": True,
         "inputs": [{"id": "main", "demand": demand or motor}]}
    )  # fmt: skip
    body["conductors"] += [
        wire("s1", "plus/stud-3", "starter/main", length_m=0.1),
        wire("s2", "starter/negative", "minus/stud-4", length_m=0.1),
    ]
    return body


def cranked(body: dict[str, Any], **ratings: float) -> list[Finding]:
    part(body, "switch").update(ratings)
    boat = read(body)
    return list(cranking_through_switches(boat, analyse_mode(boat, "sailing")))


def test_a_switch_is_rated_for_the_largest_cranking_current_it_serves() -> None:
    """ABYC E-11 11.6.1.2.3: intermittent rating not below the largest cranking motor current served."""
    (one,) = cranked(with_starter(), cranking_a=100.0)

    assert (one.code, one.severity, one.rule_kind) == ("switch-intermittent", "fault", "standard")
    assert one.source == "ABYC E-11 11.6.1.2.3"
    assert one.figure is not None
    assert one.figure.value == pytest.approx(150.0, rel=0.2)
    assert one.message.startswith("When the engine starts, the battery switch carries about 1")
    assert cranked(with_starter(), cranking_a=900.0) == []


def test_between_turning_and_standing_still_only_the_maker_can_say() -> None:
    (one,) = cranked(with_starter(), cranking_a=200.0)

    assert one.severity == "cannot-tell"
    assert one.message.endswith("ask its maker what it stands before the engine turns.")


def test_without_a_cranking_rating_it_is_to_be_looked_up_unless_another_rating_suffices() -> None:
    (one,) = cranked(with_starter(), continuous_a=50.0)

    assert one.severity == "cannot-tell"
    assert one.limit is None
    assert "look on it for its cranking or intermittent rating" in one.message
    assert cranked(with_starter(), continuous_a=300.0) == []
    assert cranked(with_starter(), continuous_a=50.0, five_minute_a=300.0) == []


def test_a_contact_that_is_no_battery_switch_need_not_state_one() -> None:
    assert cranked(with_starter(), is_battery_switch=False, continuous_a=50.0) == []


def test_other_heavy_loads_are_no_cranking_motors() -> None:
    assert cranked(with_starter(role="windlass"), cranking_a=100.0) == []
    current = {"kind": "constant-current", "current_a": 150.0}
    assert cranked(with_starter(demand=current), cranking_a=100.0) == []


def test_a_switch_beside_the_starters_way_is_not_judged() -> None:
    body = with_starter()
    second = dict(part(body, "switch")) | {"id": "second", "name": "Second", "cranking_a": 1.0}
    body["parts"].append(second)
    body["conductors"] += [wire("x1", "plus/stud-5", "second/in")]

    assert [one.subjects for one in cranked(body)] == [("switch", "starter")]


def test_an_outboards_starter_counts_too() -> None:
    body = small()
    motor = {"kind": "motor", "running_current_a": 150.0, "inrush_current_a": 400.0, "inrush_voltage_v": 10.0}
    body["parts"].append({"kind": "outboard", "id": "ob", "name": "Outboard", "starter": motor})
    body["conductors"] += [
        wire("s1", "plus/stud-3", "ob/positive", length_m=0.1),
        wire("s2", "ob/negative", "minus/stud-4", length_m=0.1),
    ]

    assert [one.code for one in cranked(body, cranking_a=100.0)] == ["switch-intermittent"]
