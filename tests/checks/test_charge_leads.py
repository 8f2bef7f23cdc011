"""A bow windlass on its own bank, and the house bank that helps through relay and charge lead."""

from typing import Any

import pytest

from server.boat.finding import Finding
from server.checks.charge_leads import charge_leads_that_feed
from server.engine.analysis import analyse_mode
from server.engine.event_running import running_currents
from server.engine.solution import Solution
from tests.checks.small import part, read, small, wire

THIN = {"label": "8 AWG", "area_mm2": 8.37, "resistance_ohm_per_m": 0.00206}
THICK = {"label": "2/0 AWG", "area_mm2": 67.4, "resistance_ohm_per_m": 0.00026}
LONG = [{"multiple": 1.1, "shortest_s": 900.0}, {"multiple": 2.0, "shortest_s": 600.0, "longest_s": 3600.0}]


def bow(fuse_a: float = 30.0, *, relay: str = "closed", **windlass: object) -> dict[str, Any]:
    """Windlass of 120 A at the bow: an old bow battery, the house bank by 8 AWG and two fuses."""
    body = small()
    part(body, "fuse")["rating_a"] = 300.0
    part(body, "house")["internal_resistance_ohm"] = 0.002
    motor = {"kind": "motor", "running_current_a": 120.0, "inrush_current_a": 400.0}
    body["parts"] += [
        {**part(body, "house"), "id": "bow", "name": "Bow", "bank": "bow", "internal_resistance_ohm": 0.08},
        {"kind": "fuse", "id": "near", "name": "House end fuse", "rating_a": fuse_a},
        {"kind": "fuse", "id": "far", "name": "Bow end fuse", "rating_a": fuse_a},
        {"kind": "combiner", "id": "relay", "name": "Relay", "normal": relay},
        {"kind": "busbar", "id": "bow-bus", "name": "Bow bus", "studs": 4},
        {"kind": "load", "id": "windlass", "name": "Windlass", "role": "windlass", "heavy": True,
         "inputs": [{"id": "motor", "demand": motor}], **windlass},
    ]  # fmt: skip
    for one in body["conductors"]:
        one["size"] = THICK
    body["conductors"] += [
        wire("n1", "plus/stud-3", "near/line", size=THIN),
        wire("n2", "near/load", "relay/a", size=THIN),
        wire("f1", "relay/b", "far/load", size=THIN),
        wire("f2", "far/line", "bow-bus/stud-1", size=THIN),
        wire("b1", "bow/positive", "bow-bus/stud-2", size=THICK),
        wire("b2", "bow/negative", "minus/stud-4", size=THICK),
        wire("w1", "bow-bus/stud-3", "windlass/motor", size=THICK),
        wire("w2", "windlass/negative", "minus/stud-5", size=THICK),
    ]
    return body


def told(body: dict[str, Any]) -> dict[str, Finding]:
    boat = read(body)
    return {one.subjects[0]: one for one in charge_leads_that_feed(boat, analyse_mode(boat, "sailing"))}


def amps(body: dict[str, Any]) -> float:
    boat = read(body)
    event = Solution.of(boat, "sailing").events[0].id
    return running_currents(boat, "sailing", event)["n2"]


def test_most_of_the_windlass_comes_through_the_charge_lead() -> None:
    """Two sources in parallel share as their conductances: 80 mΩ and more against some 10 mΩ."""
    assert 60 < amps(bow()) < 110


def test_a_charge_lead_that_carries_too_much_is_told_with_the_time_that_it_stands() -> None:
    """8 AWG of 105 °C may carry 80 A (Table 5); it stands more for (k S / I)², k = 112.9 from 30 °C."""
    body = bow()
    through = amps(body)
    assert through > 80
    found = told(body)

    assert set(found) == {"n1", "n2", "f1", "f2", "near", "far"}
    one = found["n2"]
    assert (one.code, one.severity, one.source_status) == ("charge-lead-feeds", "cannot-tell", "verified")
    assert one.figure is not None
    assert one.figure.value == pytest.approx(through, rel=1e-6)
    stands_s = (112.92 * 8.37 / through) ** 2
    assert f"see for how long; about {stands_s:.2g} s is safe." in one.message


def test_a_use_shorter_than_that_is_no_fault_of_the_wire() -> None:
    assert set(told(bow(duty="short-time", duty_on_s=60.0))) == {"near", "far"}


def test_a_use_without_end_is_a_danger() -> None:
    assert told(bow(duty="continuous"))["n2"].severity == "danger"


def test_a_device_above_its_rating_asks_for_its_curve_and_a_curve_settles_it() -> None:
    body = bow(duty="short-time", duty_on_s=60.0)
    near = told(body)["near"]
    assert (near.severity, near.source_status) == ("cannot-tell", "memory")
    assert "“House end fuse” carries" in near.message
    part(body, "near")["curve"] = LONG
    part(body, "near")["rating_a"] = 60.0
    assert set(told(body)) == {"far"}
    part(body, "windlass")["duty_on_s"] = 1000.0
    assert told(body)["near"].source_status == "document"


@pytest.mark.parametrize("change", [{"relay": "open"}, {"fuse_a": 200.0, "duty_on_s": 10.0}])
def test_an_open_relay_and_sizes_that_stand_it_are_not_spoken_of(change: dict[str, Any]) -> None:
    assert told(bow(**change)) == {}


def test_links_and_wires_of_unknown_ampacity_are_left_out() -> None:
    body = bow(200.0)
    next(one for one in body["conductors"] if one["id"] == "n2")["insulation_c"] = None
    n1 = next(one for one in body["conductors"] if one["id"] == "n1")
    body["conductors"].remove(n1)
    body["conductors"].append({"id": "n1", "kind": "link", "tail": n1["tail"], "head": n1["head"]})

    assert set(told(body)) == {"f1", "f2"}


def test_starters_and_boats_without_a_relay_are_left_out() -> None:
    body = bow()
    part(body, "windlass")["role"] = "starter"
    assert told(body) == {}
    assert told(small()) == {}
