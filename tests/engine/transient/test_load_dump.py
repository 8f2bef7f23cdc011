"""Which turn of which switch takes the battery off an alternator: wirings drawn to have one fault each."""

from typing import Any

import pytest

from server.boat.boat import Boat
from server.engine.transient.load_dump import LostBattery, lost_batteries
from tests.engine.boats import boat, load, part, wire

ALTERNATOR: dict[str, Any] = {
    "kind": "alternator",
    "id": "alternator",
    "name": "Alternator",
    "rated_current_a": 60.0,
    "suppressor": "yes",
}
SECOND = part("battery", id="second", name="Second battery")


def selector(order: str | None, **more: object) -> dict[str, Any]:
    """A switch in the place of the small boat's: off, one, both, two."""
    one, two = ["in", "out"], ["two", "out"]
    positions = [
        {"id": "off", "name": "Off", "closed": []},
        {"id": "one", "name": "One", "closed": [one]},
        {"id": "both", "name": "Both", "closed": [one, two]},
        {"id": "two", "name": "Two", "closed": [two]},
    ]
    return {
        **part("switch"),
        "terminals": ["in", "two", "out"],
        "positions": positions,
        "normal": "one",
        "order": order,
        **more,
    }


def wired(
    *, to: str, order: str | None = None, alternator: dict[str, Any] = ALTERNATOR, **more: object
) -> Boat:
    """The small boat with a selector, a second battery, and an alternator that lands on a terminal."""
    return boat(
        parts=[selector(order, **more), SECOND, alternator],
        conductors=[
            wire("w-second", "second.positive", "switch.two"),
            wire("w-second-return", "second.negative", "bar.stud-3"),
            wire("w-charge", "alternator.positive", to),
            wire("w-charge-return", "alternator.negative", "block.stud-2"),
        ],
    )


def lost(wiring: Boat) -> tuple[LostBattery, ...]:
    """What is lost from its first mode."""
    return lost_batteries(wiring, wiring.modes[0])


def positions(found: tuple[LostBattery, ...]) -> set[str | None]:
    """The positions that lose the battery."""
    return {one.after for one in found if one.how == "position"}


def turns(found: tuple[LostBattery, ...]) -> set[tuple[str | None, str | None]]:
    """The turns that do."""
    return {(one.before, one.after) for one in found if one.how == "turn"}


def test_an_alternator_on_the_common_loses_its_battery_at_off() -> None:
    """Vehicle and boat practice: never turn a selector through OFF with the engine running."""
    found = lost(wired(to="switch.out", order="make-before-break"))

    assert positions(found) == {"Off"}
    assert not turns(found)
    assert next(one for one in found if one.how == "position").sharing == ("Plotter", "Starter")
    assert all(one.suppressed and one.certain for one in found)


def test_a_selector_that_breaks_before_it_makes_loses_it_on_the_way() -> None:
    """From one to two nothing stays joined; from one to both the first battery does."""
    found = lost(wired(to="switch.out", order="break-before-make"))

    assert turns(found) == {("One", "Two"), ("Two", "One")}
    assert all(one.certain for one in found)


def test_where_nobody_knows_the_order_the_turn_may_lose_it() -> None:
    found = lost(wired(to="switch.out"))

    assert turns(found) == {("One", "Two"), ("Two", "One")}
    assert not any(one.certain for one in found if one.how == "turn")


def test_an_alternator_on_its_battery_loses_it_only_by_what_lies_between() -> None:
    assert not lost(wired(to="battery.positive"))
    assert [(one.how, one.switch) for one in lost(wired(to="fuse.load"))] == [("device", "fuse")]


def test_an_isolator_counts_as_a_way_to_the_battery() -> None:
    diodes = {"kind": "isolator", "id": "isolator", "name": "Isolator"}
    wiring = boat(
        parts=[ALTERNATOR, diodes],
        conductors=[
            wire("w-charge", "alternator.positive", "isolator.input"),
            wire("w-out", "isolator.output-1", "battery.positive"),
            wire("w-charge-return", "alternator.negative", "block.stud-2"),
        ],
    )

    assert not lost(wiring)


def test_a_lost_return_is_a_lost_battery() -> None:
    wiring = boat(
        parts=[{**ALTERNATOR, "suppressor": "no"}],
        conductors=[wire("w-charge", "alternator.positive", "battery.positive")],
    )
    found = lost(wiring)

    assert [(one.how, one.suppressed) for one in found] == [("already", False)]


def test_a_contact_that_opens_the_field_first_is_told() -> None:
    field = {"name": "Field", "terminals": ["f1", "f2"], "closed_in": ["one"], "leads_main": "yes"}
    found = lost(wired(to="switch.out", order="make-before-break", auxiliary=[field]))

    assert [one.field_opens for one in found if one.how == "position"] == [True]


@pytest.mark.parametrize(("charging_a", "found"), [(20.0, {"outboard"}), (None, set())])
def test_an_outboard_that_charges_is_an_alternator(charging_a: float | None, found: set[str]) -> None:
    starter = {"kind": "motor", "running_current_a": 90.0}
    engine = {
        "kind": "outboard",
        "id": "outboard",
        "name": "Outboard",
        "starter": starter,
        "charging_a": charging_a,
    }
    wiring = boat(
        parts=[engine, load("lamp", {"kind": "resistive", "rated_power_w": 10.0, "rated_voltage_v": 12.0})],
        conductors=[
            wire("w-engine", "outboard.positive", "switch.out"),
            wire("w-engine-return", "outboard.negative", "bar.stud-3"),
        ],
    )

    assert {one.alternator for one in lost(wiring)} == found
