"""From a complaint to its boat: which stretch is suspect, what is assumed, and where the leads belong."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from server.actions import complaint
from server.actions.changes import apply_edit
from server.actions.complaint_answers import CableSeen, Complaint, Readings
from server.actions.complaint_boat import complaint_boat
from server.actions.complaint_legs import BrokenWayError, Cranking, Legs, clamped_or_bounded, legs
from server.actions.complaint_measured import sound, with_measured
from server.actions.complaint_states import START, STARTING
from server.actions.yard import Yard, open_boat, open_yard
from server.boat.constructors import at
from server.boat.document import boat_bytes, read_boat
from server.boat.edits import MoveConductorEnd, RemoveConductor, RemovePart, SetOn, SingleEdit, apply
from server.boat.value import Span
from server.engine.transient.event_run import event_run

HEAVY = "2/0 AWG"
SAID = Complaint(
    name="Heron",
    capacity_ah=90.0,
    rest_v=12.6,
    plus=CableSeen(HEAVY, 1.2),
    feed=CableSeen(HEAVY, 2.0),
    minus=CableSeen(HEAVY, 0.8),
    strap=CableSeen(HEAVY, 1.5),
    leads=CableSeen("14 AWG", 3.0),
    device_w=20.0,
)


def read(**volts: float) -> Complaint:
    """The complaint with some readings."""
    return replace(SAID, rest_a=0.001, readings=Readings(**volts))


def suspect(found: Legs) -> str:
    """Which stretch is suspect."""
    return found.suspect.word if found.suspect else ""


def test_a_bad_negative_is_named_with_its_volts_and_those_of_all() -> None:
    found = legs(complaint_boat(read(battery_v=10.9, positive_v=0.5, negative_v=1.1)))

    assert suspect(found) == "negative"
    assert found.negative.measured_v == 1.1
    assert found.total_v == pytest.approx(12.6 - 10.9 + 0.5 + 1.1)


def test_what_is_expected_of_sound_copper_is_its_resistance_times_the_current() -> None:
    """By hand: 2.3 m of 2/0 AWG at 40 °C and four crimped lugs, one of them on the block, carry 200 A.

    NEC chapter 9 table 8 gives 0.101 Ω/kft coated at 75 °C, 0.000331 Ω/m, which is 0.000294 Ω/m at 40 °C
    (234.5 + θ). Lugs by the assumptions' table: 3 × 0.05 mΩ and 0.15 mΩ on the block.
    """
    found = legs(complaint_boat(read(negative_v=0.5, current_a=200.0)))
    per_m = 0.101 / 304.8 * (234.5 + 40) / (234.5 + 75)

    assert found.negative.sound_v == pytest.approx(200 * (2.3 * per_m + 3 * 5e-5 + 1.5e-4), rel=0.02)
    assert found.current.is_measured


@pytest.mark.parametrize(
    ("volts", "named"),
    [
        ({"positive_v": 1.4, "negative_v": 0.2}, "positive"),
        ({"positive_v": 0.25, "negative_v": 0.2}, ""),
        ({"negative_v": 2.0}, "negative"),
        ({"negative_v": 0.3}, ""),
        ({"battery_v": 4.0}, "battery"),
        ({}, ""),
    ],
)
def test_the_suspect_takes_more_than_sound_copper_can(volts: dict[str, float], named: str) -> None:
    assert suspect(legs(complaint_boat(read(**volts)))) == named


def test_a_stretch_that_takes_little_bounds_the_current_and_so_condemns_the_other() -> None:
    alone = legs(complaint_boat(read(negative_v=0.4)))
    beside = legs(complaint_boat(read(negative_v=0.4, positive_v=0.05)))

    assert suspect(alone) == ""
    assert suspect(beside) == "negative"
    assert beside.current.high_a < alone.current.low_a


def test_without_a_clamp_the_current_is_as_stated_and_no_more_than_copper_lets_through() -> None:
    stated = Cranking(100.0, 160.0, 240.0, is_measured=False)
    bounded = clamped_or_bounded(None, stated, {"negative": 0.2}, {"negative": 0.001})

    assert clamped_or_bounded(None, stated, {}, {}) == stated
    assert (bounded.low_a, bounded.value_a, bounded.high_a) == (100.0, 160.0, 200.0)
    assert clamped_or_bounded(170.0, stated, {}, {}).value_a == 170.0


def test_the_boat_takes_over_what_was_measured_and_gives_the_reading_again() -> None:
    """Ohm's law: what the meter showed over what the clamp showed, less what the device alone takes (1 %)."""
    boat = complaint_boat(read(negative_v=1.1, current_a=160.0))
    taken = with_measured(boat)
    spans = [one.measured_resistance_ohm for one in taken.conductors if one.reading == "reading-negative"]

    assert len(spans) == 2
    assert all(isinstance(one, Span) and one.low <= one.nominal <= one.high for one in spans)
    assert sum(one.nominal for one in spans if isinstance(one, Span)) == pytest.approx(1.1 / 160, rel=0.01)
    assert sound(taken) == boat
    assert suspect(legs(sound(taken))) == "negative"


