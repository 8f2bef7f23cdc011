"""Currents against ratings, on the small boat with a heater that draws about 60 A through 10 AWG."""

from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.checks.ratings import overloaded_conductors, overloaded_parts
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, small, wire


def with_heater(amps: float, **more: object) -> dict[str, Any]:
    """A load of fixed current on the buses, in 10 AWG of 105 °C: 60 A by 33 CFR 183.425 Table 5."""
    body = small()
    heater = {
        "kind": "load",
        "id": "heater",
        "name": "Heater",
        "role": "heating",
        "inputs": [{"id": "main", "demand": {"kind": "constant-current", "current_a": amps}}],
        **more,
    }
    body["parts"].append(heater)
    body["conductors"] += [
        wire("h1", "plus/stud-3", "heater/main"),
        wire("h2", "heater/negative", "minus/stud-4"),
    ]
    body["modes"][0]["on"].append({"part": "heater"})
    return body


def conductors(boat: Boat) -> dict[str, Finding]:
    return {one.subjects[0]: one for one in overloaded_conductors(boat, analyse_mode(boat, "sailing"))}


def parts(boat: Boat) -> dict[str, Finding]:
    return {one.subjects[0]: one for one in overloaded_parts(boat, analyse_mode(boat, "sailing"))}


def test_a_conductor_above_its_published_ampacity_is_a_danger() -> None:
    found = conductors(read(with_heater(70.0)))

    assert set(found) == {"c1", "c2", "c3", "h1", "h2", "c6", "c7"}
    assert found["h1"].severity == "danger"
    assert found["h1"].limit is not None
    assert found["h1"].limit.value == 60.0
    assert found["h1"].figure is not None
    assert found["h1"].figure.value == pytest.approx(70.0)
    assert found["h1"].message == "The heater's positive lead carries 70 A; it may carry 60 A all day."


def test_a_conductor_within_it_is_not_spoken_of() -> None:
    assert conductors(read(with_heater(50.0))) == {}


def test_in_an_engine_space_less_is_allowed() -> None:
    """Table 5 note 1: 0.85 at 105 °C insulation, so 51 A."""
    body = with_heater(55.0)
    next(one for one in body["conductors"] if one["id"] == "h1")["in_engine_space"] = "yes"

    assert set(conductors(read(body))) == {"h1"}


@pytest.mark.parametrize(("on_s", "is_sound"), [(None, False), (60.0, True), (100.0, False)])
def test_a_load_that_runs_for_a_short_time_is_judged_by_the_heat_of_one_use(
    on_s: float | None, is_sound: bool
) -> None:
    """By (k S / I)² of IEC 60949 from 30 to 105 °C, k = 112.9: 5.26 mm² carries 70 A for 72 s from cold."""
    found = conductors(read(with_heater(70.0, duty="short-time", duty_on_s=on_s)))

    assert ("h1" not in found) == is_sound
    stands_s = (112.92 * 5.26 / 70.0) ** 2
    assert stands_s == pytest.approx(72.0, rel=0.01)
    for one in found.values():
        assert one.severity == "cannot-tell"
    if not is_sound:
        assert found["h1"].message.endswith(
            "all day: with Heater in it, which run for a short time: see for how long; about 72 s is safe."
        )


@pytest.mark.parametrize(
    ("missing", "told"),
    [
        ({"insulation_c": None}, "about 31 s is safe."),
        ({"size": None}, "see for how long, and enter its size."),
    ],
)
def test_a_makers_figure_alone_says_less_of_a_short_time(missing: dict[str, Any], told: str) -> None:
    """Unstated is taken for 60 °C: k = 226 √ln(294.5 / 264.5) = 74.1; 5.26 mm² at 70 A stands 31 s."""
    body = with_heater(70.0, duty="short-time")
    body["cables"] = [{"id": "k", "construction": "single", "makers_ampacity_a": 60.0}]
    heater = next(one for one in body["conductors"] if one["id"] == "h1")
    heater.update({"cable": "k", "measured_resistance_ohm": 0.004, **missing})

    assert conductors(read(body))["h1"].message.endswith(told)


def test_a_conductor_over_its_ampacity_without_the_short_load_is_a_danger_all_the_same() -> None:
    body = with_heater(70.0)
    windlass = {**part(body, "heater"), "id": "windlass", "name": "Windlass", "duty": "short-time"}
    body["parts"].append(windlass)
    body["conductors"] += [
        wire("w1", "plus/stud-4", "windlass/main"),
        wire("w2", "windlass/negative", "minus/stud-5"),
    ]
    body["modes"][0]["on"].append({"part": "windlass"})

    found = conductors(read(body))

    assert (found["c2"].severity, found["w1"].severity) == ("danger", "cannot-tell")
    assert found["c2"].figure is not None
    assert found["c2"].figure.value == pytest.approx(71.7, abs=0.5)


@pytest.mark.parametrize(
    "missing",
    [{"insulation_c": None}, {"size": {"label": "odd", "area_mm2": 5.0, "resistance_ohm_per_m": 0.003}}],
)
def test_without_a_published_figure_nothing_is_judged(missing: dict[str, Any]) -> None:
    body = with_heater(70.0)
    for one in body["conductors"]:
        one.update(missing)

    assert conductors(read(body)) == {}


def test_a_fuse_and_a_bar_above_their_ratings_are_faults() -> None:
    body = with_heater(50.0)
    part(body, "plus")["rated_current_a"] = 45.0

    found = parts(read(body))

    assert set(found) == {"fuse", "plus"}
    assert {one.severity for one in found.values()} == {"fault"}
    assert found["fuse"].message.startswith("Main fuse carries 52 A; it may carry 30 A all day")
    assert found["plus"].limit is not None
    assert found["plus"].limit.value == 45.0


def test_a_panel_way_and_a_connector_are_judged_too() -> None:
    body = with_heater(8.0)
    way = {"id": "w1", "name": "Heater", "device_kind": "breaker", "device": {"rating_a": 5.0}}
    section = {"id": "dc", "name": "DC", "polarity": "positive", "ways": [way, {"id": "w2", "name": "Bare"}]}
    plug = {
        "kind": "connector",
        "id": "plug",
        "name": "Plug",
        "style": "plug",
        "pins": 1,
        "rated_current_a": 6.0,
    }
    body["parts"] += [{"kind": "panel", "id": "panel", "name": "Panel", "sections": [section]}, plug]
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "h1"]
    body["conductors"] += [
        wire("p1", "plus/stud-3", "panel/dc-feed"),
        wire("p2", "panel/dc-w1", "plug/a-1"),
        wire("p3", "plug/b-1", "heater/main"),
    ]

    found = parts(read(body))

    assert set(found) == {"panel", "plug"}
    assert found["panel"].message == "Panel, Heater, carries 8 A; it may carry 5 A all day."
