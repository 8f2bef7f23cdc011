"""Picking up a lead: each answer is the analysis of the boat with the lead moved there."""

import pytest

from server.boat.boat import Boat
from server.boat.edit_values import MoveLead
from server.boat.edits import apply
from server.boat.events import events_of
from server.boat.leads import leads
from server.boat.value import TerminalRef
from server.engine.analysis import NoLeadError, UnknownModeError, analyse_mode, pick_up
from server.engine.answer import PickUp, TapAnswer
from server.engine.taps import breaks_at
from tests.engine.boats import boat, conductor, load, part, wire
from tests.engine.demo import demo_boat


def place(found: PickUp, part_id: str, terminal: str | None = None) -> TapAnswer:
    return next(
        tap
        for tap in found.taps
        if tap.terminal.part == part_id and (terminal is None or tap.terminal.terminal == terminal)
    )


def event_id(subject: Boat) -> str:
    return events_of(subject)[0].id


@pytest.mark.parametrize(
    ("name", "part_id", "terminal", "mode", "event"),
    [
        ("1-sloop", "autopilot", "negative", "starting", "engine-start"),
        ("1-sloop", "plotter", "supply", "starting", "engine-start"),
        ("2-trawler", "radar", "supply", "anchoring", "windlass-break-out"),
        ("3-workboat", "star-engine-control", "negative", "starting", "star-start"),
        ("4-outboard", "plotter", "supply", "starting", "outboard-start"),
    ],
)
def test_answer_at_a_tap_is_that_of_the_moved_boat(
    name: str, part_id: str, terminal: str, mode: str, event: str
) -> None:
    """Decision 16, length rule included: lowest and steady voltage, verdict, drop, shared path, restarts."""
    subject = demo_boat(name)
    found = pick_up(subject, part_id, terminal, mode, event)
    compared = 0
    for tap in found.taps:
        moved = subject
        if not tap.present:
            moved = apply(subject, MoveLead(part=part_id, terminal=terminal, to=tap.terminal))
        answer = analyse_mode(moved, mode, events=[event])
        one = next(one for one in answer.loads if one.part == part_id)
        seen, lowest = one.events[0], tap.lowest
        assert lowest is not None
        assert lowest.value == pytest.approx(seen.lowest.value, abs=1e-8)
        assert lowest.low == pytest.approx(seen.lowest.low, abs=1e-6)
        assert lowest.high == pytest.approx(seen.lowest.high, abs=1e-6)
        assert tap.verdict == seen.verdict
        assert tap.steady_v == pytest.approx(one.voltage_v, abs=1e-8)
        assert tap.shared_ohm == pytest.approx(seen.transfer_resistance_ohm, abs=1e-9)
        assert one.drop is not None
        assert tap.drop_v == pytest.approx(one.drop.judged_v, rel=1e-9)
        others = answer.events[0].restarts - (seen.verdict == "restarts")
        assert tap.others.restarts_after == others
        compared += 1

    assert compared >= 3


def test_ranges_that_a_person_gave_move_with_the_lead() -> None:
    """Decision 16: length, joint and demand given as ranges; one neighbour stands below its cut-out."""
    length, power = {"low": 1.0, "high": 6.0, "value": 3.0}, {"low": 15.0, "high": 40.0, "value": 30.0}
    joint = {"resistance_ohm": {"low": 0.0001, "high": 0.004, "value": 0.001}}
    starved = load("radio", {"kind": "constant-power", "power_w": power}, role="radio")
    wires = [
        conductor("w-return", length_m=length, tail_joint=joint),
        wire("w-radio", "panel.dc-spare", "radio.supply", length_m=60.0),
        wire("w-radio-neg", "radio.negative", "block.stud-2"),
    ]
    plotter = load("plotter", {"kind": "constant-power", "power_w": power})
    on = [{"part": name} for name in ("plotter", "radio", "starter")]
    subject = boat(
        parts=[plotter, starved],
        conductors=wires,
        modes=[{"id": "starting", "name": "Starting", "on": on}],
    )
    event = event_id(subject)
    moved = 0
    for tap in pick_up(subject, "plotter", "negative", "starting", event).taps:
        if tap.present:
            continue
        to = MoveLead(part="plotter", terminal="negative", to=tap.terminal)
        answer = analyse_mode(apply(subject, to), "starting", events=[event])
        radio, ends = (
            next(one.events[0].lowest for one in answer.loads if one.part == part)
            for part in ("radio", "plotter")
        )
        assert radio.value < 9.0
        assert tap.lowest is not None
        assert tap.lowest.low == pytest.approx(ends.low, abs=1e-6)
        assert tap.lowest.high == pytest.approx(ends.high, abs=1e-6)
        assert ends.value - ends.low > 0.1
        moved += 1

    assert moved >= 3


