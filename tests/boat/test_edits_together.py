"""Many additions or removals in one step give what they give one after the other."""

import hypothesis.strategies as st
import pytest
from hypothesis import given

from server.boat.boat import Boat
from server.boat.conductors import Cable
from server.boat.constructors import fuse, wire
from server.boat.document import boat_bytes
from server.boat.edits import (
    AddCable,
    AddConductor,
    AddPart,
    EditError,
    RemoveCable,
    RemoveConductor,
    RemovePart,
    SetOn,
    Several,
    SingleEdit,
    apply,
)
from tests.boat.small_boat import BOAT
from tests.boat.strategies import boats
from tests.boat.test_laws import LAW

KINDS = {"parts": RemovePart, "conductors": RemoveConductor, "cables": RemoveCable}


def in_turn(boat: Boat, edits: tuple[SingleEdit, ...]) -> Boat:
    for edit in edits:
        boat = apply(boat, edit)
    return boat


def at_once(boat: Boat, edits: tuple[SingleEdit, ...]) -> Boat:
    return apply(boat, Several(edits=edits, label="Several"))


@LAW
@given(st.data())
def test_removals_at_once_are_removals_in_turn(data: st.DataObject) -> None:
    boat = data.draw(boats(3))
    all_of_them = [kind(id=one.id) for group, kind in KINDS.items() for one in getattr(boat, group)]
    edits = tuple(data.draw(st.lists(st.sampled_from(all_of_them), min_size=2, unique=True)))

    assert boat_bytes(at_once(boat, edits)) == boat_bytes(in_turn(boat, edits))


ADDED: tuple[SingleEdit, ...] = (
    AddPart(part=fuse("new-fuse", "New", 5.0)),
    AddCable(cable=Cable(id="new-cable", construction="single")),
    AddConductor(
        conductor=wire("new-wire", "new-fuse.line", "bus.stud-2").model_copy(update={"cable": "new-cable"})
    ),
    SetOn(mode="sailing", part="starter", on=True),
    RemovePart(id="plotter"),
    RemoveConductor(id="new-wire"),
    RemoveCable(id="new-cable"),
)


def test_additions_and_removals_at_once_are_the_same_in_turn() -> None:
    assert boat_bytes(at_once(BOAT, ADDED)) == boat_bytes(in_turn(BOAT, ADDED))
    assert at_once(BOAT, ADDED[:3]).conductors[-1].cable == "new-cable"


@pytest.mark.parametrize(
    ("edits", "field"),
    [
        ((ADDED[0], ADDED[0]), "edits.1.part.id"),
        ((ADDED[0], AddPart(part=fuse("bus", "Bus", 5.0))), "edits.1.part.id"),
        ((ADDED[2], ADDED[0]), "edits.0.conductor.tail.part"),
        ((ADDED[3], RemovePart(id="bus"), RemovePart(id="bus")), "edits.2.id"),
        ((RemoveConductor(id="bus"), RemovePart(id="bus")), "edits.0.id"),
    ],
)
def test_the_first_that_does_not_fit_is_named(edits: tuple[SingleEdit, ...], field: str) -> None:
    with pytest.raises(EditError) as refused:
        at_once(BOAT, edits)

    assert refused.value.field == field
