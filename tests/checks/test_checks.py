"""Each check on a small boat that is sound but for one thing."""

from collections.abc import Callable
from typing import Any

import pytest

from server.checks.supply import per_cent
from tests.checks.small import judged, move, part, read, small, wire

Change = Callable[[dict[str, Any]], None]


def test_the_sound_boat_has_no_finding() -> None:
    assert judged(small()) == {}


def without_fuse(boat: dict[str, Any]) -> None:
    move(boat, "c1", "head", "switch/in")
    boat["conductors"] = [one for one in boat["conductors"] if one["id"] != "c2"]


def before_the_switch(boat: dict[str, Any]) -> None:
    move(boat, "c4", "tail", "fuse/load")


def past_the_shunt(boat: dict[str, Any]) -> None:
    move(boat, "c5", "head", "house/negative")


def to_the_block(boat: dict[str, Any]) -> None:
    move(boat, "c5", "head", "engine/stud-2")


def five_lugs(boat: dict[str, Any]) -> None:
    boat["parts"] += [{"kind": "post", "id": f"p{n}", "name": f"Post {n}"} for n in range(4)]
    boat["conductors"] += [wire(f"x{n}", "minus/stud-1", f"p{n}/stud") for n in range(4)]


def twice_the_name(boat: dict[str, Any]) -> None:
    part(boat, "minus")["name"] = "positive BUS"


def twice_the_number(boat: dict[str, Any]) -> None:
    boat["cables"] = [{"id": f"k{n}", "number": "W1", "construction": "single"} for n in (1, 2)]


def loose(boat: dict[str, Any]) -> None:
    next(one for one in boat["conductors"] if one["id"] == "c8").pop("tail")


def unfed(boat: dict[str, Any]) -> None:
    boat["conductors"] = [one for one in boat["conductors"] if one["id"] != "c4"]


def too_long(boat: dict[str, Any]) -> None:
    next(one for one in boat["conductors"] if one["id"] == "c4")["length_m"] = 60.0


def too_large_a_fuse(boat: dict[str, Any]) -> None:
    part(boat, "fuse")["rating_a"] = 300.0


def too_hungry(boat: dict[str, Any]) -> None:
    part(boat, "radio")["inputs"][0]["demand"]["power_w"] = 40_000.0


@pytest.mark.parametrize(
    ("change", "code", "subject"),
    [
        (without_fuse, "unprotected-lead", "radio"),
        (before_the_switch, "alive-when-off", "radio"),
        (past_the_shunt, "uncounted", "radio"),
        (to_the_block, "returned-to-block", "radio"),
        (five_lugs, "stud-full", "minus"),
        (twice_the_name, "name-used-twice", "plus"),
        (twice_the_number, "name-used-twice", "k1"),
        (loose, "loose-end", "c8"),
        (unfed, "not-connected", "radio"),
        (too_long, "drop-over-limit", "radio"),
        (too_large_a_fuse, "device-above-conductor", "c4"),
        (too_hungry, "cannot-run", "radio"),
    ],
)
def test_one_fault_is_one_finding_about_its_own_thing(change: Change, code: str, subject: str) -> None:
    boat = small()
    change(boat)
    found = judged(boat)

    assert code in found
    assert subject in found[code].subjects


def without_any_wire(boat: dict[str, Any]) -> None:
    for one in boat["conductors"]:
        one.update({end: None for end in ("tail", "head") if (one[end] or {}).get("part") == "radio"})


def tagged_and_loose(boat: dict[str, Any]) -> None:
    loose(boat)
    boat["cables"] = [{"id": "k", "number": "W10", "construction": "single"}]
    next(one for one in boat["conductors"] if one["id"] == "c8").update(name="Radio's lead", cable="k")


@pytest.mark.parametrize(
    ("change", "code", "says"),
    [
        (
            without_any_wire,
            "not-connected",
            "Radio: neither its positive nor its negative side",
        ),
        (tagged_and_loose, "loose-end", "An end of cable W10 (Radio's lead) lands on nothing"),
        (five_lugs, "stud-full", "5 lugs sit on “stud 1” of the negative bus"),
    ],
)
def test_a_finding_names_its_thing_as_it_is_found_aboard(change: Change, code: str, says: str) -> None:
    boat = small()
    change(boat)

    assert judged(boat)[code].message.startswith(says)


@pytest.mark.parametrize(
    ("code", "change"),
    [
        ("unprotected-lead", before_the_switch),
        ("alive-when-off", past_the_shunt),
        ("uncounted", before_the_switch),
        ("device-above-conductor", to_the_block),
    ],
)
def test_one_fault_is_not_taken_for_another(code: str, change: Change) -> None:
    boat = small()
    change(boat)

    assert code not in judged(boat)


def test_a_stated_reason_lets_a_load_bypass_the_switch() -> None:
    boat = small()
    before_the_switch(boat)
    part(boat, "radio")["bypasses_switch"] = "keeps the clock"

    assert "alive-when-off" not in judged(boat)


@pytest.mark.parametrize("position", ["up", "down"])
def test_a_float_switch_does_not_decide_whether_a_pump_stays_alive(position: str) -> None:
    boat = small()
    before_the_switch(boat)
    boat["parts"].append(
        {"kind": "contact", "id": "float", "name": "Float", "terminals": ["in", "out"],
         "positions": [{"id": "down", "name": "Down"},
                       {"id": "up", "name": "Up", "closed": [["in", "out"]]}], "normal": position}
    )  # fmt: skip
    move(boat, "c4", "head", "float/in")
    boat["conductors"].append(wire("c4b", "float/out", "radio/main"))

    assert "alive-when-off" in judged(boat)


