"""Each boat passes the published rules but for its planted faults; figures are typed from their sources."""

import math
import re
from collections import Counter

import pytest

from server.boat.conductors import Conductor
from server.boat.parts import Battery, Bonding, Busbar, Load, MeasuringShunt, Panel
from server.boat.value import nominal
from tests.seed.boats import NAMES, demo, key, planted
from tests.seed.walk import reach

TABLE_5_AT_105_C = {
    "18": 20, "16": 25, "14": 35, "12": 45, "10": 60, "8": 80, "6": 120, "4": 160, "3": 180, "2": 210,
    "1": 245, "1/0": 285, "2/0": 330, "3/0": 385, "4/0": 445,
}  # fmt: skip
"""33 CFR 183.425 Table 5, A, insulation of 105 °C, ambient 30 °C."""
ENGINE_SPACE = 0.85
"""33 CFR 183.425 Table 5 note 1, 105 °C."""
PIGTAIL_M = 0.178
"""7 in: ABYC E-11 (2008) 11.10.1.1.1 and its exception 5."""
RATINGS_ABOVE = {242.25: 250.0, 280.5: 300.0, 378.25: 400.0}
"""Next usual rating above an ampacity that is none (E-11 allows it up to 150 %); ratings from memory."""
MOST_LUGS = 4
"""Lugs on one stud: ABYC E-11 11.14.6.9."""


def awg_area_mm2(gauge: str) -> float:
    """ASTM B258: d = 0.005 in × 92^((36 - n) / 39)."""
    n = 1 - int(gauge[0]) if "/" in gauge else int(gauge)
    diameter_mm = 0.127 * 92 ** ((36 - n) / 39)
    area: float = math.pi / 4 * diameter_mm**2
    return area


def wires(name: str) -> list[Conductor]:
    """The wires of a boat."""
    return [conductor for conductor in demo(name).conductors if conductor.kind == "wire"]


def ampacity_a(wire: Conductor) -> float:
    """Table 5; a metric size is read as the next American gauge that is not larger (a yardstick)."""
    assert wire.size is not None
    area = wire.size.area_mm2 * 1.01
    base = max(amps for gauge, amps in TABLE_5_AT_105_C.items() if awg_area_mm2(gauge) <= area)
    return base * (ENGINE_SPACE if wire.in_engine_space == "yes" else 1.0)


@pytest.mark.parametrize("name", NAMES)
def test_a_printed_size_is_the_area_it_stands_for(name: str) -> None:
    for wire in wires(name):
        assert wire.size is not None
        label = wire.size.label
        area = (
            awg_area_mm2(label.removesuffix(" AWG")) if "AWG" in label else float(label.removesuffix(" mm²"))
        )
        assert wire.size.area_mm2 == pytest.approx(area, rel=0.005), wire.id


@pytest.mark.parametrize("name", NAMES)
def test_a_resistance_is_that_of_tinned_copper_of_about_its_area(name: str) -> None:
    # IEC 60028: 0.017241 Ω·mm²/m for solid copper; stranding and tinning add up to about 15 %
    # (IEC 60228, 0.5 mm² tinned: 40.1 Ω/km). A class 5 conductor may hold less copper than its name.
    for wire in wires(name):
        assert wire.size is not None
        resistivity = wire.size.area_mm2 * wire.size.resistance_ohm_per_m
        assert 0.017241 < resistivity < 0.017241 * 1.2, wire.id
        assert wire.size.source


@pytest.mark.parametrize("name", NAMES)
def test_no_wire_is_thinner_than_the_rules_allow(name: str) -> None:
    # 33 CFR 183.425(e): 16 AWG for a single conductor; ISO 10133:2012 7.7: 1 mm²
    for wire in wires(name):
        assert wire.size is not None
        assert wire.size.area_mm2 >= 1.0, wire.id
        assert wire.insulation_c == 105.0, wire.id


@pytest.mark.parametrize("name", NAMES)
def test_a_fuse_is_not_above_the_conductors_ampacity(name: str) -> None:
    found = reach(demo(name), "positive")
    batteries = {part.id for part in demo(name).parts if isinstance(part, Battery)}
    over = set()
    for wire in wires(name):
        assert wire.tail is not None
        assert wire.head is not None
        ends = ((wire.tail.part, wire.tail.terminal), (wire.head.part, wire.head.terminal))
        if not all(end in found for end in ends) or all(end[0] in batteries for end in ends):
            continue
        device_a, allowed_a = min(found[end] for end in ends), ampacity_a(wire)
        short = nominal(wire.length_m or 0.0) <= PIGTAIL_M
        if not short and device_a > RATINGS_ABOVE.get(round(allowed_a, 2), allowed_a):
            over.add(wire.id)
    expected = {
        "1-sloop": {"heater-pos"},
        "2-trawler": {"combiner-b"},
    }.get(name, set())
    assert over == expected
    assert expected <= planted(name)


