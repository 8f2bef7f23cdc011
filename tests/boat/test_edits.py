"""Adding, removing, renaming and duplicating; modes, events, assumptions; several at once; labels."""

import json

import pytest

from server.boat import caps
from server.boat.boat import Boat
from server.boat.conductors import Cable
from server.boat.constructors import at, electronics, fuse, wire
from server.boat.document import DocumentError, check_caps
from server.boat.edit_labels import thing_name
from server.boat.edits import (
    AddCable,
    AddConductor,
    AddEvent,
    AddMode,
    AddPart,
    AnyEdit,
    ChangeValue,
    ClearAssumption,
    DuplicateConductor,
    DuplicatePart,
    EditError,
    MoveConductorEnd,
    MoveLead,
    RemoveCable,
    RemoveConductor,
    RemoveEvent,
    RemoveMode,
    RemovePart,
    Rename,
    SetAssumption,
    SetLength,
    SetModeHours,
    SetOn,
    SetPosition,
    SetSize,
    Several,
    Splice,
    apply,
    edit_json,
    label,
    new_id,
    read_edit,
)
from server.boat.modes import Event, HeavyInput, Mode, Observation, PositionSetting, Running
from server.boat.references import broken_references
from server.boat.value import Span
from tests.boat.small_boat import BOAT, THIN, conductor


def refused(edit: AnyEdit, boat: Boat = BOAT) -> EditError:
    with pytest.raises(EditError) as error:
        apply(boat, edit)
    return error.value


def ids(items: tuple[object, ...]) -> list[str]:
    return [str(getattr(item, "id")) for item in items]  # noqa: B009 - no common class has an id


def mode(boat: Boat, name: str) -> Mode:
    return next(item for item in boat.modes if item.id == name)


def test_a_removed_part_takes_every_mention_with_it() -> None:
    boat = apply(BOAT, RemovePart(id="block"))

    assert "block" not in ids(boat.parts)
    assert conductor(boat, "pilot-n").head is None
    assert conductor(boat, "bus-block").head is None
    assert boat.readings == ()
    assert conductor(boat, "pilot-n").reading is None
    assert ids(boat.observations) == ["seen-cable"]
    assert next(p for p in boat.parts if p.id == "alt").model_dump()["engine"] is None
    assert broken_references(boat) == ()


def test_a_removed_part_leaves_tails_loose_as_well_as_heads() -> None:
    boat = apply(BOAT, RemovePart(id="pilot"))

    assert conductor(boat, "pilot-n").tail is None
    assert conductor(boat, "pilot-n").head == at("block.stud-1")


def test_a_removed_load_leaves_modes_events_and_links() -> None:
    boat = apply(apply(BOAT, RemovePart(id="pilot")), RemovePart(id="switch"))

    assert mode(boat, "sailing").on == (Running(part="plotter", input="main"),)
    assert mode(boat, "sailing").positions == ()
    assert [link.id for link in boat.links] == ["link3"]
    assert boat.links[0].parts == ("plotter", "alt")
    assert [step.action for step in boat.events[0].steps] == ["press"]


def test_a_removed_heavy_load_ends_its_events_and_readings_forget_them() -> None:
    boat = apply(BOAT, RemovePart(id="starter"))

    assert boat.events == ()
    assert boat.readings[0].event is None
    assert boat.readings[0].mode == "starting"


def test_a_removed_bus_ends_its_assumptions_and_what_was_not_seen_stays() -> None:
    boat = apply(BOAT, RemovePart(id="bus"))

    assert boat.assumptions == ()
    assert boat.not_seen[0].what == "behind the tank"
    assert boat.not_seen[0].subject is None


def test_what_a_removal_does_not_touch_is_shared() -> None:
    boat = apply(BOAT, RemoveConductor(id="plotter-p"))

    assert boat.parts is BOAT.parts
    assert boat.modes is BOAT.modes
    assert all(a is b for a, b in zip(boat.conductors[:5], BOAT.conductors[:5], strict=True))


