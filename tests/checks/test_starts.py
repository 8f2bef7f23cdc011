"""Starts that open a device for nothing, and jams that never do."""

from typing import Any

import pytest

from server.actions import in_time
from server.actions.answers import answer
from server.actions.results import Results
from server.boat.finding import Finding
from server.checks.starts import opening_for_nothing, stalled_motors
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, small, wire

HOLDS = [{"multiple": 1.5, "shortest_s": 20.0, "longest_s": 500.0},
         {"multiple": 8.0, "shortest_s": 1.0, "longest_s": 20.0}]  # fmt: skip
NERVOUS = [{"multiple": 1.5, "shortest_s": 0.0, "longest_s": 0.02}]
UNSURE = [{"multiple": 1.5, "shortest_s": 0.1, "longest_s": 20.0},
          {"multiple": 8.0, "shortest_s": 0.05, "longest_s": 2.0}]  # fmt: skip


def winch(curve: list[dict[str, float]] | None = None, **motor: object) -> dict[str, Any]:
    """A winch of 20 A, 100 A at a standstill, on a 25 A breaker of its own."""
    body = small()
    part(body, "fuse").update({"rating_a": 400.0, "device_class": "class-t"})
    demand = {"kind": "motor", "running_current_a": 20.0, "inrush_current_a": 100.0, "inrush_voltage_v": 12.0}
    body["parts"] += [
        {"kind": "breaker", "id": "own", "name": "Winch breaker", "rating_a": 25.0, "curve": curve,
         "device_class": "thermal-magnetic-breaker"},
        {"kind": "load", "id": "winch", "name": "Winch", "role": "winch", "heavy": True,
         "inputs": [{"id": "motor", "demand": {**demand, "run_up_s": 0.5, **motor}}]},
    ]  # fmt: skip
    body["conductors"] += [
        wire("w1", "plus/stud-3", "own/line"),
        wire("w2", "own/load", "winch/motor"),
        wire("w3", "winch/negative", "minus/stud-4"),
    ]
    body["modes"][0]["on"].append({"part": "winch"})
    return body


def at_start(body: dict[str, Any]) -> list[Finding]:
    boat = read(body)
    return list(opening_for_nothing(boat, analyse_mode(boat, "sailing")))


def stalled(body: dict[str, Any]) -> list[Finding]:
    boat = read(body)
    return list(stalled_motors(boat, analyse_mode(boat, "sailing", events=())))


def test_a_device_that_stands_the_whole_inrush_for_the_whole_run_up_is_not_spoken_of() -> None:
    assert at_start(winch(HOLDS)) == []


def test_a_device_that_opens_within_a_tenth_of_the_run_up_opens_for_nothing() -> None:
    """About three times its rating; after 50 of 500 ms still 74 % of the inrush (e^-0.3)."""
    (one,) = at_start(winch(NERVOUS))

    assert (one.code, one.severity, one.subjects) == ("opens-at-start", "fault", ("own", "winch"))
    assert one.figure is not None
    assert 70 < one.figure.value < 90
    assert "as it runs up in up to 0.5 s: it opens after at most 0.02 s." in one.message


def test_a_device_that_opens_at_the_first_instant_alone_is_not_condemned() -> None:
    """At 2.7 times its rating it opens; after a tenth of the run-up 74 % of three times are 2.3."""
    (one,) = at_start(winch([{"multiple": 2.7, "shortest_s": 0.0, "longest_s": 0.02}]))

    assert one.severity == "cannot-tell"


def test_between_both_the_curve_has_to_be_looked_up() -> None:
    (one,) = at_start(winch(UNSURE))

    assert one.severity == "cannot-tell"
    assert "look up its time-current curve and how long the start takes" in one.message


def test_an_assumed_band_never_decides_and_is_quiet_where_it_lies_on_both_sides() -> None:
    assert at_start(winch()) == []
    (one,) = at_start(winch(NERVOUS, run_up_s=None))
    assert one.severity == "cannot-tell"


