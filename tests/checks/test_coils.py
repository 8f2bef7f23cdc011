"""Coils that kick onto electronics fed by the same lead, and what lies beside them.

The kicks are those of relay makers' application notes: 0.7 V behind a diode, i·R into a resistor (65 V for
12 V over 120 Ω into 680 Ω, measured on a bench), hundreds to thousands of volts into nothing.
"""

from typing import Any

import pytest

from server.actions.findings import all_findings
from server.actions.mending import offers
from server.actions.results import Results
from server.boat.finding import Finding
from server.checks.coils import coils_that_kick
from tests.checks.small import part, read, small, wire


def beside_a_coil(suppression: dict[str, object] | None, stands_v: float | None = 16.0) -> dict[str, Any]:
    """A relay of 120 Ω whose coil and the radio are let go by one switch."""
    body = small()
    coil: dict[str, object] = {"kind": "coil", "current_a": 0.1, "rated_voltage_v": 12.0}
    if suppression is not None:
        coil["suppression"] = suppression
    body["parts"] += [
        {"kind": "contact", "id": "relay", "name": "Horn relay", "terminals": ["in", "out"], "coil": coil,
         "actuator": "coil", "normal": "off",
         "positions": [{"id": "off", "name": "Off"}, {"id": "on", "name": "On", "closed": [["in", "out"]]}]},
        {"kind": "breaker", "id": "key", "name": "Helm breaker", "rating_a": 5.0, "interrupting_a": 5000.0},
        {"kind": "post", "id": "helm", "name": "Helm post"},
    ]  # fmt: skip
    part(body, "radio")["inputs"][0]["maximum_voltage_v"] = stands_v
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "c4"] + [
        wire("k1", "plus/stud-2", "key/line"),
        wire("k2", "key/load", "helm/stud"),
        wire("k3", "helm/stud", "radio/main"),
        wire("k4", "helm/stud", "relay/coil-positive"),
        wire("k5", "relay/coil-negative", "minus/stud-4"),
    ]
    return body


def kicks(body: dict[str, Any]) -> list[Finding]:
    return list(coils_that_kick(read(body)))


@pytest.mark.parametrize(
    ("suppression", "stands_v", "severity", "told"),
    [
        (None, 16.0, "cannot-tell", "Look for a diode, varistor or resistor beside the coil"),
        ({"kind": "none"}, 16.0, "fault", "hundreds to thousands of volts"),
        ({"kind": "varistor"}, 16.0, "cannot-tell", "read its figure off it"),
        ({"kind": "resistor", "resistance_ohm": 680.0}, 16.0, "fault", "about 68 V, and 16.0 V is the most"),
        ({"kind": "resistor", "resistance_ohm": 680.0}, None, "cannot-tell", "look up what they stand"),
    ],
)
def test_a_kick_that_electronics_share_is_told(
    suppression: dict[str, object] | None, stands_v: float | None, severity: str, told: str
) -> None:
    (one,) = kicks(beside_a_coil(suppression, stands_v))

    assert (one.code, one.severity, one.subjects) == ("coil-kicks", severity, ("relay", "radio"))
    assert told in one.message


@pytest.mark.parametrize(
    ("suppression", "stands_v"),
    [({"kind": "diode"}, 16.0), ({"kind": "resistor", "resistance_ohm": 100.0}, None)],
)
def test_one_that_is_held_down_is_not(suppression: dict[str, object], stands_v: float | None) -> None:
    assert kicks(beside_a_coil(suppression, stands_v)) == []


def test_a_coil_behind_a_switch_of_its_own_a_clamped_one_and_a_boat_without_any_are_left_out() -> None:
    alone = beside_a_coil(None)
    next(one for one in alone["conductors"] if one["id"] == "k4")["tail"] = {
        "part": "switch", "terminal": "in",
    }  # fmt: skip
    assert kicks(alone) == []
    held = beside_a_coil(None)
    held["conductors"].append(wire("k6", "helm/stud", "house/positive"))
    assert kicks(held) == []
    assert kicks(small()) == []


def test_a_load_that_is_a_coil_itself_kicks_too_and_is_suppressed_at_its_own_input() -> None:
    body = beside_a_coil({"kind": "diode"})
    demand = {"kind": "coil", "current_a": 2.0, "rated_voltage_v": 12.0}
    body["parts"].append(
        {"kind": "load", "id": "valve", "name": "Fuel valve", "role": "stop-solenoid",
         "inputs": [{"id": "main", "demand": demand}]}
    )  # fmt: skip
    body["conductors"] += [
        wire("v1", "helm/stud", "valve/main"),
        wire("v2", "valve/negative", "minus/stud-5"),
    ]
    boat = read(body)
    (one,) = coils_that_kick(boat)
    found = offers(Results(), "coil", boat, one.id)

    assert one.subjects == ("valve", "radio")
    assert [edit.model_dump()["field"] for edit in found[0].mend.edits] == ["inputs.0.demand.suppression"]


def test_what_takes_the_kick_says_what_is_left_and_how_much_later_the_coil_lets_go() -> None:
    """Behind a diode a bench measured 25 to 30 ms until the current of such a coil is gone."""
    boat = read(beside_a_coil({"kind": "none"}, stands_v=40.0))
    finding = next(one for one in all_findings(Results(), "coil", boat) if one.code == "coil-kicks")
    labels = [one.mend.label for one in offers(Results(), "coil", boat, finding.id)]

    assert [label.partition(" across the coil of the horn relay: about ")[0] for label in labels] == [
        "A diode with a 24 V zener",
        "A diode",
        "A varistor of 24 V",
    ]
    assert [label.partition("about ")[2].partition(" V")[0] for label in labels] == ["25", "0.7", "24"]
    assert all(" ms later" in label for label in labels)