def test_ranking_puts_the_clearing_bar_first_and_the_harmful_last() -> None:
    """The plotter's negative sits on the block; the negative bar beyond the strap clears it."""
    strong = part("battery", internal_resistance_ohm=0.001)
    strap = conductor("w-strap", length_m=8.0)
    modest = load("plotter", {"kind": "constant-power", "power_w": 20.0}, input={"minimum_voltage_v": 8.0})
    subject = boat(parts=[strong, modest], conductors=[strap])
    found = pick_up(subject, "plotter", "negative", "starting", event_id(subject))

    assert found.present is not None
    assert (found.present.terminal.part, found.present.rank, found.present.present) == ("block", None, True)
    assert (found.taps[0].terminal.part, found.taps[0].rank) == ("bar", 1)
    assert found.taps[0].lowest is not None
    assert found.present.lowest is not None
    assert found.taps[0].lowest.value > found.present.lowest.value
    assert found.taps[0].mark in {"clears", "better"}
    shunt = place(found, "shunt", "battery")
    assert (shunt.breaks, shunt.mark, shunt.rank) == (("uncounted",), "breaks", None)
    assert found.taps.index(shunt) >= len(found.taps) - 1
    assert shunt.counted_fraction == pytest.approx(0.0, abs=1e-9)
    assert found.taps[0].counted_fraction == pytest.approx(1.0)
    assert not any(tap.terminal.part == "battery" for tap in found.taps)


def test_positive_places_say_what_they_break() -> None:
    """Ahead of fuse or switch, on a crowded stud; an occupied way is no place at all."""
    crowd = [wire(f"w-{n}", "post.stud", "post-b.stud") for n in range(4)]
    posts = [{"kind": "post", "id": name, "name": name} for name in ("post", "post-b")]
    link = wire("w-post", "panel.dc-spare", "post.stud")
    subject = boat(parts=posts, conductors=[*crowd, link])
    found = pick_up(subject, "plotter", "supply", "starting", event_id(subject))

    assert set(place(found, "fuse", "line").breaks) == {"unprotected", "always-live"}
    assert place(found, "fuse", "load").breaks == ("always-live",)
    assert place(found, "switch", "in").breaks == ("always-live",)
    assert place(found, "switch", "out").breaks == ()
    assert place(found, "post").breaks == ("stud-full",)
    assert not place(found, "fuse", "line").protected
    assert not any(tap.terminal.terminal == "dc-spare" for tap in found.taps)
    assert found.occupied_ways == 1


def with_own_fuse(**own: object) -> Boat:
    """The plotter with a fuse of its own in its positive lead; ``own`` changes the wire from tap to fuse."""
    inline = {"kind": "fuse", "id": "own", "name": "Own fuse", "rating_a": 5.0, "device_class": "blade"}
    wires = [
        wire("w-plotter", "own.load", "plotter.supply"),
        {**wire("w-own", "panel.dc-plotter", "own.line"), **own},
    ]
    return boat(parts=[inline], conductors=wires)


@pytest.mark.parametrize(
    ("own", "is_near"),
    [
        ({"length_m": 0.17}, True),
        ({"length_m": 0.18}, False),
        ({"length_m": None}, False),
        ({"kind": "link"}, True),
        ({"length_m": 1.0, "sheathed": "yes"}, True),
        ({"length_m": 1.1, "sheathed": "yes"}, False),
    ],
)
def test_own_device_protects_a_lead_only_near_its_tap(own: dict[str, object], is_near: bool) -> None:
    """Seven inches of bare wire, forty in a sheath (ABYC E-11 11.10.1.1.1, as in the rules table)."""
    subject = with_own_fuse(**own)
    before_every_device = place(
        pick_up(subject, "plotter", "supply", "starting", event_id(subject)), "fuse", "line"
    )

    assert before_every_device.protected == is_near
    assert ("unprotected" in before_every_device.breaks) != is_near


def test_the_run_to_the_own_device_counts_what_lies_before_it() -> None:
    """A switch between tap and fuse: both wires are bare; no wire's length may be left out."""
    switch = {**part("switch"), "id": "key", "name": "Key switch", "is_battery_switch": False}
    inline = {"kind": "fuse", "id": "own", "name": "Own fuse", "rating_a": 5.0, "device_class": "blade"}
    wires = [
        wire("w-plotter", "own.load", "plotter.supply"),
        wire("w-key", "key.out", "own.line", length_m=0.1),
        wire("w-own", "panel.dc-plotter", "key.in", length_m=0.1),
    ]
    subject = boat(parts=[switch, inline], conductors=wires)
    found = pick_up(subject, "plotter", "supply", "starting", event_id(subject))

    assert not place(found, "fuse", "line").protected
    assert place(found, "panel", "dc-plotter").protected