def test_a_single_cable_has_all_of_the_excess() -> None:
    boat = complaint_boat(replace(read(negative_v=1.1, current_a=160.0), has_bar=False))
    (span,) = [one.measured_resistance_ohm for one in with_measured(boat).conductors if one.reading]

    assert isinstance(span, Span)
    assert span.low == pytest.approx(span.high)
    assert span.high == pytest.approx(1.1 / 160, rel=0.01)


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    """An empty yard."""
    return open_yard(tmp_path)


def test_the_device_is_lower_with_the_bad_joint_and_its_best_place_is_ahead_of_it(yard: Yard) -> None:
    said = replace(read(battery_v=10.9, positive_v=0.5, negative_v=1.1), has_panel=True)
    opened = open_boat(yard, complaint.begin(yard, said, "complaint-1").id)
    answered = complaint.answer(yard, opened)
    negative = next(one for one in answered.leads if one.polarity == "negative")
    best = min((tap for tap in negative.taps if tap.rank), key=lambda tap: tap.rank or 0)

    assert answered.device == "Plotter"
    assert best.terminal.part == "negative-bar"
    assert best.lowest is not None
    assert best.lowest.value > answered.seen.lowest.value + 1.0
    assert negative.present is not None
    assert negative.present.breaks == ("engine-return",)


def test_sent_twice_it_begins_one_boat(yard: Yard) -> None:
    rows = [complaint.begin(yard, SAID, "complaint-2") for _ in range(2)]

    assert rows[0].id == rows[1].id


def test_it_is_an_ordinary_boat_that_opens_again_from_its_bytes() -> None:
    boat = complaint_boat(read(negative_v=1.1))

    assert read_boat(boat_bytes(boat)) == boat


EVERYTHING = replace(
    SAID,
    fuse_a=200.0,
    alternator_a=70.0,
    windlass_a=80.0,
    has_panel=True,
    device_plus="panel",
    device_fuse_a=5.0,
)
NOTHING = Complaint(name="Heron")


@pytest.mark.parametrize(
    "said",
    [
        NOTHING,
        EVERYTHING,
        replace(NOTHING, has_switch=False, has_bar=False),
        replace(NOTHING, device_plus="house", device_minus="bar"),
        replace(EVERYTHING, nominal_voltage_v=24.0, device_plus="starter", device_minus="battery"),
        replace(NOTHING, device_plus="battery", engine="large", chemistry="lifepo4"),
    ],
)
def test_whatever_is_left_open_is_solved_and_listed_as_assumed(said: Complaint) -> None:
    boat = complaint_boat(said)
    run = event_run(boat, STARTING, START)
    unsure = {one.subject for one in boat.not_seen}

    assert {point.key for point in run.points} >= {"device.main"}
    assert run.settled_a > 50
    for one in boat.conductors:
        known = one.kind == "link" or (one.size is not None and not isinstance(one.length_m, Span))
        assert known != (one.id in unsure), one.id


def test_a_cable_of_unknown_size_is_a_range_of_ohms_that_a_size_replaces() -> None:
    boat = complaint_boat(replace(SAID, strap=CableSeen(None, 2.0)))
    strap = next(one for one in boat.conductors if one.id == "strap")

    assert strap.size is None
    assert isinstance(strap.resistance_ohm, Span)
    assert strap.length_m == 2.0
    assert strap.trace == "assumed"


def test_a_boat_that_lost_its_starter_says_so(yard: Yard) -> None:
    boat = apply(complaint_boat(read(negative_v=1.1)), RemovePart(id="battery"))
    with pytest.raises(BrokenWayError, match="not there any more"):
        legs(boat)


@pytest.mark.parametrize(
    ("edit", "why"),
    [
        (RemoveConductor(id="strap"), "Engine starter is not fed"),
        (MoveConductorEnd(conductor="starter-case", end="head", to=at("battery.negative")), "is not whole"),
        (SetOn(mode=STARTING, part="device", on=False), "not there, not on, or not fed"),
        (RemovePart(id="device"), "no start or no device"),
    ],
)
def test_a_boat_that_was_changed_too_far_says_what_is_missing(yard: Yard, edit: SingleEdit, why: str) -> None:
    row = complaint.begin(yard, read(negative_v=1.1), "complaint-3")
    apply_edit(yard, row.id, 1, edit, "changed-too-far")
    opened = open_boat(yard, row.id)

    with pytest.raises(complaint.NoComplaintError, match=why):
        complaint.answer(yard, opened)
    if "device" not in why and "not on" not in why:
        with pytest.raises(complaint.NoComplaintError, match=why):
            complaint.new_readings(opened, Readings(negative_v=0.4))


@pytest.mark.parametrize(
    "wild",
    [
        {"starter_a": 0.5},
        {"plus": CableSeen("18 AWG", 100.0), "device_w": 5000.0},
        {"capacity_ah": 1.0, "starter_a": 5000.0, "minus": CableSeen("4/0 AWG", 0.01)},
    ],
)
def test_wild_answers_make_a_boat_all_the_same(yard: Yard, wild: dict[str, Any]) -> None:
    opened = open_boat(yard, complaint.begin(yard, replace(read(negative_v=3.0), **wild), "complaint-4").id)

    assert len(opened.boat.readings) == 1
    if wild.get("starter_a") == 0.5:
        with pytest.raises(complaint.NoComplaintError, match="does not turn"):
            complaint.answer(yard, opened)