def test_removed_cables_conductors_modes_and_events_are_gone() -> None:
    assert conductor(apply(BOAT, RemoveCable(id="w7")), "pilot-n").cable is None
    assert ids(apply(BOAT, RemoveCable(id="w7")).observations) == ["seen-block"]
    assert ids(apply(BOAT, RemoveMode(id="starting")).events) == []
    assert apply(BOAT, RemoveMode(id="starting")).readings[0].mode is None
    assert apply(BOAT, RemoveEvent(id="start")).readings[0].event is None
    for gone in (
        RemovePart(id="ghost"),
        RemoveConductor(id="bus"),
        RemoveCable(id="bus"),
        RemoveMode(id="bus"),
        RemoveEvent(id="bus"),
    ):
        assert refused(gone).field == "id"


def test_new_things_need_an_id_of_their_own_and_names_that_meet() -> None:
    assert ids(apply(BOAT, AddPart(part=fuse("new", "New", 5.0))).parts)[-1] == "new"
    assert ids(apply(BOAT, AddCable(cable=Cable(id="w8", construction="single"))).cables)[-1] == "w8"
    assert refused(AddPart(part=fuse("w7", "New", 5.0))).field == "part.id"
    assert refused(AddCable(cable=Cable(id="bus", construction="single"))).field == "cable.id"
    zoned = fuse("new", "New", 5.0).model_copy(update={"zone": "ghost"})
    assert refused(AddPart(part=zoned)).field == "part.zone"
    assert refused(AddConductor(conductor=wire("new", "bus.stud-1", "bus.stud-1"))).field == "conductor"
    assert (
        refused(AddConductor(conductor=wire("new", "bus.stud-1", "ghost.x"))).field == "conductor.head.part"
    )
    heavy = HeavyInput(part="starter", input="main")
    event = Event(id="new", name="New", mode="ghost", heavy=heavy)
    assert refused(AddEvent(event=event)).field == "event.mode"
    settled = Mode(id="new", name="New", positions=(PositionSetting(part="bus", position="on"),))
    assert refused(AddMode(mode=settled)).field == "mode.positions[0]"


def test_a_duplicate_has_no_label_and_no_measurement() -> None:
    tagged = apply(BOAT, ChangeValue(id="pilot", field="tag", value="F12"))
    twin = apply(tagged, DuplicatePart(id="pilot", new_id="pilot2", name="Second pilot")).parts[-1]
    beside = apply(BOAT, DuplicateConductor(id="pilot-n", new_id="pilot-n2")).conductors[-1]

    assert (twin.id, twin.name, twin.tag) == ("pilot2", "Second pilot", None)
    assert (beside.tail, beside.head) == (at("pilot.negative"), at("block.stud-1"))
    assert (beside.cable, beside.measured_resistance_ohm, beside.name, beside.trace) == (
        None,
        None,
        None,
        None,
    )
    assert refused(DuplicatePart(id="pilot", new_id="bus", name="x")).field == "new_id"
    assert refused(DuplicateConductor(id="ghost", new_id="x")).field == "id"


def test_a_name_is_given_to_anything_that_has_one() -> None:
    assert apply(BOAT, Rename(name="Petrel")).name == "Petrel"
    assert apply(BOAT, Rename(id="w7", name="W9")).cables[0].number == "W9"
    assert apply(BOAT, Rename(id="unseen", name="bilge")).not_seen[0].what == "bilge"
    assert mode(apply(BOAT, Rename(id="sailing", name="Under sail")), "sailing").name == "Under sail"
    assert refused(Rename(id="seen-block", name="x")).field == "id"
    assert refused(Rename(id="ghost", name="x")).field == "id"


def test_a_position_is_set_changed_and_given_back_to_its_normal_one() -> None:
    off = apply(BOAT, SetPosition(mode="sailing", part="switch", position="off"))
    way = apply(off, SetPosition(mode="sailing", part="panel", way="main-w1", position="off"))
    back = apply(way, SetPosition(mode="sailing", part="switch"))

    assert mode(off, "sailing").positions == (PositionSetting(part="switch", position="off"),)
    assert mode(way, "sailing").positions[1].way == "main-w1"
    assert mode(back, "sailing").positions == (PositionSetting(part="panel", way="main-w1", position="off"),)
    assert mode(
        apply(BOAT, SetPosition(mode="starting", part="combiner", position="closed")), "starting"
    ).positions