def test_excused_load_stays_alive_and_may_not_land_behind_the_switch() -> None:
    """A bilge pump with a stated reason bypasses the switch; behind it, it would die with it."""
    pump = load(
        "plotter",
        {"kind": "constant-power", "power_w": 20.0},
        input={"minimum_voltage_v": 9.0},
        bypasses_switch="bilge pump",
    )
    subject = boat(parts=[pump], conductors=[wire("w-plotter", "fuse.load", "plotter.supply")])
    found = pick_up(subject, "plotter", "supply", "starting", event_id(subject))
    today_behind = boat(parts=[pump])
    switched = pick_up(today_behind, "plotter", "supply", "starting", event_id(today_behind))

    assert place(found, "switch", "in").breaks == ()
    assert place(found, "fuse", "line").breaks == ("unprotected",)
    assert place(found, "switch", "out").breaks == ("wrong-switching",)
    assert place(found, "panel", "dc-spare").breaks == ("wrong-switching",)
    assert place(switched, "switch", "out").breaks == ()
    assert place(switched, "fuse", "load").breaks == ()


def test_lead_with_a_battery_switch_of_its_own_may_land_before_the_others() -> None:
    """A thruster's own switch and fuse move with its lead; the boat's other switch is not its own."""
    key = part("switch", id="own-switch", name="Own switch")
    wires = [
        wire("w-plotter", "own-switch.out", "plotter.supply"),
        wire("w-own", "fuse.load", "own-switch.in"),
    ]
    subject = boat(parts=[key], conductors=wires)
    found = pick_up(subject, "plotter", "supply", "starting", event_id(subject))

    assert found.present is not None
    assert found.present.breaks == ()
    assert place(found, "switch", "out").breaks == ()


def test_lead_of_a_source_is_judged_by_the_other_sources() -> None:
    """A solar controller's own lead does not make every place it lands on unprotected from itself."""
    solar = {"kind": "solar", "id": "solar", "name": "Solar", "rated_current_a": 10.0}
    wires = [
        wire("w-solar", "solar.positive", "panel.dc-spare"),
        wire("w-solar-neg", "solar.negative", "bar.stud-4"),
    ]
    subject = boat(parts=[solar], conductors=wires)
    found = pick_up(subject, "solar", "positive", "starting", event_id(subject))

    assert found.present is not None
    assert found.present.breaks == ()
    assert place(found, "fuse", "line").breaks == ("unprotected",)


def test_load_on_an_always_live_section_belongs_there() -> None:
    """What an always-live section feeds keeps running with the switch off; elsewhere it would not."""
    ways = [{"id": "pump", "name": "Pump", "device_kind": "fuse", "device": {"rating_a": 5.0}}]
    section = {"id": "live", "name": "Live", "polarity": "positive", "always_live": True, "ways": ways}
    live = {"kind": "panel", "id": "live-panel", "name": "Live panel", "sections": [section]}
    wires = [
        wire("w-live", "fuse.load", "live-panel.live-feed"),
        wire("w-plotter", "live-panel.live-pump", "plotter.supply"),
    ]
    subject = boat(parts=[live], conductors=wires)
    found = pick_up(subject, "plotter", "supply", "starting", event_id(subject))

    assert found.present is not None
    assert found.present.breaks == ()
    assert place(found, "fuse", "load").breaks == ()
    assert place(found, "panel", "dc-plotter").breaks == ("wrong-switching",)


def test_boat_without_a_battery_switch_has_no_wrong_side_of_it() -> None:
    """Nothing is alive with a switch off that does not exist."""
    plain = part("switch", is_battery_switch=False)
    subject = boat(parts=[plain])
    found = pick_up(subject, "plotter", "supply", "starting", event_id(subject))

    assert place(found, "fuse", "load").breaks == ()