def test_a_starter_may_be_without_a_fuse() -> None:
    """ABYC E-11 (2008) 11.10.1.1.1, exception 1: cranking motor conductors."""
    boat = small()
    without_fuse(boat)
    part(boat, "radio")["role"] = "starter"

    assert "unprotected-lead" not in judged(boat)


def test_a_boat_without_a_battery_switch_has_nothing_alive_when_it_is_off() -> None:
    boat = small()
    part(boat, "switch")["is_battery_switch"] = False

    assert "alive-when-off" not in judged(boat)


def test_five_lugs_are_one_more_than_the_standard_allows() -> None:
    """ABYC E-11 11.14.6.9 as publicly quoted: four terminals on one stud."""
    boat = small()
    five_lugs(boat)
    found = judged(boat)["stud-full"]

    assert found.figure is not None
    assert found.limit is not None
    assert (found.figure.value, found.limit.value) == (5, 4)
    boat["conductors"].pop()
    assert "stud-full" not in judged(boat)


@pytest.mark.parametrize(
    ("terminal", "change", "full"),
    [
        ("house/negative", {}, True),
        ("switch/out", {}, True),
        ("shunt/system", {}, True),
        ("fuse/load", {"device_class": "class-t"}, True),
        ("fuse/load", {"device_class": "blade"}, False),
        ("radio/negative", {}, False),
        ("radio/negative", {"role": "starter"}, True),
    ],
)
def test_lugs_are_counted_wherever_there_is_a_stud(terminal: str, change: dict[str, str], full: bool) -> None:
    boat = small()
    part(boat, terminal.split("/", maxsplit=1)[0]).update(change)
    boat["parts"] += [{"kind": "post", "id": f"p{n}", "name": f"P {n}"} for n in range(4)]
    boat["conductors"] += [wire(f"x{n}", terminal, f"p{n}/stud") for n in range(4)]

    assert ("stud-full" in judged(boat)) is full


def test_a_fuse_above_the_ampacity_is_found_with_the_largest_that_is_allowed() -> None:
    """10 AWG of 105 °C carries 60 A by 33 CFR 183.425 Table 5: a standard rating, so E-11 stops there."""
    boat = small()
    part(boat, "fuse")["rating_a"] = 60.0
    assert "device-above-conductor" not in judged(boat)

    part(boat, "fuse")["rating_a"] = 100.0
    found = judged(boat)["device-above-conductor"]
    assert found.limit is not None
    assert found.limit.value == pytest.approx(60.0)
    assert "may carry 60 A" in found.message


@pytest.mark.parametrize(
    ("fuse", "fuel", "law"),
    [
        (80.0, "petrol", " (the law, 33 CFR 183.455, allows 90 A)"),
        (100.0, "petrol", " (the law, 33 CFR 183.455, only allows 90 A)"),
        (100.0, "diesel", ""),
    ],
)
def test_standard_and_law_allow_different_devices_and_the_finding_says_which_spoke(
    fuse: float, fuel: str, law: str
) -> None:
    """60 A: 100 % by ABYC E-11 11.10, 150 % by 33 CFR 183.455(c)(1), law for petrol inboards (183.405)."""
    boat = small() | {"practice": {"propulsion_fuel": fuel, "propulsion": "inboard"}}
    part(boat, "fuse")["rating_a"] = fuse
    found = judged(boat)["device-above-conductor"]

    assert f"; ABYC E-11 allows 60 A before it{law}: it can burn" in found.message
    assert found.severity == "danger"


def test_by_metric_practice_an_offices_own_table_is_held_to_100_per_cent_from_memory() -> None:
    """ISO 10133: 100 % of the ampacity, from memory, so it only advises; the table's figure is made up."""
    table = {
        "standard": "Made-up", "edition": "1", "clause": "1", "typed_by": "A", "checked_by": "B",
        "sizes": [{"label": "10 AWG", "figures": [{"insulation_c": 105.0, "value": 40.0}]}],
    }  # fmt: skip
    boat = small() | {"practice": {"profile": "iso-metric", "ampacity_table": table}}
    part(boat, "fuse")["rating_a"] = 45.0
    found = judged(boat)["device-above-conductor"]

    assert (found.severity, found.source_status) == ("advice", "memory")
    assert "may carry 40 A; ISO 10133 allows 40 A before it: " in found.message
    assert "office's own table, Made-up, edition 1" in found.source


def test_a_conductor_without_a_known_insulation_is_not_judged() -> None:
    boat = small()
    too_large_a_fuse(boat)
    for one in boat["conductors"]:
        one.pop("insulation_c")

    assert "device-above-conductor" not in judged(boat)


def test_names_differ_by_more_than_case_and_space() -> None:
    boat = small()
    part(boat, "minus")["name"] = " positive bus "

    assert read(boat).parts[3].name != read(boat).parts[4].name
    assert judged(boat)["name-used-twice"].subjects == ("plus", "minus")


@pytest.mark.parametrize(
    ("fraction", "limit", "text"),
    [(0.039, 0.03, "3.9"), (0.03021, 0.03, "3.02"), (0.1000004, 0.1, "10.00004")],
)
def test_a_figure_shows_the_digits_that_tell_it_from_its_limit(
    fraction: float, limit: float, text: str
) -> None:
    assert per_cent(fraction, limit) == text