@pytest.mark.parametrize(
    ("edit", "field"),
    [
        (SetPosition(mode="ghost", part="switch", position="on"), "mode"),
        (SetPosition(mode="sailing", part="ghost", position="on"), "part"),
        (SetPosition(mode="sailing", part="bus", position="on"), "part"),
        (SetPosition(mode="sailing", part="panel", way="main-stud-1", position="on"), "part"),
        (SetPosition(mode="sailing", part="switch", position="both"), "position"),
        (SetPosition(mode="sailing", part="pilot-fuse", position="auto"), "position"),
        (SetOn(mode="sailing", part="bus", on=True), "part"),
        (SetOn(mode="sailing", part="pilot", input="ghost", on=True), "input"),
        (SetOn(mode="sailing", part="alt", input="main", on=True), "input"),
        (SetModeHours(mode="ghost"), "mode"),
        (SetAssumption(key="x", subject="ghost", low=0.0, value=0.0, high=0.0, source="s"), "subject"),
        (SetAssumption(key="x", low=1.0, value=0.0, high=2.0, source="s"), "value"),
        (ClearAssumption(key="x"), "key"),
    ],
)
def test_what_cannot_be_set_names_its_field(edit: AnyEdit, field: str) -> None:
    assert refused(edit).field == field


def on(boat: Boat, name: str) -> list[tuple[str, str | None]]:
    return [(entry.part, entry.input) for entry in mode(boat, name).on]


def test_one_input_off_leaves_the_others_on() -> None:
    boat = apply(BOAT, SetOn(mode="sailing", part="pilot", input="main", on=False))

    assert on(boat, "sailing") == [("pilot", "wake"), ("plotter", "main")]
    assert mode(boat, "sailing").on[0].hours_per_day == 8.0
    assert on(apply(boat, SetOn(mode="sailing", part="pilot", input="main", on=False)), "sailing") == [
        ("pilot", "wake"),
        ("plotter", "main"),
    ]
    assert on(apply(boat, SetOn(mode="sailing", part="pilot", input="wake", on=False)), "sailing") == [
        ("plotter", "main")
    ]


def test_a_whole_part_on_takes_the_place_of_its_inputs() -> None:
    split = apply(BOAT, SetOn(mode="sailing", part="pilot", input="main", on=False))
    split = apply(split, SetOn(mode="sailing", part="pilot", input="main", on=True))
    whole = apply(split, SetOn(mode="sailing", part="pilot", on=True))

    assert on(split, "sailing") == [("pilot", "wake"), ("plotter", "main"), ("pilot", "main")]
    assert on(whole, "sailing") == [("pilot", None), ("plotter", "main")]
    assert mode(whole, "sailing").on[0].hours_per_day == 8.0
    assert on(apply(whole, SetOn(mode="sailing", part="pilot", on=False)), "sailing") == [("plotter", "main")]


def test_an_input_of_a_part_that_is_on_is_on_already() -> None:
    same = apply(BOAT, SetOn(mode="sailing", part="pilot", input="main", on=True))
    timed = apply(BOAT, SetOn(mode="sailing", part="pilot", on=True, hours_per_day=2.0))
    source = apply(BOAT, SetOn(mode="sailing", part="alt", on=True))

    assert on(same, "sailing") == on(BOAT, "sailing")
    assert mode(timed, "sailing").on[0].hours_per_day == 2.0
    assert on(source, "sailing")[-1] == ("alt", None)


def test_modes_events_and_hours_are_added_and_set() -> None:
    hours = apply(BOAT, SetModeHours(mode="sailing", hours_per_day=6.0))
    added = apply(BOAT, AddMode(mode=Mode(id="anchor", name="At anchor")))
    heavy = HeavyInput(part="inverter", input="positive")
    event = apply(added, AddEvent(event=Event(id="kettle", name="Kettle", mode="anchor", heavy=heavy)))

    assert mode(hours, "sailing").hours_per_day == 6.0
    assert ids(event.events) == ["start", "kettle"]


def test_an_assumption_is_replaced_and_cleared() -> None:
    new = SetAssumption(key="joint_resistance", subject="bus", low=0.0, value=0.5, high=1.0, source="clamp")
    boat = apply(BOAT, new)
    wide = apply(boat, new.model_copy(update={"subject": None}))

    assert [override.value for override in boat.assumptions] == [0.5]
    assert len(wide.assumptions) == 2
    assert apply(BOAT, ClearAssumption(key="joint_resistance", subject="bus")).assumptions == ()