def test_an_assumed_band_that_opens_wholly_asks_for_the_curve() -> None:
    """At 40 times its rating a blade fuse is open within 20 ms by any curve."""
    body = winch(None, inrush_current_a=600.0, inrush_voltage_v=6.0, run_up_s=1.0)
    part(body, "own").update({"device_class": "blade", "rating_a": 5.0})
    part(body, "house")["internal_resistance_ohm"] = 0.001
    for one in body["conductors"]:
        one["length_m"] = 0.1

    (one,) = at_start(body)

    assert (one.severity, one.source_status) == ("cannot-tell", "memory")


def rewire(body: dict[str, Any]) -> None:
    """Land on the terminal that outboards and inverters have where a winch has its motor's."""
    next(one for one in body["conductors"] if one["id"] == "w2")["head"]["terminal"] = "positive"


def test_a_start_without_a_motor_is_left_out_and_an_outboards_is_not() -> None:
    heater = winch(NERVOUS)
    part(heater, "winch")["inputs"][0]["demand"] = {"kind": "constant-current", "current_a": 60.0}
    assert at_start(heater) == []
    inverter = winch(NERVOUS)
    inverter["parts"] = [one for one in inverter["parts"] if one["id"] != "winch"]
    inverter["parts"].append(
        {"kind": "inverter", "id": "winch", "name": "Inverter", "rated_power_w": 500.0, "heavy": True}
    )
    rewire(inverter)
    assert at_start(inverter) == []
    outboard = winch(NERVOUS)
    outboard["parts"] = [one for one in outboard["parts"] if one["id"] != "winch"]
    starter = {
        "kind": "motor",
        "running_current_a": 30.0,
        "inrush_current_a": 150.0,
        "inrush_voltage_v": 12.0,
    }
    outboard["parts"].append({"kind": "outboard", "id": "winch", "name": "Outboard", "starter": starter})
    rewire(outboard)

    (one,) = at_start(outboard)

    assert one.severity == "cannot-tell"
    assert one.message.startswith("When the engine starts")


def test_a_starters_run_up_is_its_own_assumption() -> None:
    body = winch(UNSURE, run_up_s=None)
    part(body, "winch")["role"] = "starter"

    (one,) = at_start(body)

    assert "in up to 0.4 s" in one.message


SLOW = [{"multiple": 1.5, "shortest_s": 60.0, "longest_s": 100.0},
        {"multiple": 1.7, "shortest_s": 60.0, "longest_s": 100.0},
        {"multiple": 8.0, "shortest_s": 10.0, "longest_s": 100.0}]  # fmt: skip


def test_a_long_use_above_the_rating_opens_it_though_the_start_does_not() -> None:
    """40 A on 25 A are 1.6 times its rating: open after 60 to 100 s; the start uses next to nothing."""
    body = winch(SLOW, running_current_a=40.0)
    assert at_start(body) == []
    part(body, "winch").update({"duty": "short-time", "duty_on_s": 120.0})

    (one,) = at_start(body)

    assert (one.code, one.severity) == ("opens-at-start", "fault")
    assert "then 40 A for 120 s: it opens after 60 to 100 s." in one.message
    part(body, "winch")["duty_on_s"] = 50.0
    assert at_start(body) == []
    part(body, "winch").update({"duty": "continuous", "duty_on_s": None})
    assert [finding.severity for finding in at_start(body)] == ["fault"]


def test_the_event_in_time_is_followed_along_its_own_current() -> None:
    """Held for two minutes by its steps, the winch runs at 40 A through 25 A all that time.

    Its start stays above 1.7 times the rating for half a second: a twentieth of the 10 s, so 3 s of the 60.
    """
    body = winch(SLOW, running_current_a=40.0)
    steps = [
        {"at_s": 0.0, "part": "winch", "action": "press"},
        {"at_s": 120.0, "part": "winch", "action": "release"},
    ]
    body["events"] = [
        {"id": "haul", "name": "Haul", "mode": "sailing", "heavy": {"part": "winch", "input": "motor"},
         "steps": steps}
    ]  # fmt: skip
    boat = read(body)
    results = Results()
    solved = in_time.whole(results, "winch", boat, answer(results, "winch", boat, "sailing"))

    (one,) = opening_for_nothing(boat, solved)

    assert one.severity == "fault"
    assert "it opens after 57 to 100 s." in one.message
    assert {device.element for info in solved.events for device in info.devices or ()} == {"own", "fuse"}


