"""Panel sections against their currents, and against the load calculation."""

from typing import Any

import pytest

from server.boat.finding import Finding
from server.checks.panels import overloaded_panels, panels_below_load
from server.engine.analysis import analyse_mode
from tests.checks.small import move, read, small, wire


def panelled(fan_a: float = 10.0, *, main: float | None = None, bar: float | None = None) -> dict[str, Any]:
    """The small boat with a panel on the bus: the radio of 2 A on one way, a fan on another."""
    body = small()
    ways = [
        {"id": "w1", "name": "Radio", "device_kind": "breaker", "device": {"rating_a": 5.0}},
        {"id": "w2", "name": "Fan", "device_kind": "breaker", "device": {"rating_a": 40.0}},
    ]
    section: dict[str, Any] = {"id": "dc", "name": "DC", "polarity": "positive", "ways": ways}
    if main is not None:
        section |= {"main_kind": "breaker", "main": {"rating_a": main}}
    if bar is not None:
        section["bar_rating_a"] = bar
    demand = {"kind": "constant-current", "current_a": fan_a}
    inputs = [{"id": "main", "demand": demand}]
    fan = {"kind": "load", "id": "fan", "name": "Fan", "role": "other", "inputs": inputs}
    body["parts"] += [{"kind": "panel", "id": "panel", "name": "Panel", "sections": [section]}, fan]
    move(body, "c4", "tail", "panel/dc-w1")
    body["conductors"] += [
        wire("feed", "plus/stud-2", "panel/dc-feed"),
        wire("f1", "panel/dc-w2", "fan/main"),
        wire("f2", "fan/negative", "minus/stud-4"),
    ]
    body["modes"][0]["on"].append({"part": "fan"})
    return body


def over(body: dict[str, Any]) -> dict[str, Finding]:
    boat = read(body)
    return {one.subjects[1]: one for one in overloaded_panels(boat, analyse_mode(boat, "sailing"))}


def below(body: dict[str, Any]) -> list[Finding]:
    return list(panels_below_load(read(body)))


def test_main_device_and_bar_are_held_to_the_current_of_the_feed() -> None:
    """The fan's 20 A and the radio's 20 W at 11.6 V come in by the feed."""
    found = over(panelled(20.0, main=15.0, bar=21.0))

    assert set(found) == {"panel.dc-main", "panel.dc-bar"}
    assert {(one.code, one.severity) for one in found.values()} == {("over-rating", "fault")}
    assert found["panel.dc-main"].message == "The main device of Panel, DC, carries 22 A; it may carry 15 A."
    assert found["panel.dc-bar"].figure is not None
    assert found["panel.dc-bar"].figure.value == pytest.approx(20.0 + 20.0 / 11.6, abs=0.02)
    assert over(panelled(20.0, main=25.0, bar=25.0)) == {}
    assert over(panelled(20.0)) == {}


def test_the_calculation_is_held_to_device_bar_and_feeder_and_is_never_more_than_advice() -> None:
    """A: the radio's 2 A. B: the fan. The 30 A fuse of the bank stands before the panel."""
    (one,) = below(panelled(29.0))

    assert (one.code, one.severity, one.source_status) == ("panel-load", "advice", "memory")
    assert one.figure is not None
    assert one.figure.value == pytest.approx(31.0)
    assert one.limit is not None
    assert one.limit.value == 30.0
    assert "confirm it in the standard" in one.message
    assert below(panelled(28.0)) == []


def test_the_bar_counts_where_it_is_the_weakest() -> None:
    (one,) = below(panelled(20.0, bar=15.0))

    assert "its bar has 15 A" in one.message


def test_a_feeder_counts_where_it_is_the_weakest() -> None:
    """16 AWG of 105 °C may carry 25 A (33 CFR 183.425 Table 5)."""
    body = panelled(27.0)
    feed = next(one for one in body["conductors"] if one["id"] == "feed")
    feed["size"] = {"label": "16 AWG", "area_mm2": 1.31, "resistance_ohm_per_m": 0.0132}

    (one,) = below(body)

    assert "its feeder may carry 25 A" in one.message


