"""Remarks that need no physics."""

from server.boat.boat import Boat, NotSeen
from server.boat.completeness import remarks
from server.boat.conductors import Cable
from server.boat.constructors import electronics, wire
from server.boat.edits import AddCable, AddConductor, AddPart, ChangeValue, Rename, apply
from tests.boat.small_boat import BOAT


def told(boat: Boat, code: str) -> list[tuple[tuple[str, ...], str]]:
    return [(remark.subjects, remark.message) for remark in remarks(boat) if remark.code == code]


def test_loose_ends_are_told_with_their_side() -> None:
    boat = apply(BOAT, AddConductor(conductor=wire("lost", None, None)))

    assert told(boat, "loose-end") == [
        (("plotter-n",), "Conductor plotter-n: the head is loose."),
        (("lost",), "Conductor lost: both ends are loose."),
    ]


def test_a_wire_without_size_or_length_is_told_and_a_bolted_joint_is_not() -> None:
    assert [subjects for subjects, _ in told(BOAT, "size-not-known")] == [("bus-block",)]
    assert told(BOAT, "length-not-known") == [
        (("plotter-p",), "Conductor plotter-p: its length is not known.")
    ]


def test_names_and_cable_numbers_used_twice_are_told_once_whatever_their_capitals() -> None:
    boat = apply(BOAT, AddPart(part=electronics("twin", "  autoPILOT ", 5.0)))
    boat = apply(boat, AddCable(cable=Cable(id="w8", number="w7", construction="twin")))
    boat = apply(boat, AddCable(cable=Cable(id="w9", construction="twin")))
    boat = apply(boat, AddCable(cable=Cable(id="w10", construction="twin")))
    boat = apply(boat, Rename(id="starting", name="Sailing"))

    assert told(boat, "name-used-twice") == [
        (("pilot", "twin"), "2 parts are called “Autopilot”."),
        (("sailing", "starting"), "2 modes are called “Sailing”."),
    ]
    assert told(boat, "cable-number-used-twice") == [(("w7", "w8"), "2 cables have the number “W7”.")]


def test_what_was_not_found_or_not_seen_is_told() -> None:
    boat = apply(BOAT, ChangeValue(id="pilot-n", field="trace", value="not-found"))
    boat = apply(boat, ChangeValue(id="plotter-n", field="trace", value="not-found"))
    boat = apply(boat, ChangeValue(id="pilot", field="trace", value="not-found"))
    boat = boat.model_copy(update={"not_seen": (*boat.not_seen, NotSeen(id="mast", what="the mast"))})

    assert told(boat, "not-found") == [
        (("pilot",), "Autopilot: looked for and not found."),
        (("pilot-n",), "Pilot negative: looked for and not found."),
        (("plotter-n",), "Conductor plotter-n: looked for and not found."),
    ]
    assert told(boat, "not-seen") == [
        (("unseen", "bus"), "Not seen: behind the tank"),
        (("mast",), "Not seen: the mast"),
    ]