def jammed(running_a: float, fuse_a: float, **more: object) -> dict[str, Any]:
    body = winch(HOLDS, running_current_a=running_a, **more)
    part(body, "own")["rating_a"] = fuse_a
    return body


def test_a_jam_below_the_rating_on_a_lead_that_cannot_carry_it_is_a_danger() -> None:
    """10 AWG of 105 °C may carry 60 A (33 CFR 183.425 Table 5); the winch draws 100 A when jammed."""
    (one,) = stalled(jammed(20.0, 120.0))

    assert (one.code, one.severity, one.subjects) == ("stall-does-not-open", "danger", ("winch",))
    assert "never opens, and its lead may carry 60 A." in one.message
    assert one.rule_kind == "standard"


def test_a_jam_that_the_lead_can_carry_asks_for_the_motors_own_protector() -> None:
    (one,) = stalled(jammed(20.0, 60.0, inrush_current_a=50.0))

    assert one.severity == "cannot-tell"
    assert "look on the motor for a thermal protector" in one.message


def test_a_lead_of_unknown_ampacity_condemns_nothing() -> None:
    body = jammed(20.0, 120.0)
    for one in body["conductors"]:
        one["insulation_c"] = None

    assert [one.severity for one in stalled(body)] == ["cannot-tell"]


def test_a_stall_known_as_a_range_about_the_rating_is_left_open() -> None:
    (one,) = stalled(jammed(20.0, 120.0, inrush_current_a={"low": 80.0, "high": 200.0}))

    assert one.severity == "cannot-tell"
    assert "draws 80 to 200 A: “Winch breaker” of 120 A may never open" in one.message


def test_an_assumed_stall_condemns_nothing() -> None:
    """20 A running, taken 6 to 12 times at a standstill (rows of the assumptions): 120 to 240 A."""
    (one,) = stalled(jammed(20.0, 250.0, inrush_current_a=None))

    assert one.severity == "cannot-tell"
    assert "draws 120 to 240 A" in one.message
    assert "its stalled current is assumed: look it up" in one.message


@pytest.mark.parametrize("role", ["pump", "windlass"])
def test_every_role_has_its_multiple(role: str) -> None:
    body = jammed(20.0, 1000.0, inrush_current_a=None)
    part(body, "winch")["role"] = role

    low, high = {"pump": (120, 200), "windlass": (80, 160)}[role]
    assert f"draws {low} to {high} A" in stalled(body)[0].message


def test_a_jam_that_opens_late_burns_its_lead() -> None:
    """By (k S / I)², k 87.6 to 134.8: 0.5 mm² stands 200 A for 48 to 114 ms; the device takes a second."""
    thin = {"label": "20 AWG", "area_mm2": 0.5, "resistance_ohm_per_m": 0.0333}
    body = jammed(20.0, 25.0, inrush_current_a=200.0)
    next(one for one in body["conductors"] if one["id"] == "w2").update({"size": thin, "length_m": 0.5})

    (one,) = stalled(body)

    assert one.severity == "danger"
    assert "opens after 1 to 20 s, and its lead burns after 0.048 to 0.11 s." in one.message
    part(body, "own")["curve"] = UNSURE
    assert stalled(body)[0].severity == "cannot-tell"
    part(body, "own")["curve"] = None
    assert stalled(body) == []


def test_a_jam_that_opens_in_time_a_starter_and_a_lead_of_no_size_are_not_spoken_of() -> None:
    assert stalled(winch(HOLDS)) == []
    starter = jammed(20.0, 120.0)
    part(starter, "winch")["role"] = "starter"
    assert stalled(starter) == []
    unsized = winch(NERVOUS)
    next(one for one in unsized["conductors"] if one["id"] == "w2").update(
        {"size": None, "measured_resistance_ohm": 0.01}
    )
    assert stalled(unsized) == []
