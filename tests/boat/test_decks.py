"""Decks: which one a height belongs to, and what goes with a deck that is taken off."""

import json

import hypothesis.strategies as st
import pytest
from hypothesis import given

from server.boat.boat import Zone
from server.boat.decks import Deck, deck_at, deck_of, upwards
from server.boat.document import DocumentError, boat_bytes, read_boat
from server.boat.edits import EditError, PlacePart, PutDeck, PutWaypoint, PutZone, TakeOffPlan, apply, label
from server.boat.hull import rectangle
from server.boat.routes import Routes
from server.boat.runs import Waypoint
from tests.boat.run_boat import BOAT, at
from tests.boat.test_laws import LAW

SOLE = Deck(id="sole", name="Cabin sole", floor_m=-0.2)
BRIDGE = Deck(id="bridge", name="Bridge deck", floor_m=1.8)
ROOM = rectangle(6.0, 9.0, -1.5, 1.5)


@LAW
@given(st.lists(st.floats(-5, 20), min_size=1, max_size=5), st.floats(-9, 30))
def test_no_other_floor_lies_between_a_height_and_its_deck(floors: list[float], height: float) -> None:
    decks = [Deck(id=f"d{n}", name="Deck", floor_m=floor) for n, floor in enumerate(floors)]
    found = deck_at(decks, height)

    assert found is not None
    assert not any(found.floor_m < floor <= height for floor in floors)
    assert found.floor_m <= height or all(height < floor for floor in floors)
    assert [one.floor_m for one in upwards(decks)] == sorted(floors)


def test_what_was_put_on_a_deck_is_there_whatever_its_height() -> None:
    low = Waypoint(id="w", name="W", place=at(2.0, height_m=0.3))

    assert deck_of(low, (BRIDGE, SOLE)) == "sole"
    assert deck_of(low.model_copy(update={"deck": "bridge"}), (BRIDGE, SOLE)) == "bridge"
    assert deck_of(low.model_copy(update={"place": None}), (BRIDGE, SOLE)) is None
    assert deck_of(low, ()) is None


def test_a_deck_that_is_taken_off_is_forgotten_by_everything_on_it() -> None:
    boat = apply(BOAT, PutDeck(deck=SOLE))
    boat = apply(boat, PlacePart(part="lamp", deck="sole"))
    boat = apply(boat, PutWaypoint(waypoint=Waypoint(id="mast", name="Mast", deck="sole")))
    boat = apply(boat, PutZone(zone=Zone(id="cabin", name="Cabin", deck="sole")))
    bare = apply(boat, TakeOffPlan(id="sole"))

    assert read_boat(boat_bytes(boat)) == boat
    assert boat_bytes(boat).decode().count('"sole"') == 4
    assert '"sole"' not in boat_bytes(bare).decode()
    assert "deck" not in boat_bytes(bare).decode()


@pytest.mark.parametrize("group", ["parts", "waypoints", "zones"])
def test_a_deck_that_is_not_there_is_refused_with_its_place(group: str) -> None:
    document = json.loads(boat_bytes(BOAT))
    document[group][1]["deck"] = "attic"
    with pytest.raises(DocumentError) as error:
        read_boat(json.dumps(document).encode())

    assert f"{group}[1].deck" in str(error.value)
    with pytest.raises(EditError, match="no deck"):
        apply(BOAT, PlacePart(part="lamp", deck="attic"))


def test_the_history_tells_of_decks() -> None:
    boat = apply(BOAT, PutDeck(deck=SOLE))

    assert label(BOAT, PutDeck(deck=SOLE)) == "Cabin sole put on the plan"
    assert label(boat, PutDeck(deck=SOLE)) == "Cabin sole on the plan changed"
    assert label(boat, PlacePart(part="lamp", deck="sole")) == "Mast lamp: on Cabin sole"
    assert label(boat, TakeOffPlan(id="sole")) == "Cabin sole taken off the plan"


def test_an_engine_space_of_one_deck_warms_no_run_on_another() -> None:
    """The room lies under the run from locker to engine; on the bridge the same run passes above it."""
    zone = BOAT.zones[0].model_copy(update={"outline": ROOM, "deck": "sole"})
    boat = BOAT.model_copy(update={"decks": (SOLE, BRIDGE), "zones": (zone, *BOAT.zones[1:])})
    boat = boat.model_copy(update={"runs": tuple(run.model_copy(update={"zone": None}) for run in boat.runs)})

    def put(locker_m: float, engine_m: float) -> str | None:
        low, high = at(8.5, height_m=locker_m), at(7.0, height_m=engine_m)
        moved = apply(boat, PutWaypoint(waypoint=Waypoint(id="locker", name="Locker", place=low)))
        moved = apply(moved, PutWaypoint(waypoint=Waypoint(id="engine", name="Engine", place=high)))
        return Routes.of(moved).is_in_engine_space("r1")

    assert put(0.1, 0.4) == "yes"
    assert put(2.0, 2.4) == "no"
    assert put(0.1, 2.4) == "yes"
    middle = zone.model_copy(update={"deck": "bridge"})
    boat = boat.model_copy(
        update={
            "zones": (middle, *boat.zones[1:]),
            "decks": (*boat.decks, Deck(id="top", name="Flybridge", floor_m=4.0)),
        }
    )
    assert put(0.1, 0.4) == "no"
    assert put(0.1, 4.5) == "yes"