def test_several_edits_are_one_and_none_is_made_when_one_cannot_be() -> None:
    both = (Rename(name="Petrel"), RemovePart(id="pilot"))
    broken = (Rename(name="Petrel"), RemovePart(id="ghost"))

    boat = apply(BOAT, Several(edits=both, label="Rename and remove"))

    assert boat.name == "Petrel"
    assert "pilot" not in ids(boat.parts)
    assert refused(Several(edits=broken, label="x")).field == "edits.1.id"


def test_a_boat_may_not_outgrow_the_caps(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(caps, "MOST_PARTS", len(BOAT.parts))
    monkeypatch.setattr(caps, "MOST_CONDUCTORS", len(BOAT.conductors))

    assert refused(AddPart(part=fuse("new", "New", 5.0))).field == "parts"
    assert refused(DuplicateConductor(id="pilot-n", new_id="new")).field == "conductors"
    check_caps(BOAT)
    monkeypatch.setattr(caps, "MOST_PARTS", 3)
    with pytest.raises(DocumentError, match="parts: a boat may have 3 parts, this one has 13"):
        check_caps(BOAT)


def test_the_caps_are_those_that_were_decided() -> None:
    assert (caps.MOST_PARTS, caps.MOST_CONDUCTORS) == (2_000, 4_000)


def test_an_edit_has_one_json_form() -> None:
    edit = MoveLead(part="pilot", terminal="negative", to=at("bus.stud-2"))
    text = edit_json(edit)

    assert text == (
        '{"kind":"move-lead","part":"pilot","terminal":"negative",'
        '"to":{"part":"bus","terminal":"stud-2"},"keep_length":false}'
    )
    assert read_edit(text) == edit
    assert read_edit(json.dumps(json.loads(text), indent=2).encode()) == edit


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("{", "document"),
        ("[]", "document"),
        ("{}", "kind"),
        ('{"kind":"fly"}', "kind"),
        ('{"kind":"move-lead","part":"a","terminal":"b"}', "to"),
        ('{"kind":"move-lead","part":"a","terminal":"b","to":{"part":"A","terminal":"b"}}', "to.part"),
        ('{"kind":"set-length","conductor":"a","length_m":{"low":2,"high":1}}', "length_m"),
        ('{"kind":"set-length","conductor":"a","length_m":-1}', "length_m"),
        ('{"kind":"several","label":"x","edits":[{"kind":"rename","name":1}]}', "edits[0].name"),
        ('{"kind":"add-part","part":{"kind":"fuse","id":"f"}}', "part.name"),
        ('{"kind":"add-part","part":{"kind":"door","id":"f"}}', "part.kind"),
        ('{"kind":"rename","name":"x","sure":true}', "sure"),
        ('{"kind":"set-length","conductor":"a","length_m":NaN}', "length_m"),
    ],
)
def test_an_edit_that_cannot_be_read_names_its_field(text: str, field: str) -> None:
    with pytest.raises(EditError) as error:
        read_edit(text)

    assert error.value.field == field
    assert error.value.mend


def test_new_ids_are_ids_and_never_the_same() -> None:
    some = {new_id("conductor") for _ in range(100)}

    assert len(some) == 100
    for name in (*some, new_id("a-very-long-prefix-that-goes-on-and-on")):
        assert RemovePart(id=name).id == name


