"""Parts that do not fit: voltage ratings, thick conductors, push-on terminals, long backbones."""

from typing import Any

import pytest

from server.boat.finding import Finding
from server.checks.backbones import backbone_drops
from server.checks.fit import conductors_too_thick, friction_joints, lugs_off_their_studs, voltage_ratings
from server.engine.analysis import analyse_mode
from tests.checks.small import move, part, read, small, wire


def test_a_device_rated_below_its_nominal_voltage_is_a_fault() -> None:
    body = small()
    part(body, "fuse")["voltage_rating_v"] = 12.0
    assert list(voltage_ratings(read(body))) == []

    body = small() | {"islands": [{"id": "ship", "name": "Ship", "nominal_voltage_v": 24.0}]}
    part(body, "fuse").update({"voltage_rating_v": 12.0, "island": "ship"})

    (one,) = voltage_ratings(read(body))

    assert (one.code, one.severity, one.subjects) == ("voltage-rating-low", "fault", ("fuse",))
    assert one.message == "Main fuse is rated 12 V and stands on 24 V: it may not break the arc."


def test_a_panels_ways_are_held_to_it_each() -> None:
    body = small() | {"nominal_voltage_v": 24.0}
    ways = [
        {"id": "w1", "name": "Radio", "device_kind": "breaker", "device": {"voltage_rating_v": 14.0}},
        {"id": "w2", "name": "Spare", "device_kind": "breaker", "device": {"voltage_rating_v": 32.0}},
        {"id": "w3", "name": "Bare"},
    ]
    section = {"id": "dc", "name": "DC", "polarity": "positive", "ways": ways}
    body["parts"].append(
        {"kind": "panel", "id": "panel", "name": "Panel", "sections": [section], "voltage_rating_v": 32.0}
    )

    (one,) = voltage_ratings(read(body))

    assert one.subjects == ("panel.dc-w1",)
    assert one.message.startswith("Panel, Radio, is rated 14 V and stands on 24 V")


@pytest.mark.parametrize(("largest", "thick"), [(4.0, True), (5.2, False), (None, False)])
def test_a_conductor_thicker_than_its_connector_takes(largest: float | None, thick: bool) -> None:
    """10 AWG is 5.26 mm²."""
    body = small()
    plug = {"kind": "connector", "id": "plug", "name": "Deck plug", "style": "deck-plug", "pins": 1}
    body["parts"].append(plug | ({} if largest is None else {"largest_mm2": largest}))
    move(body, "c4", "head", "plug/a-1")
    unsized = wire("c4b", "plug/b-1", "radio/main", size=None)
    loose = wire("loose", "plug/b-1", "radio/main", size=None) | {"head": None}
    body["conductors"] += [unsized, loose]

    found = list(conductors_too_thick(read(body)))

    assert [(one.code, one.subjects) for one in found] == (
        [("conductor-too-thick", ("c4", "plug"))] if thick else []
    )


def pushed_on(amps: float, **joint: object) -> list[Finding]:
    body: dict[str, Any] = small()
    part(body, "radio")["inputs"][0]["demand"] = {"kind": "constant-current", "current_a": amps}
    lead = next(one for one in body["conductors"] if one["id"] == "c4")
    lead["head_joint"] = {"style": "crimped-spade", **joint}
    boat = read(body)
    return list(friction_joints(boat, analyse_mode(boat, "sailing")))


def test_push_on_terminals_are_for_20_a_and_50_mv() -> None:
    """ABYC E-11 11.14.5.4 exception: circuits to 20 A, 50 mV between terminals at 20 A, so 2.5 mΩ."""
    (over,) = pushed_on(21.0)
    (lossy,) = pushed_on(10.0, resistance_ohm=0.0026)

    assert (over.code, over.severity, over.rule_kind) == ("friction-joint", "fault", "standard")
    assert over.message == "The radio's positive lead carries 21 A by a push-on terminal; 20 A are the most."
    assert "loses 52 mV at 20 A, where 50 mV are allowed" in lossy.message
    assert over.source == "ABYC E-11 11.14.5.4 exc."
    assert pushed_on(19.9) == []
    assert pushed_on(10.0, resistance_ohm=0.0025) == []


def backbone(**more: object) -> list[Finding]:
    body = small()
    part(body, "radio").update({"role": "backbone", "backbone": more})
    return list(backbone_drops(read(body)))


def test_a_long_backbone_may_lose_more_than_its_standard_allows() -> None:
    """2 · 0.053 Ω/m · 30 m · 20 LEN · 50 mA = 3.18 V; 1.67 V are allowed (makers' pages on NMEA 2000)."""
    devices = [{"name": "Displays", "units": 12.0}, {"name": "Sensors", "units": 8.0}]
    (one,) = backbone(trunk_length_m=30.0, trunk_ohm_per_m=0.053, devices=devices)

    assert (one.code, one.severity) == ("backbone-drop", "cannot-tell")
    assert one.figure is not None
    assert one.figure.value == pytest.approx(3.18)
    assert "loses up to 3.2 V with all of its 20 units at one end" in one.message
    assert "measure at the farthest device" in one.message
    assert backbone(trunk_length_m=15.0, trunk_ohm_per_m=0.053, devices=devices) == []
    assert backbone(trunk_length_m=30.0, devices=devices) == []
    assert backbone(trunk_ohm_per_m=0.053, devices=devices) == []


@pytest.mark.parametrize(
    ("hole", "stud", "how"),
    [
        ("M8", "M8", None),
        ("3/8 in", "M10", None),
        ("5/16", "M8", None),
        ("M10", "M8", "loose on"),
        ("10 mm", "1/4 in", "loose on"),
        ("M6", "M8", "too small for"),
        ("M 6", "M 6", None),
        ("big", "M8", None),
        ("M8", None, None),
        (None, "M8", None),
        ("3/0 in", "M8", None),
    ],
)
def test_a_lug_belongs_on_a_stud_of_its_size(hole: str | None, stud: str | None, how: str | None) -> None:
    """Common practice, no source."""
    body = small()
    if stud is not None:
        part(body, "plus")["stud_size"] = stud
    lead = next(one for one in body["conductors"] if one["id"] == "c3")
    lead["head_joint"] = {"style": "crimped-ring"} | ({} if hole is None else {"hole": hole})

    found = list(lugs_off_their_studs(read(body)))

    assert [one.subjects for one in found] == ([] if how is None else [("c3", "plus", "stud-1")])
    assert all(how is not None and f" is {how} the " in one.message for one in found)
