"""What a battery monitor misses: by Kirchhoff's law, bank post current less shunt current, hour by hour."""

from typing import Any

import pytest

from server.checks.monitor import monitor_errors
from server.engine.analysis import analyse_mode
from server.engine.uncounted import uncounted_currents
from tests.checks.small import move, part, read, small, wire


def two_modes(**more: object) -> dict[str, Any]:
    """The radio, and a fan of 4 A that comes back on the bank's post; 10 h and 2 h a day."""
    body = small()
    demand = {"kind": "constant-current", "current_a": 4.0}
    body["parts"].append(
        {"kind": "load", "id": "fan", "name": "Fan", "role": "other",
         "inputs": [{"id": "main", "demand": demand}]}
    )  # fmt: skip
    body["conductors"] += [
        wire("f1", "plus/stud-3", "fan/main"),
        wire("f2", "fan/negative", "house/negative"),
    ]
    both = [{"part": "radio"}, {"part": "fan", **more}]
    body["modes"] = [
        {"id": "sailing", "name": "Sailing", "hours_per_day": 10.0, "on": both},
        {"id": "moored", "name": "Moored", "hours_per_day": 2.0, "on": [{"part": "fan"}]},
    ]
    return body


def test_ampere_hours_add_up_over_the_modes() -> None:
    """4 A for 10 h and for 2 h: 48 Ah a day."""
    (one,) = monitor_errors(read(two_modes()))

    assert (one.code, one.severity, one.subjects) == ("monitor-error", "advice", ("shunt", "fan"))
    assert one.figure is not None
    assert one.figure.value == pytest.approx(48.0, rel=1e-9)
    assert one.message == "Shunt misses 48 Ah a day that is taken (the fan 48)."


def test_a_parts_own_hours_go_before_those_of_the_mode() -> None:
    """3 h of the 10, and 2 h moored: 20 Ah."""
    (one,) = monitor_errors(read(two_modes(hours_per_day=3.0)))

    assert one.figure is not None
    assert one.figure.value == pytest.approx(20.0, rel=1e-9)


def test_what_is_missed_is_post_current_less_shunt_current() -> None:
    boat = read(two_modes())
    shunt = next(one for one in boat.parts if one.kind == "measuring-shunt")
    flows = {one.element: one.current_a for one in analyse_mode(boat, "sailing").flows}

    missed = sum(one.current_a for one in uncounted_currents(boat, "sailing", shunt))

    assert missed == pytest.approx(abs(flows["house"]) - abs(flows["shunt"]), rel=1e-9)


def test_a_boat_whose_currents_all_pass_the_shunt_has_none() -> None:
    assert list(monitor_errors(read(small()))) == []


def test_a_charging_source_past_the_shunt_is_named_as_charge() -> None:
    body = two_modes()
    body["parts"].append(
        {"kind": "solar", "id": "sun", "name": "Solar", "rated_current_a": 5.0, "setpoint_v": 14.2}
    )
    body["conductors"] += [
        wire("s1", "sun/positive", "plus/stud-4"),
        wire("s2", "sun/negative", "house/negative"),
    ]
    body["modes"][0]["on"].append({"part": "sun"})

    (one,) = monitor_errors(read(body))

    assert set(one.subjects) == {"shunt", "fan", "sun"}
    assert (
        "48 Ah a day that is taken (the fan 48) and 50 Ah a day that is charged (the solar 50)" in one.message
    )
    assert one.figure is not None
    assert one.figure.value == pytest.approx(48.0 - 50.0, abs=0.5)


def test_another_banks_negative_on_the_battery_side_is_counted_as_ours() -> None:
    """The start battery's current comes through the shunt back to its post: 6 A too many."""
    body = small()
    body["parts"] += [
        dict(part(body, "house")) | {"id": "start", "name": "Start battery", "use": "start", "bank": "start"},
        {"kind": "load", "id": "pump", "name": "Pump", "role": "pump",
         "inputs": [{"id": "main", "demand": {"kind": "constant-current", "current_a": 6.0}}]},
        {"kind": "fuse", "id": "start-fuse", "name": "Start fuse", "rating_a": 20.0},
    ]  # fmt: skip
    body["conductors"] += [
        wire("p0", "start/positive", "start-fuse/line"),
        wire("p1", "start-fuse/load", "pump/main"),
        wire("p2", "pump/negative", "minus/stud-4"),
        wire("p3", "start/negative", "shunt/battery"),
    ]
    body["modes"] = [{"id": "sailing", "name": "Sailing", "hours_per_day": 2.0, "on": [{"part": "pump"}]}]

    (one,) = monitor_errors(read(body))

    assert one.figure is not None
    assert one.figure.value == pytest.approx(-12.0, rel=1e-9)
    assert one.subjects == ("shunt", "start")


def test_modes_of_unknown_length_are_named() -> None:
    body = two_modes()
    body["modes"][1].pop("hours_per_day")

    (one,) = monitor_errors(read(body))

    assert one.message.endswith("(the fan 40); state for how many hours a day these modes last: Moored.")

    body["modes"][0].pop("hours_per_day")
    (unknown,) = monitor_errors(read(body))

    assert (unknown.severity, unknown.figure) == ("cannot-tell", None)
    assert unknown.message == (
        "Shunt misses currents; state for how many hours a day these modes last: Sailing, Moored."
    )


def test_a_string_in_series_is_counted_at_its_lower_end() -> None:
    """Two 6 V batteries in series: what lands between them is not the bank's negative."""
    body = two_modes()
    half = {"nominal_voltage_v": 6.0, "capacity_ah": 200.0}
    part(body, "house").update(half)
    body["parts"].append(dict(part(body, "house")) | {"id": "upper", "name": "Upper"})
    move(body, "c1", "tail", "upper/positive")
    body["conductors"].append(wire("j", "upper/negative", "house/positive"))

    (one,) = monitor_errors(read(body))

    assert one.figure is not None
    assert one.figure.value == pytest.approx(48.0, rel=1e-9)


def test_of_many_only_the_largest_are_named() -> None:
    body = two_modes()
    for n in range(4):
        fan = dict(part(body, "fan")) | {"id": f"fan{n}", "name": f"Fan {n}"}
        body["parts"].append(fan)
        body["conductors"] += [
            wire(f"x{n}", "plus/stud-3", f"fan{n}/main"),
            wire(f"y{n}", f"fan{n}/negative", "house/negative"),
        ]
        body["modes"][0]["on"].append({"part": f"fan{n}"})

    (one,) = monitor_errors(read(body))

    assert one.message.endswith(" and others).")