def test_places_of_another_voltage_are_marked() -> None:
    """A tap on 24 V is no place for a 12 V plotter."""
    second = part("battery", id="upper", name="Upper battery")
    post = {"kind": "post", "id": "high", "name": "24 V post"}
    device = {"kind": "fuse", "id": "high-fuse", "name": "Fuse", "rating_a": 50.0}
    wires = [
        wire("w-up", "battery.positive", "upper.negative"),
        wire("w-high", "upper.positive", "high-fuse.line"),
        wire("w-post", "high-fuse.load", "high.stud"),
    ]
    subject = boat(parts=[second, post, device], conductors=wires)
    found = pick_up(subject, "plotter", "supply", "starting", event_id(subject))

    assert "other-voltage" in place(found, "high").breaks


def test_studs_of_one_bar_are_one_target() -> None:
    """Six studs of a bar that is one node: one target, on the emptiest stud."""
    subject = boat()
    found = pick_up(subject, "plotter", "negative", "starting", event_id(subject))
    bar = place(found, "bar")

    assert bar.terminal.terminal == "stud-3"
    assert len(bar.same_as) == 5


def test_chain_of_studs_merges_what_comes_to_the_same() -> None:
    """Neighbouring studs a few µΩ apart are one target although they are nodes of their own."""
    subject = boat(parts=[part("bar", section_mm2=60.0, stud_pitch_m=0.02)])
    found = pick_up(subject, "plotter", "negative", "starting", event_id(subject))

    assert sum(tap.terminal.part == "bar" for tap in found.taps) == 1


def test_length_is_estimated_between_known_places_and_else_carried_over() -> None:
    """With both places known by the boat's allowances: 1.3 times the line and 0.2 m at each end."""
    subject = boat(
        parts=[
            part("plotter", place={"from_bow_m": 5.0}),
            part("bar", place={"from_bow_m": 8.0}),
        ]
    )
    found = pick_up(subject, "plotter", "negative", "starting", event_id(subject))

    bar, shunt = place(found, "bar"), place(found, "shunt", "system")
    assert bar.length_m == pytest.approx(3 * 1.3 + 0.4)
    assert bar.length_basis == "estimated"
    assert (shunt.length_m, shunt.length_basis) == (2.0, "carried-over")


def test_loose_lead_has_every_place_and_no_present_one() -> None:
    """A lead that hangs loose can be landed; all its places are ranked."""
    subject = boat(conductors=[conductor("w-return", head=None)])
    found = pick_up(subject, "plotter", "negative", "starting", event_id(subject))

    assert found.present is None
    assert not any(tap.present for tap in found.taps)
    assert [tap.rank for tap in found.taps if not tap.breaks] == list(
        range(1, 1 + sum(not tap.breaks for tap in found.taps))
    )
    moved = apply(subject, MoveLead(part="plotter", terminal="negative", to=place(found, "bar").terminal))
    one = next(one for one in analyse_mode(moved, "starting").loads if one.part == "plotter")
    lowest = place(found, "bar").lowest
    assert lowest is not None
    assert lowest.value == pytest.approx(one.events[0].lowest.value, abs=1e-8)


def test_loose_lead_on_a_dead_boat_has_no_place() -> None:
    """Nothing joined to a post: nowhere to land."""
    cut = [conductor(name, head=None) for name in ("w-return", "w-shunt")]
    bare = boat(conductors=cut).model_copy(
        update={"parts": tuple(p for p in boat().parts if p.kind == "load")}
    )
    subject = bare.model_copy(
        update={
            "conductors": tuple(c for c in bare.conductors if c.id == "w-return"),
        }
    )

    assert pick_up(subject, "plotter", "negative", "starting", None).taps == ()


def test_heavy_load_s_own_lead_and_a_mode_without_event() -> None:
    """Its lowest voltage is its own; without an event only the steady state speaks."""
    subject = boat()
    own = pick_up(subject, "starter", "supply", "starting", event_id(subject))
    quiet = pick_up(subject, "plotter", "negative", "starting", None)

    assert own.present is not None
    assert own.present.lowest is not None
    assert own.present.shared_ohm is None
    assert own.present.others.unchanged == 1
    assert all(tap.lowest is None and tap.steady_v is not None for tap in quiet.taps)
    assert quiet.event is None


def test_charging_source_is_picked_up_too() -> None:
    """A charger's leads have places; it has no need and no drop."""
    charger = {"kind": "charger", "id": "charger", "name": "Charger", "rated_current_a": 20.0}
    wires = [
        wire("w-charger", "charger.output-1", "switch.out"),
        wire("w-charger-neg", "charger.negative", "bar.stud-4"),
    ]
    subject = boat(parts=[charger], conductors=wires)
    positive = pick_up(subject, "charger", "output-1", "starting", event_id(subject))
    negative = pick_up(subject, "charger", "negative", "starting", event_id(subject))

    assert positive.name == "Charger"
    assert all(tap.drop_v is None and tap.lowest is None for tap in (*positive.taps, *negative.taps))
    assert len(positive.taps) > 2


