"""Default events: one for each heavy load, in the modes that list it as on."""

from server.boat.constructors import electronics
from server.boat.edits import AddEvent, AddMode, AddPart, ChangeValue, RemoveEvent, SetOn, apply
from server.boat.events import events_of, heavy_inputs
from server.boat.modes import Event, HeavyInput, Mode, Running
from server.boat.parts import Load
from tests.boat.small_boat import BOAT, OUTBOARD, STARTER


def test_the_motors_of_heavy_loads_inverters_and_outboards_are_heavy() -> None:
    boat = apply(BOAT, AddPart(part=OUTBOARD))

    assert [(heavy.part, heavy.input) for heavy in heavy_inputs(boat)] == [
        ("starter", "main"),
        ("inverter", "positive"),
        ("outboard", "positive"),
    ]


def test_a_heavy_load_without_a_motor_is_heavy_at_its_first_input_that_is_no_coil() -> None:
    glow = electronics("glow", "Glow plugs", 500.0).model_copy(update={"heavy": True})
    (coil,) = (i for i in STARTER.inputs if i.id == "solenoid")
    only_coil = Load(kind="load", id="stop", name="Stop", role="stop-solenoid", heavy=True, inputs=(coil,))
    both = Load(kind="load", id="both", name="Both", role="other", heavy=True, inputs=(coil, glow.inputs[0]))
    boat = BOAT.model_copy(update={"parts": (glow, only_coil, both)})

    assert [heavy.input for heavy in heavy_inputs(boat)] == ["main", "solenoid", "main"]


def test_a_stored_event_replaces_the_default_one_of_its_mode() -> None:
    stored, *others = events_of(BOAT)

    assert stored.id == "start"
    assert [(event.heavy.part, event.mode) for event in others] == [("inverter", "sailing")]


def test_a_heavy_load_gets_an_event_in_each_mode_that_lists_it() -> None:
    boat = apply(BOAT, RemoveEvent(id="start"))
    boat = apply(boat, AddMode(mode=Mode(id="restart", name="Restarting", on=(Running(part="starter"),))))

    starts = [event for event in events_of(boat) if event.heavy.part == "starter"]

    assert [event.name for event in starts] == ["Engine starter in Starting", "Engine starter in Restarting"]
    assert [event.mode for event in starts] == ["starting", "restart"]


def test_an_input_that_is_on_beside_it_does_not_count() -> None:
    boat = apply(BOAT, RemoveEvent(id="start"))
    boat = apply(boat, SetOn(mode="starting", part="starter", input="main", on=False))
    boat = apply(boat, SetOn(mode="starting", part="starter", input="solenoid", on=True))

    (start,) = (event for event in events_of(boat) if event.heavy.part == "starter")

    assert start.mode == "sailing"


def test_a_stored_event_anywhere_is_enough_where_no_mode_lists_the_load() -> None:
    heavy = HeavyInput(part="inverter", input="positive")
    event = Event(id="kettle", name="Kettle", mode="starting", heavy=heavy)

    boat = apply(BOAT, AddEvent(event=event))

    assert [event.id for event in events_of(boat)] == ["start", "kettle"]


def test_default_events_keep_their_ids_and_fit_into_a_document() -> None:
    renamed = apply(BOAT, ChangeValue(id="inverter", field="name", value="x" * 120))

    (before,) = (event for event in events_of(BOAT) if event.id.startswith("auto-"))
    (after,) = (event for event in events_of(renamed) if event.id.startswith("auto-"))

    assert before.id == after.id
    assert Event.model_validate(after.model_dump()) == after
    assert apply(BOAT, AddEvent(event=before)).events[-1] == before


def test_two_motors_of_one_load_are_told_apart() -> None:
    (motor,) = (i for i in STARTER.inputs if i.id == "main")
    inputs = (motor.model_copy(update={"id": "port"}), motor.model_copy(update={"id": "starboard"}))
    twin = STARTER.model_copy(update={"inputs": inputs})
    boat = BOAT.model_copy(update={"parts": (twin,), "events": ()})

    assert [event.name for event in events_of(boat)] == [
        "Engine starter (port) in Sailing",
        "Engine starter (starboard) in Sailing",
    ]


def test_a_boat_without_modes_has_no_default_events() -> None:
    assert events_of(BOAT.model_copy(update={"modes": (), "events": ()})) == ()