PILOT_NEGATIVE = MoveLead(part="pilot", terminal="negative", to=at("bus.stud-2"))
ADD_EVENT = AddEvent(
    event=Event(id="e", name="Kettle", mode="sailing", heavy=HeavyInput(part="inverter", input="positive"))
)


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (PILOT_NEGATIVE, "Autopilot negative: engine block → main negative bus"),
        (
            MoveLead(part="pilot", terminal="main", to=at("panel.main-w2")),
            "Autopilot main: Panel way Autopilot → Panel way Spare",
        ),
        (
            MoveLead(part="pilot", terminal="wake", to=at("panel.main-stud-1")),
            "Autopilot wake-up: loose → Panel, Main",
        ),
        (
            MoveLead(part="plotter", terminal="main", to=at("house.positive")),
            "Plotter positive: Panel way Spare → House positive",
        ),
        (
            MoveLead(part="plotter", terminal="negative", to=at("alt.negative")),
            "Plotter negative: loose → Alternator negative",
        ),
        (MoveLead(part="ghost", terminal="main", to=at("ghost.x")), "ghost main: ? → ghost x"),
        (MoveConductorEnd(conductor="pilot-n", end="head"), "Pilot negative: head left loose"),
        (
            MoveConductorEnd(conductor="pilot-a", end="head", to=at("switch.in")),
            "pilot-a: head → Pilot switch in",
        ),
        (SetSize(conductor="pilot-n", size=THIN), "Pilot negative: 2.5 mm²"),
        (SetSize(conductor="pilot-n"), "Pilot negative: size not known"),
        (SetLength(conductor="pilot-n", length_m=2.5), "Pilot negative: 2.5 m"),
        (SetLength(conductor="pilot-n", length_m=Span(low=2.0, high=3.0)), "Pilot negative: 2 to 3 m"),
        (SetLength(conductor="pilot-n"), "Pilot negative: length not known"),
        (SetPosition(mode="sailing", part="switch", position="off"), "Pilot switch: Off in Sailing"),
        (SetPosition(mode="sailing", part="switch"), "Pilot switch: normal position in Sailing"),
        (SetPosition(mode="sailing", part="pilot-fuse", position="off"), "Pilot fuse: off in Sailing"),
        (SetPosition(mode="sailing", part="switch", position="odd"), "Pilot switch: odd in Sailing"),
        (
            SetPosition(mode="sailing", part="panel", way="main-feed", position="off"),
            "Panel Main feed: off in Sailing",
        ),
        (SetOn(mode="sailing", part="pilot", on=False), "Autopilot: off in Sailing"),
        (SetOn(mode="sailing", part="pilot", input="wake", on=True), "Autopilot wake: on in Sailing"),
        (AddPart(part=electronics("new", "Radar", 40.0)), "Added Radar"),
        (AddConductor(conductor=wire("new", None, None)), "Added conductor new"),
        (AddCable(cable=Cable(id="w8", number="W8", construction="twin")), "Added cable W8"),
        (AddMode(mode=Mode(id="anchor", name="At anchor")), "Added mode At anchor"),
        (ADD_EVENT, "Added event Kettle"),
        (RemovePart(id="pilot"), "Removed Autopilot"),
        (RemoveCable(id="w7"), "Removed W7"),
        (RemoveConductor(id="pilot-a"), "Removed pilot-a"),
        (RemoveMode(id="ghost"), "Removed ghost"),
        (RemoveEvent(id="start"), "Removed Cold start"),
        (DuplicatePart(id="pilot", new_id="p2", name="Spare pilot"), "Spare pilot: duplicate of Autopilot"),
        (DuplicateConductor(id="pilot-n", new_id="n2"), "n2: duplicate of Pilot negative"),
        (
            Splice(conductor="pilot-n", part=fuse("f", "New fuse", 5.0), new_conductor="x"),
            "New fuse inserted into Pilot negative",
        ),
        (Rename(id="pilot", name="Helm"), "Autopilot renamed to Helm"),
        (Rename(name="Petrel"), "Test boat renamed to Petrel"),
        (
            ChangeValue(id="pilot", field="inputs.0.minimum_voltage_v"),
            "Autopilot: main, lowest voltage it needs no longer stated",
        ),
        (ChangeValue(field="notes"), "Test boat: notes no longer stated"),
        (
            SetAssumption(key="joint_resistance", subject="bus", low=0.0, value=0.5, high=1.0, source="s"),
            "Assumption joint resistance of main negative bus: 0.5",
        ),
        (ClearAssumption(key="joint_resistance"), "Assumption joint resistance: built-in value"),
        (SetModeHours(mode="sailing", hours_per_day=6.0), "Sailing: 6 h a day"),
        (SetModeHours(mode="sailing"), "Sailing: hours not known"),
        (Several(edits=(Rename(name="x"),), label="With a 10 A fuse here"), "With a 10 A fuse here"),
    ],
)
def test_the_history_says_in_plain_words_what_was_done(edit: AnyEdit, words: str) -> None:
    assert label(BOAT, edit) == words


def test_a_listed_thing_without_name_or_number_is_called_by_its_id() -> None:
    seen = BOAT.model_copy(
        update={"observations": (Observation(id="o1", subject="pilot", aspect="chafe", state="poor"),)}
    )

    assert thing_name(seen, "o1") == "o1"