@pytest.mark.parametrize("name", NAMES)
def test_the_first_device_sits_at_the_battery(name: str) -> None:
    """Nothing but jumpers and pigtails shorter than 7 in lies before the first device."""
    found = reach(demo(name), "positive")
    batteries = {part.id for part in demo(name).parts if isinstance(part, Battery)}
    for wire in wires(name):
        assert wire.tail is not None
        assert wire.head is not None
        ends = ((wire.tail.part, wire.tail.terminal), (wire.head.part, wire.head.terminal))
        if all(found.get(end) == float("inf") for end in ends) and not all(e[0] in batteries for e in ends):
            assert nominal(wire.length_m or 0.0) <= PIGTAIL_M, wire.id


@pytest.mark.parametrize("name", NAMES)
def test_studs_hold_at_most_four_lugs_and_ways_one(name: str) -> None:
    boat = demo(name)
    parts = {part.id: part for part in boat.parts}
    lugs = Counter(
        (end.part, end.terminal) for wire in boat.conductors for end in (wire.tail, wire.head) if end
    )
    for (part, terminal), count in lugs.items():
        assert count <= MOST_LUGS, (part, terminal)
        if isinstance(parts[part], Panel) and not terminal.endswith("-feed"):
            assert count == 1, (part, terminal)


@pytest.mark.parametrize("name", NAMES)
def test_there_is_one_link_from_the_negative_bus_to_the_bonding(name: str) -> None:
    # ABYC E-11 11.5.4.1: bonding is no return; one link is common practice
    boat = demo(name)
    kinds = {part.id: part for part in boat.parts}
    pairs = [{wire.tail.part, wire.head.part} for wire in boat.conductors if wire.tail and wire.head]
    links = [
        pair
        for pair in pairs
        if [isinstance(kinds[p], Bonding) for p in sorted(pair)].count(True) == 1 < len(pair)
    ]
    has_bonding = any(isinstance(part, Bonding) for part in boat.parts)
    assert len(links) == (1 if has_bonding else 0)
    assert all(any(isinstance(kinds[p], Busbar) for p in link) for link in links)


@pytest.mark.parametrize(
    ("name", "uncounted"),
    [
        ("1-sloop", {"fridge-neg"}),
        ("2-trawler", {"inverter-neg"}),
        ("3-workboat", set()),
        ("4-outboard", set()),
        ("5-large-yacht", set()),
    ],
)
def test_only_planted_leads_land_on_the_battery_side_of_a_shunt(name: str, uncounted: set[str]) -> None:
    boat = demo(name)
    shunts = {part.id: part.bank for part in boat.parts if isinstance(part, MeasuringShunt)}
    banks = {p.id: p.bank for p in boat.parts if isinstance(p, Battery) and p.bank in shunts.values()}
    past = set()
    for wire in wires(name):
        assert wire.tail is not None
        assert wire.head is not None
        for near, far in ((wire.tail, wire.head), (wire.head, wire.tail)):
            if near.part in banks and near.terminal == "negative" and far.part not in {*banks, *shunts}:
                past.add(wire.id)
    assert past == uncounted
    assert uncounted <= planted(name)


@pytest.mark.parametrize("name", NAMES)
def test_colours_follow_the_trade(name: str) -> None:
    # ABYC E-11 colours, five public reprints: negative black or yellow, bonding green, positive anything else
    boat = demo(name)
    bonding = {part.id for part in boat.parts if isinstance(part, Bonding)}
    plus, minus = reach(boat, "positive"), reach(boat, "negative")
    batteries = {part.id for part in boat.parts if isinstance(part, Battery)}
    for wire in wires(name):
        assert wire.tail is not None
        assert wire.head is not None
        ends = ((wire.tail.part, wire.tail.terminal), (wire.head.part, wire.head.terminal))
        colour = wire.colour or ""
        if any(end[0] in bonding for end in ends):
            assert colour.startswith("green"), wire.id
        elif all(end[0] in batteries for end in ends):
            assert colour in {"red", "black"}, wire.id
        elif ends[0] in minus and ends[1] in minus and not (ends[0] in plus and ends[1] in plus):
            assert colour in {"black", "yellow"}, wire.id
        elif ends[0] in plus:
            assert not re.match("black|yellow|green", colour), wire.id


@pytest.mark.parametrize("name", NAMES)
def test_what_runs_with_the_switch_off_says_why(name: str) -> None:
    # ABYC E-11 11.6.1.2.1 lets bilge pumps, alarms and the like bypass the battery switch
    for part in demo(name).parts:
        if isinstance(part, Load) and part.role == "bilge-pump" and len(part.inputs) > 1:
            assert part.bypasses_switch, part.id


def test_some_limits_are_stated_and_some_are_not_known() -> None:
    stated = [
        i for p in demo("1-sloop").parts if isinstance(p, Load) for i in p.inputs if i.minimum_voltage_v
    ]
    assert all(i.limit_source for i in stated)
    silent = [
        p.id
        for p in demo("1-sloop").parts
        if isinstance(p, Load) and not p.heavy and not p.inputs[0].minimum_voltage_v
    ]
    assert len(stated) >= 6
    assert len(silent) >= 3


def test_each_planted_fault_says_what_it_is_how_it_shows_and_how_it_is_mended() -> None:
    for name in NAMES:
        for fault in key()[name]["faults"]:
            assert set(fault) >= {"id", "subjects", "what", "seen_as", "mend"}, fault["id"]
