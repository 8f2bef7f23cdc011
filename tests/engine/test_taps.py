"""Picking up a lead: each answer is the analysis of the boat with the lead moved there."""

import pytest

from server.boat.boat import Boat
from server.boat.edit_values import MoveLead
from server.boat.edits import apply
from server.boat.events import events_of
from server.engine.analysis import NoLeadError, UnknownModeError, analyse_mode, pick_up
from server.engine.answer import PickUp, TapAnswer
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
        assert lowest.value - lowest.low == pytest.approx(seen.lowest.value - seen.lowest.low, rel=0.2)
        assert tap.verdict == seen.verdict
        assert tap.steady_v == pytest.approx(one.voltage_v, abs=1e-8)
        assert tap.shared_ohm == pytest.approx(seen.transfer_resistance_ohm, abs=1e-9)
        assert one.drop is not None
        assert tap.drop_v == pytest.approx(one.drop.judged_v, rel=1e-9)
        others = answer.events[0].restarts - (seen.verdict == "restarts")
        assert tap.others.restarts_after == others
        compared += 1

    assert compared >= 3


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


def test_excused_load_may_stay_alive() -> None:
    """A bilge pump with a stated reason may bypass the switch; a device of its own protects its lead."""
    pump = load(
        "plotter",
        {"kind": "constant-power", "power_w": 20.0},
        input={"minimum_voltage_v": 9.0},
        bypasses_switch="bilge pump",
    )
    inline = {"kind": "fuse", "id": "own", "name": "Own fuse", "rating_a": 5.0, "device_class": "blade"}
    wires = [wire("w-plotter", "own.load", "plotter.supply"), wire("w-own", "panel.dc-plotter", "own.line")]
    subject = boat(parts=[pump, inline], conductors=wires)
    found = pick_up(subject, "plotter", "supply", "starting", event_id(subject))

    assert place(found, "fuse", "line").breaks == ()
    assert place(found, "fuse", "line").protected
    assert not any(tap.terminal.part == "own" for tap in found.taps)


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
