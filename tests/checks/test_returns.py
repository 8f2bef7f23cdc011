"""Negative conductors: as large as the device whose fault returns by them, and as the panel's feeder."""

from typing import Any

import pytest

from server.boat.finding import Finding
from server.checks.protection import largest_allowed
from server.checks.returns import devices_above_returns, negatives_below_feeders, returns_not_judged
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, small, wire

THIN = {"label": "16 AWG", "area_mm2": 1.31, "resistance_ohm_per_m": 0.0132}
METRIC = {"label": "2.5 mm²", "area_mm2": 2.5, "resistance_ohm_per_m": 7.98e-3}


def found(body: dict[str, Any]) -> dict[tuple[str, ...], Finding]:
    boat = read(body)
    answer = analyse_mode(boat, "sailing", events=())
    return {one.subjects: one for one in devices_above_returns(boat, answer)}


def resized(body: dict[str, Any], name: str, **figures: object) -> dict[str, Any]:
    next(one for one in body["conductors"] if one["id"] == name).update(figures)
    return body


def on_a_panel(negative_feeder: dict[str, Any]) -> dict[str, Any]:
    """The radio on a 5 A way of a panel that a 30 A main fuse feeds."""
    body = small()
    ways = [{"id": "radio", "name": "Radio", "device_kind": "breaker", "device": {"rating_a": 5.0}}]
    sections = [
        {"id": "dc", "name": "DC", "polarity": "positive", "ways": ways},
        {"id": "neg", "name": "Negative", "polarity": "negative", "studs": 4},
    ]
    body["parts"].append({"kind": "panel", "id": "panel", "name": "Panel", "sections": sections})
    body["conductors"] = [one for one in body["conductors"] if one["id"] not in {"c4", "c5"}]
    body["conductors"] += [
        wire("p1", "plus/stud-2", "panel/dc-feed"),
        wire("p2", "panel/neg-feed", "minus/stud-1", **negative_feeder),
        wire("c4", "panel/dc-radio", "radio/main"),
        wire("c5", "radio/negative", "panel/neg-stud-1", size=THIN),
    ]
    return body


def test_a_thin_negative_behind_a_large_device_burns_in_its_place() -> None:
    """33 CFR 183.425 Table 5: 16 AWG of 105 °C may carry 25 A; a 30 A fuse stands before it (E-11: 100 %)."""
    one = found(resized(small(), "c5", size=THIN))[("c5",)]

    assert (one.code, one.severity, one.rule_kind) == ("device-above-negative", "fault", "standard")
    assert one.limit is not None
    assert one.limit.value == 25.0
    assert "“Main fuse” of 30 A comes back by the radio's negative lead of 16 AWG" in one.message


def test_a_negative_like_its_positive_is_not_spoken_of() -> None:
    assert found(small()) == {}


def test_a_short_thin_end_is_exempt_and_an_unknown_ampacity_condemns_nothing() -> None:
    assert found(resized(small(), "c5", size=THIN, length_m=0.1)) == {}
    assert found(resized(small(), "c5", size=THIN, insulation_c=None)) == {}


def test_the_negative_feeder_of_a_panel_answers_to_the_device_before_it() -> None:
    """The way's 5 A is nothing to a short between the bars: the 30 A main lets that through."""
    assert set(found(on_a_panel({"size": THIN}))) == {("p2",)}
    assert found(on_a_panel({})) == {}


def test_a_load_with_its_leads_on_two_places_answers_to_its_own_device() -> None:
    body = on_a_panel({"size": THIN})
    next(one for one in body["conductors"] if one["id"] == "c5")["head"] = {
        "part": "minus",
        "terminal": "stud-4",
    }
    body["conductors"].append(wire("lamp-neg", "lamp/negative", "panel/neg-stud-2"))
    body["conductors"].append(wire("lamp-pos", "plus/stud-4", "lamp-fuse/line"))
    body["conductors"].append(wire("lamp-pos-2", "lamp-fuse/load", "lamp/main"))
    body["parts"] += [
        {"kind": "fuse", "id": "lamp-fuse", "name": "Lamp fuse", "rating_a": 10.0},
        {**part(body, "radio"), "id": "lamp", "name": "Lamp"},
    ]

    assert found(body) == {}