def test_what_cannot_be_picked_up_is_refused_with_a_reason() -> None:
    """No conductor on the terminal, no such part."""
    subject = boat(conductors=[conductor("w-return", tail=None)])

    with pytest.raises(NoLeadError, match="No conductor"):
        pick_up(subject, "plotter", "negative", "starting", None)
    with pytest.raises(UnknownModeError, match="no part"):
        pick_up(subject, "kettle", "supply", "starting", None)


def best_by_hand(subject: Boat, part_id: str, terminals: tuple[str, str], mode: str, event: str) -> float:
    """The highest lowest voltage among the places of both leads that break nothing, from two pick-ups."""
    found = [
        tap.lowest.value
        for terminal in terminals
        for tap in pick_up(subject, part_id, terminal, mode, event).taps
        if not tap.breaks and tap.lowest is not None
    ]
    return max(found)


@pytest.mark.parametrize(
    ("name", "mode", "event"),
    [
        ("1-sloop", "starting", "engine-start"),
        ("2-trawler", "anchoring", "windlass-break-out"),
        ("3-workboat", "starting", "star-start"),
        ("4-outboard", "starting", "outboard-start"),
    ],
)
def test_best_tap_is_the_best_that_picking_up_either_lead_finds(name: str, mode: str, event: str) -> None:
    """Within the 10 mV that count as the same; landing there gives that voltage (decision 16)."""
    subject = demo_boat(name)
    loads = [one for one in analyse_mode(subject, mode, events=[event]).loads if one.events and not one.heavy]
    for one in loads:
        seen = one.events[0]
        assert seen.best_tap is not None
        assert seen.best_tap_v is not None
        best = best_by_hand(subject, one.part, (one.input, "negative"), mode, event)
        assert best - 0.010 - 1e-8 <= seen.best_tap_v <= best + 1e-8
        moved = [
            analyse_mode(
                apply(subject, MoveLead(part=one.part, terminal=lead, to=seen.best_tap)), mode, events=[event]
            )
            for lead in (one.input, "negative")
        ]
        there = [
            other.events[0].lowest.value
            for answer in moved
            for other in answer.loads
            if other.id == one.id and other.events
        ]
        assert any(volts == pytest.approx(seen.best_tap_v, abs=1e-8) for volts in there)


def test_loads_beyond_the_batch_are_not_searched_and_counted() -> None:
    """On a large boat the loads that fare worst are searched; how many were not is told."""
    subject = demo_boat("5-large-yacht")
    event = events_of(subject)[0]
    answer = analyse_mode(subject, event.mode, events=[event.id])
    seen = [one for one in answer.loads if one.events and not one.heavy]
    searched = [one for one in seen if one.events[0].best_tap is not None]
    told = [text for text in answer.not_assessed if text.startswith("better taps")]

    assert 0 < len(searched) < len(seen)
    assert told == [
        f"better taps in {event.name}: {len(seen) - len(searched)} loads were not searched; "
        "the worst come first"
    ]


@pytest.mark.parametrize("name", ["1-sloop", "2-trawler"])
def test_a_place_asked_for_by_itself_breaks_what_the_list_says(name: str) -> None:
    subject = demo_boat(name)
    mode = subject.modes[0].id
    asked = 0
    for one in leads(subject):
        if one.last is None:
            continue
        for tap in pick_up(subject, one.part, one.terminal, mode, None).taps:
            if not tap.present:
                assert breaks_at(subject, one.part, one.terminal, mode, tap.terminal) == tap.breaks
                asked += 1

    assert asked > 100


def test_a_lead_that_cannot_be_moved_breaks_nothing_anywhere() -> None:
    subject = demo_boat("1-sloop")
    stuck = next(one for one in leads(subject) if one.last is None)
    bus = TerminalRef(part="negative-bus", terminal="stud-5")

    with pytest.raises(NoLeadError):
        breaks_at(subject, stuck.part, stuck.terminal, "starting", bus)


def test_the_other_pole_and_a_taken_way_are_no_places() -> None:
    subject = demo_boat("1-sloop")
    pole = TerminalRef(part="main-fuse", terminal="load")
    way = next(one.tap for one in leads(subject) if (one.part, one.terminal) == ("plotter", "supply"))
    assert way is not None

    assert breaks_at(subject, "heater", "negative", "starting", pole) == ("other-polarity",)
    assert breaks_at(subject, "autopilot", "supply", "starting", way) == ("way-occupied",)
