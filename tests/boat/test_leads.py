"""What a lead is: the unbranched chain from a terminal to its tap."""

import pytest

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.constructors import at, fuse, wire
from server.boat.edits import AddConductor, AddPart, apply
from server.boat.leads import Landings, across, lead, lead_terminals, leads, polarity_of
from server.boat.parts import AnyPart, Battery, Combiner, Connector, Converter
from server.boat.presets import selector
from tests.boat.small_boat import BOAT, OUTBOARD, PARTS, PILOT, conductor


def with_wire(boat: Boat, name: str, tail: str, head: str | None) -> Boat:
    return apply(boat, AddConductor(conductor=wire(name, tail, head)))


def test_a_lead_runs_through_fuse_and_switch_to_the_first_bar_or_way() -> None:
    found = lead(BOAT, "pilot", "main")

    assert found.conductors == ("pilot-a", "pilot-b", "pilot-c")
    assert found.inline == ("pilot-fuse", "switch")
    assert found.tap == at("panel.main-w1")
    assert (found.last, found.far) == ("pilot-c", "head")
    assert found.polarity == "positive"
    assert found.reason is None


def test_the_far_end_may_be_either_end_of_the_last_conductor() -> None:
    turned = conductor(BOAT, "pilot-c").model_copy(
        update={"tail": at("panel.main-w1"), "head": at("switch.out")}
    )
    conductors = tuple(turned if item.id == "pilot-c" else item for item in BOAT.conductors)

    found = lead(BOAT.model_copy(update={"conductors": conductors}), "pilot", "main")

    assert (found.last, found.far) == ("pilot-c", "tail")


def test_a_lead_ends_where_anything_else_lands_on_the_near_side_of_a_fuse() -> None:
    found = lead(with_wire(BOAT, "extra", "pilot-fuse.load", None), "pilot", "main")

    assert found.conductors == ("pilot-a",)
    assert found.inline == ()
    assert found.tap == at("pilot-fuse.load")


def test_a_fuse_on_whose_far_side_others_meet_cannot_be_moved_away_from() -> None:
    found = lead(with_wire(BOAT, "extra", "pilot-fuse.line", None), "pilot", "main")

    assert found.inline == ("pilot-fuse",)
    assert found.tap == at("pilot-fuse.line")
    assert found.last is None
    assert "Several conductors meet on “Pilot fuse”" in (found.reason or "")


def test_a_fuse_with_nothing_beyond_has_no_far_end() -> None:
    lone = fuse("lone", "Lone fuse", 5.0)
    boat = with_wire(apply(BOAT, AddPart(part=lone)), "wake", "pilot.wake", "lone.load")

    found = lead(boat, "pilot", "wake")

    assert found.tap is None
    assert found.last is None
    assert "Nothing lands beyond “Lone fuse”" in (found.reason or "")


def test_a_loose_lead_has_no_tap_but_an_end_that_can_be_moved() -> None:
    found = lead(BOAT, "plotter", "negative")

    assert found.tap is None
    assert (found.last, found.far) == ("plotter-n", "head")
    assert found.polarity == "negative"


def test_without_a_conductor_or_with_two_there_is_no_single_lead() -> None:
    two = with_wire(BOAT, "second", "pilot.negative", "bus.stud-2")

    assert "No conductor lands" in (lead(BOAT, "pilot", "wake").reason or "")
    assert "2 conductors land" in (lead(two, "pilot", "negative").reason or "")
    assert lead(two, "pilot", "negative").conductors == ()


def test_a_ring_of_fuses_ends_at_the_part_it_began_on() -> None:
    ring = Boat(
        format="tapchart.boat",
        version=1,
        name="Ring",
        nominal_voltage_v=12.0,
        parts=(fuse("one", "One", 5.0), fuse("two", "Two", 5.0)),
        conductors=(wire("a", "one.line", "two.line"), wire("b", "two.load", "one.load")),
    )

    found = lead(ring, "one", "line")

    assert found.conductors == ("a", "b")
    assert found.tap == at("one.load")


def test_pins_of_a_plug_are_passed_pin_by_pin() -> None:
    plug = Connector(kind="connector", id="plug", name="Mast plug", style="deck-plug", pins=5)
    boat = apply(BOAT, AddPart(part=plug))
    boat = with_wire(boat, "up", "pilot.wake", "plug.a-3")
    boat = with_wire(boat, "down", "plug.b-3", "panel.main-stud-1")

    found = lead(boat, "pilot", "wake")

    assert found.inline == ("plug",)
    assert found.tap == at("panel.main-stud-1")


def test_only_the_two_main_terminals_of_a_single_contact_are_in_line() -> None:
    parts = {part.id: part for part in PARTS}

    assert across(parts["relay"], "in") == "out"
    assert across(parts["relay"], "coil-positive") is None
    assert across(selector("s", "S"), "common") is None
    assert across(parts["pilot-fuse"], "load") == "line"
    assert across(parts["bus"], "stud-1") is None


CONVERTER = Converter(kind="converter", id="c", name="C", output_v=12.0, rated_current_a=30.0, isolated=True)


@pytest.mark.parametrize(
    ("part", "terminal", "polarity"),
    [
        (PILOT, "main", "positive"),
        (PILOT, "negative", "negative"),
        (CONVERTER, "output-negative", "negative"),
        (CONVERTER, "output", "positive"),
        (Combiner(kind="combiner", id="k", name="K"), "ground", "negative"),
        (OUTBOARD, "positive", "positive"),
    ],
)
def test_a_lead_has_the_polarity_of_its_terminal(part: AnyPart, terminal: str, polarity: str) -> None:
    assert polarity_of(part, terminal) == polarity


def test_leads_begin_on_loads_sources_and_coils() -> None:
    battery = Battery(kind="battery", id="b", name="B", chemistry="gel", nominal_voltage_v=12.0)
    parts = {part.id: part for part in PARTS}

    assert lead_terminals(battery) == ()
    assert lead_terminals(OUTBOARD) == ("positive", "negative")
    assert lead_terminals(parts["relay"]) == ("coil-positive", "coil-negative")
    assert lead_terminals(parts["switch"]) == ()
    assert [(one.part, one.terminal) for one in leads(BOAT)][:3] == [
        ("pilot", "main"),
        ("pilot", "wake"),
        ("pilot", "negative"),
    ]


def test_landings_tell_both_ends_of_every_conductor() -> None:
    landings = Landings.of(BOAT)

    assert [end.conductor.id for end in landings.at("block", "stud-1")] == ["pilot-n", "crank-n"]
    assert landings.at("bus", "stud-4") == ()
    (end,) = landings.at("bus", "stud-1")
    assert end.terminal == at("bus.stud-1")
    assert end.other.terminal == at("block.stud-2")
    assert sum(len(ends) for ends in landings.ends.values()) == sum(
        (item.tail is not None) + (item.head is not None) for item in BOAT.conductors
    )


def test_a_conductor_with_a_loose_tail_lands_once() -> None:
    loose = Conductor(id="loose", kind="wire", head=at("bus.stud-2"))
    landings = Landings.of(apply(BOAT, AddConductor(conductor=loose)))

    assert len(landings.at("bus", "stud-2")) == 1