def test_two_panels_one_behind_the_other_are_each_told_what_hangs_on_them() -> None:
    """The second hangs on the fan's way with a converter and an inverter; the radio stays above."""
    body = panelled(6.0, bar=12.0)
    ways = [{"id": "w1", "name": "Fan", "device_kind": "fuse", "device": {"rating_a": 10.0}}]
    section = {"id": "dc", "name": "DC", "polarity": "positive", "bar_rating_a": 12.0, "ways": ways}
    body["parts"] += [
        {"kind": "panel", "id": "second", "name": "Second", "sections": [section]},
        {"kind": "converter", "id": "dcdc", "name": "Converter", "output_v": 12.0, "rated_current_a": 9.0,
         "efficiency": 0.9},
        {"kind": "inverter", "id": "inv", "name": "Inverter", "rated_power_w": 120.0, "efficiency": 1.0},
    ]  # fmt: skip
    move(body, "f1", "tail", "second/dc-w1")
    body["conductors"] += [
        wire("feed2", "panel/dc-w2", "second/dc-feed"),
        wire("d1", "second/dc-w1", "dcdc/input"),
        wire("i1", "second/dc-w1", "inv/positive"),
    ]

    found = {one.subjects[0]: one for one in below(body)}

    assert set(found) == {"panel", "second"}
    assert found["second"].figure is not None
    assert found["panel"].figure is not None
    assert found["panel"].figure.value == pytest.approx(found["second"].figure.value + 2.0)


def test_a_panel_straight_on_a_battery_is_not_calculated() -> None:
    body = panelled(40.0, bar=15.0)
    move(body, "feed", "tail", "house/positive")

    assert below(body) == []


def test_only_the_practice_that_has_the_calculation_uses_it() -> None:
    assert below(panelled(29.0) | {"practice": {"profile": "iso-metric"}}) == []
    assert below(panelled(29.0) | {"modes": []}) == []


def test_an_empty_or_a_negative_section_has_nothing_to_calculate() -> None:
    body = panelled(10.0)
    empty = {"id": "dc", "name": "DC", "polarity": "positive", "bar_rating_a": 1.0}
    negative = {"id": "neg", "name": "Negative", "polarity": "negative", "bar_rating_a": 1.0, "studs": 4}
    body["parts"].append(
        {"kind": "panel", "id": "empty", "name": "Empty", "sections": [empty, negative]}
    )  # fmt: skip

    assert below(body) == []


def test_what_only_charges_takes_nothing_out_of_the_calculation() -> None:
    """A solar panel on the second panel, or on the bar itself, feeds neither instead of the battery.

    The fan's 30 A of column B hang on the second panel; with the radio's 2 A of A the first needs 32 A.
    """
    body = panelled(30.0, main=25.0)
    ways = [{"id": "w1", "name": "Fan", "device_kind": "breaker", "device": {"rating_a": 40.0}},
            {"id": "w2", "name": "Solar", "device_kind": "fuse", "device": {"rating_a": 15.0}}]  # fmt: skip
    section = {"id": "dc", "name": "DC", "polarity": "positive", "ways": ways}
    body["parts"] += [
        {"kind": "panel", "id": "second", "name": "Second", "sections": [section]},
        {"kind": "solar", "id": "sun", "name": "Solar", "rated_current_a": 10.0},
    ]
    move(body, "f1", "tail", "second/dc-w1")
    body["conductors"] += [
        wire("feed2", "panel/dc-w2", "second/dc-feed"),
        wire("s1", "sun/positive", "second/dc-w2"),
        wire("s2", "sun/negative", "minus/stud-5"),
    ]
    (one,) = (found for found in below(body) if found.subjects[0] == "panel")
    assert one.figure is not None
    assert one.figure.value == pytest.approx(32.0)
    next(wired for wired in body["conductors"] if wired["id"] == "s1")["head"] = {
        "part": "panel", "terminal": "dc-feed",
    }  # fmt: skip
    assert [found.subjects[0] for found in below(body)] == ["panel"]


def test_a_panel_fed_from_two_sides_does_not_take_in_what_lies_beyond_a_battery() -> None:
    body = panelled(30.0, main=35.0)
    body["parts"] += [
        {"kind": "battery", "id": "bow", "name": "Bow", "chemistry": "agm", "nominal_voltage_v": 12.0,
         "capacity_ah": 100.0, "internal_resistance_ohm": 0.005, "bank": "bow"},
        {"kind": "load", "id": "lamp", "name": "Lamp", "role": "other",
         "inputs": [{"id": "main", "demand": {"kind": "constant-current", "current_a": 50.0}}]},
    ]  # fmt: skip
    body["conductors"] += [
        wire("b1", "bow/positive", "panel/dc-w2"),
        wire("b2", "bow/negative", "minus/stud-5"),
        wire("b3", "lamp/main", "bow/positive"),
        wire("b4", "lamp/negative", "minus/stud-6"),
    ]

    assert below(body) == []
