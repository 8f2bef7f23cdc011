"""Battery switches against feeder and devices, and banks without one: ABYC E-11 as publicly quoted.

Rows of the reference: 11.6.1.2.1 "battery switch needed in the positive conductor of each battery or bank
above 800 CCA; bilge pumps, alarms, blowers, memory and charging equipment may bypass"; 11.6.1.2.3 "continuous
rating: the lesser of the sum of main overcurrent device ampacities and the ampacity of the feeder".
"""

from typing import Any

import pytest

from server.checks.switch_rules import banks_without_switch, switches_below_feeders
from tests.checks.small import move, part, read, small, wire


def panelled(*ratings: float | None) -> dict[str, Any]:
    """The small boat without its main fuse before the switch, and so many main fuses on the bus behind."""
    body = small()
    for n, rating in enumerate(ratings):
        fuse = {"kind": "fuse", "id": f"main{n}", "name": f"Main {n}"}
        body["parts"].append(fuse if rating is None else fuse | {"rating_a": rating})
        body["conductors"].append(wire(f"m{n}", f"plus/stud-{3 + n}", f"main{n}/line"))
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "c1"]
    move(body, "c2", "tail", "house/positive")
    return body


def below(body: dict[str, Any], continuous_a: float) -> list[tuple[str, float | None]]:
    part(body, "switch")["continuous_a"] = continuous_a
    found = list(switches_below_feeders(read(body)))
    assert {one.code for one in found} <= {"switch-continuous"}
    assert {one.source for one in found} <= {"ABYC E-11 11.6.1.2.3"}
    return [(one.severity, one.limit.value if one.limit else None) for one in found]


def test_the_lesser_of_feeder_and_devices_decides() -> None:
    """10 AWG of 105 °C may carry 60 A (33 CFR 183.425 Table 5); the devices come to 50 A or to 100 A."""
    assert below(panelled(30.0, 20.0), 40.0) == [("fault", 50.0)]
    assert below(panelled(30.0, 20.0), 50.0) == []
    assert below(panelled(50.0, 50.0), 55.0) == [("fault", 60.0)]
    assert below(panelled(50.0, 50.0), 60.0) == []


def test_with_one_of_the_two_unknown_a_switch_may_pass_but_not_fail() -> None:
    assert below(panelled(30.0, None), 40.0) == [("cannot-tell", 60.0)]
    assert below(panelled(30.0, None), 60.0) == []
    unsized = panelled(30.0, 20.0)
    unsized["conductors"] = [
        one | {"insulation_c": None} if one["id"] == "c2" else one for one in unsized["conductors"]
    ]
    assert below(unsized, 40.0) == [("cannot-tell", 50.0)]
    (told,) = switches_below_feeders(read(unsized))
    assert "see the feeder's size and insulation" in told.message


def test_a_fuse_between_battery_and_switch_lets_no_more_through() -> None:
    """The small boat as it is: 30 A before the switch."""
    body = panelled(50.0, 50.0)
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "c2"]
    body["conductors"] += [wire("c1", "house/positive", "fuse/line"), wire("c2", "fuse/load", "switch/in")]

    assert below(body, 25.0) == [("fault", 30.0)]
    assert below(body, 30.0) == []


def test_two_fuses_one_after_the_other_count_by_the_smaller() -> None:
    body = panelled(50.0, 50.0)
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "c2"]
    body["parts"].append({"kind": "fuse", "id": "second", "name": "Second", "rating_a": 40.0})
    body["conductors"] += [
        wire("c1", "house/positive", "fuse/line"),
        wire("c1b", "fuse/load", "second/line"),
        wire("c2", "second/load", "switch/in"),
    ]

    assert below(body, 25.0) == [("fault", 30.0)]


def test_a_fuse_of_unknown_rating_before_the_switch_bars_nothing() -> None:
    body = panelled(50.0, 50.0)
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "c2"]
    part(body, "fuse").pop("rating_a")
    body["conductors"] += [wire("c1", "house/positive", "fuse/line"), wire("c2", "fuse/load", "switch/in")]

    assert below(body, 55.0) == [("fault", 60.0)]


def test_a_charging_sources_device_is_none_of_the_mains() -> None:
    body = panelled(30.0, 20.0, 60.0)
    body["parts"].append({"kind": "alternator", "id": "alt", "name": "Alternator", "rated_current_a": 50.0})
    body["conductors"] += [
        wire("a1", "main2/load", "alt/positive"),
        wire("a2", "alt/negative", "engine/stud-2"),
    ]

    assert below(body, 40.0) == [("fault", 50.0)]


def test_a_switch_between_two_batteries_or_of_unknown_rating_is_not_judged() -> None:
    body = panelled(30.0, 20.0)
    assert list(switches_below_feeders(read(body))) == []
    body["parts"].append(dict(part(body, "house")) | {"id": "second", "name": "Second"})
    body["conductors"].append(wire("s1", "second/positive", "switch/out"))
    assert below(body, 1.0) == []
    assert list(switches_below_feeders(read(body | {"modes": []}))) == []


def unswitched(cranking_a: float | None, **radio: object) -> dict[str, Any]:
    """The small boat with its switch bridged."""
    body = small()
    move(body, "c2", "head", "plus/stud-4")
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "c3"]
    part(body, "house")["cranking_a"] = cranking_a
    part(body, "radio").update(radio)
    return body


def test_a_bank_above_800_cca_needs_a_switch() -> None:
    (one,) = banks_without_switch(read(unswitched(850.0)))

    assert (one.code, one.severity, one.rule_kind) == ("no-battery-switch", "fault", "standard")
    assert one.limit is not None
    assert (one.limit.value, one.source) == (800.0, "ABYC E-11 11.6.1.2.1")


@pytest.mark.parametrize(
    "body",
    [
        unswitched(800.0),
        unswitched(None),
        unswitched(850.0, bypasses_switch="memory"),
        small() | {"modes": []},
    ],
)
def test_a_smaller_bank_or_one_that_feeds_only_what_may_bypass_needs_none(body: dict[str, Any]) -> None:
    assert list(banks_without_switch(read(body))) == []


def test_a_switch_anywhere_in_its_positive_will_do() -> None:
    body = small()
    part(body, "house")["cranking_a"] = 850.0

    assert list(banks_without_switch(read(body))) == []


def test_batteries_side_by_side_add_their_ratings() -> None:
    body = unswitched(450.0)
    body["parts"].append(dict(part(body, "house")) | {"id": "second", "name": "Second"})
    body["conductors"] += [
        wire("s1", "second/positive", "house/positive"),
        wire("s2", "second/negative", "house/negative"),
    ]

    assert [one.subjects for one in banks_without_switch(read(body))] == [("house", "second")]


def test_on_a_boat_of_another_practice_the_rule_is_a_yardstick() -> None:
    body = unswitched(850.0) | {"practice": {"profile": "iso-metric"}}

    assert [one.rule_kind for one in banks_without_switch(read(body))] == ["yardstick"]