def test_the_larger_of_two_devices_counts() -> None:
    body = resized(small(), "c6", size=THIN)
    body["parts"] += [
        {"kind": "fuse", "id": "lamp-fuse", "name": "Lamp fuse", "rating_a": 10.0},
        {"kind": "inverter", "id": "lamp", "name": "Inverter", "rated_power_w": 50.0},
    ]
    body["conductors"] += [
        wire("lamp-pos", "plus/stud-4", "lamp-fuse/line"),
        wire("lamp-pos-2", "lamp-fuse/load", "lamp/positive"),
        wire("lamp-neg", "lamp/negative", "minus/stud-5"),
    ]

    assert "“Main fuse” of 30 A" in found(body)[("c6",)].message


def test_a_second_battery_answers_to_its_own_fuse_alone() -> None:
    """A start battery of less resistance beside the house: its return passed its own fuse."""
    body = small()
    part(body, "house")["internal_resistance_ohm"] = 0.05
    part(body, "fuse")["rating_a"] = 60.0
    other = {**part(body, "house"), "id": "other", "name": "Other", "internal_resistance_ohm": 0.004}
    body["parts"] += [
        {**other, "bank": "other", "use": "start"},
        {"kind": "fuse", "id": "other-fuse", "name": "Other fuse", "rating_a": 20.0},
    ]
    body["conductors"] += [
        wire("o1", "other/positive", "other-fuse/line"),
        wire("o2", "other-fuse/load", "plus/stud-4"),
        wire("o3", "other/negative", "minus/stud-5", size=THIN),
    ]

    assert ("o3",) not in found(body)


@pytest.mark.parametrize(("size", "expected"), [(THIN, ("p2", "panel")), (None, None)])
def test_a_panels_negative_feeder_carries_what_its_positive_one_does(
    size: dict[str, Any] | None, expected: tuple[str, ...] | None
) -> None:
    """ABYC E-11 11.5.4.7.3: 10 AWG may carry 60 A, 16 AWG 25 A (33 CFR 183.425 Table 5, 105 °C)."""
    body = on_a_panel({"size": size} if size else {})
    told = list(negatives_below_feeders(read(body)))

    assert [one.subjects for one in told] == ([expected] if expected else [])
    for one in told:
        assert one.figure is not None
        assert one.limit is not None
        assert (one.figure.value, one.limit.value, one.source_status) == (25.0, 60.0, "verified")


def test_another_practice_has_no_such_rule() -> None:
    body = on_a_panel({"size": THIN})
    body["practice"] = {"profile": "iso-metric"}

    assert list(negatives_below_feeders(read(body))) == []


def test_what_no_table_judges_is_counted() -> None:
    assert returns_not_judged(read(small())) == ()
    (one,) = returns_not_judged(read(resized(small(), "c5", size=METRIC)))
    assert one.startswith("1 negative conductor against the device whose fault returns by it: not judged")
    body = on_a_panel({})
    other = {**part(body, "radio"), "id": "lamp", "name": "Lamp"}
    starter = {**part(body, "radio"), "id": "starter", "name": "Starter", "role": "starter"}
    body["parts"] += [other, starter]
    body["conductors"] += [
        wire("lamp-neg", "lamp/negative", "panel/neg-stud-2", size=None),
        wire("starter-neg", "starter/negative", "engine/stud-2", size=None),
    ]
    (several,) = returns_not_judged(read(resized(body, "c5", size=None)))
    assert several.startswith("2 negative conductors against the device whose fault returns by them")


def test_the_largest_device_before_an_unknown_conductor_is_not_guessed() -> None:
    boat = read(resized(small(), "c5", size=METRIC))

    with pytest.raises(LookupError, match="not judged"):
        largest_allowed(boat, next(one for one in boat.conductors if one.id == "c5"))
