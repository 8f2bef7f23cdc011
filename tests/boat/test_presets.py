"""Contacts by the trade's words: which terminals each position joins (common practice, no source)."""

import pytest

from server.boat.boat import Boat
from server.boat.devices import Coil
from server.boat.document import boat_bytes, read_boat
from server.boat.parts import Contact
from server.boat.presets import (
    PRESETS,
    emergency_parallel,
    latching_relay,
    on_off,
    relay,
    remote,
    reversing_contactor,
    selector,
    two_circuit,
    two_pole,
)


def joined(contact: Contact, position: str) -> set[frozenset[str]]:
    return {frozenset(pair) for one in contact.positions if one.id == position for pair in one.closed}


@pytest.mark.parametrize("name", PRESETS)
def test_every_preset_is_a_valid_part_that_knows_its_name_and_opens_everything_when_off(name: str) -> None:
    contact = PRESETS[name]("contact", "Contact")
    boat = Boat(format="tapchart.boat", version=1, name="B", nominal_voltage_v=12.0, parts=(contact,))

    assert contact.preset == name
    assert joined(contact, "off") == set()
    assert read_boat(boat_bytes(boat)).parts == (contact,)


def test_a_selector_joins_one_two_or_both_and_makes_before_it_breaks() -> None:
    contact = selector("s", "S", resistance_ohm=0.0002, cranking_a=1500.0)
    one, two = frozenset({"battery-1", "common"}), frozenset({"battery-2", "common"})

    assert joined(contact, "one") == {one}
    assert joined(contact, "two") == {two}
    assert joined(contact, "both") == {one, two}
    assert contact.order == "make-before-break"
    assert contact.is_battery_switch
    assert (contact.resistance_ohm, contact.cranking_a) == (0.0002, 1500.0)


def test_a_two_circuit_switch_keeps_banks_apart_until_it_combines_them() -> None:
    contact = two_circuit("s", "S", normal="combine")
    apart = {frozenset({"start-in", "start-out"}), frozenset({"house-in", "house-out"})}

    assert joined(contact, "on") == apart
    assert joined(contact, "combine") == apart | {frozenset({"start-in", "house-in"})}
    assert contact.normal == "combine"


def test_a_two_pole_switch_never_joins_the_poles() -> None:
    contact = two_pole("s", "S")

    assert joined(contact, "on") == {
        frozenset({"positive-in", "positive-out"}),
        frozenset({"negative-in", "negative-out"}),
    }
    assert contact.poles == 2


def test_a_reversing_contactor_swaps_the_motor_and_never_joins_the_poles() -> None:
    contact = reversing_contactor("s", "S")

    assert joined(contact, "forward") == {
        frozenset({"positive", "motor-a"}),
        frozenset({"negative", "motor-b"}),
    }
    assert joined(contact, "reverse") == {
        frozenset({"positive", "motor-b"}),
        frozenset({"negative", "motor-a"}),
    }
    assert contact.order == "break-before-make"


def test_what_moves_a_contact_and_whether_it_stays() -> None:
    coil = Coil(kind="coil", current_a=0.2, rated_voltage_v=12.0)

    assert (on_off("s", "S").actuator, on_off("s", "S").normal) == ("hand", "on")
    assert (remote("s", "S").actuator, remote("s", "S").latching) == ("motor", True)
    assert (latching_relay("s", "S").actuator, latching_relay("s", "S").latching) == ("coil", True)
    assert (relay("s", "S", coil=coil).coil, relay("s", "S").normal) == (coil, "off")
    assert (emergency_parallel("s", "S").momentary, emergency_parallel("s", "S").normal) == (True, "off")
