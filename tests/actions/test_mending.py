"""Mends: each clears its finding and brings none as bad; which is offered is worked out by hand.

The small boat has 10 AWG of 105 °C outside engine spaces: 60 A (33 CFR 183.425 Table 5); 5 mΩ of battery.
"""

from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from server.actions.findings import all_findings
from server.actions.mending import Offer, all_mended, finding_of, offers
from server.actions.results import Results
from server.actions.troubles import UnknownChoiceError
from server.boat.boat import Boat
from server.boat.edits import ChangeValue, MoveLead, SetSize, Splice, apply
from server.boat.finding import Finding
from server.boat.parts import Fuse
from tests.checks.small import move, part, read, small, wire
from tests.engine.demo import demo_boat

ORDER = ("danger", "fault", "advice", "cannot-tell")

Break = Callable[[dict[str, Any]], None]


def no_fuse(document: dict[str, Any]) -> None:
    move(document, "c1", "head", "switch/in")
    document["conductors"] = [one for one in document["conductors"] if one["id"] != "c2"]


def large_fuse(document: dict[str, Any]) -> None:
    part(document, "fuse")["rating_a"] = 200.0


def weak_fuse(document: dict[str, Any]) -> None:
    part(document, "fuse")["interrupting_a"] = 500.0


def far_fuse(document: dict[str, Any]) -> None:
    document["conductors"][0]["length_m"] = 4.0


def thin_lead(document: dict[str, Any]) -> None:
    document["conductors"][3]["size"] = {
        "label": "18 AWG",
        "area_mm2": 0.82,
        "resistance_ohm_per_m": 0.021,
    }


def long_leads(document: dict[str, Any]) -> None:
    for number in (3, 4):
        document["conductors"][number]["length_m"] = 14.0
    part(document, "radio")["inputs"][0]["design_current_a"] = 6.0
    part(document, "radio")["circuit_class"] = "critical"


def on_the_block(document: dict[str, Any]) -> None:
    move(document, "c5", "head", "engine/stud-2")


def on_the_post(document: dict[str, Any]) -> None:
    move(document, "c5", "head", "house/negative")


def before_the_switch(document: dict[str, Any]) -> None:
    move(document, "c4", "tail", "fuse/load")


def crowded_stud(document: dict[str, Any]) -> None:
    document["conductors"] += [
        wire(f"e{number}", f"engine/stud-{number}", "minus/stud-1") for number in (1, 2, 3, 4)
    ]


def two_earths(document: dict[str, Any]) -> None:
    document["parts"].append(
        {"kind": "bonding", "id": "bond", "name": "Bonding", "role": "bonding-bus", "studs": 4}
    )
    document["conductors"] += [
        wire("b1", "bond/stud-1", "minus/stud-4"),
        wire("b2", "bond/stud-2", "engine/stud-2"),
    ]


def same_name(document: dict[str, Any]) -> None:
    part(document, "plus")["name"] = "Negative bus"


def small_switch(document: dict[str, Any]) -> None:
    part(document, "switch")["continuous_a"] = 20.0
    part(document, "radio")["inputs"][0]["demand"]["power_w"] = 280.0


def small_fuse(document: dict[str, Any]) -> None:
    part(document, "fuse")["rating_a"] = 20.0
    part(document, "radio")["inputs"][0]["demand"]["power_w"] = 280.0


def loose_end(document: dict[str, Any]) -> None:
    document["conductors"].append(wire("stray", "plus/stud-3", "plus/stud-4") | {"head": None})


def sparking_switch(document: dict[str, Any]) -> None:
    document["zones"] = [{"id": "engine-room", "name": "Engine room", "vapour_risk": True}]
    part(document, "switch").update(zone="engine-room", ignition_protected="no")


def high_charger(document: dict[str, Any]) -> None:
    document["parts"].append(
        {"kind": "charger", "id": "charger", "name": "Charger", "rated_current_a": 20.0, "setpoint_v": 14.8}
    )
    document["conductors"] += [
        wire("k1", "charger/output-1", "plus/stud-5"),
        wire("k2", "charger/negative", "minus/stud-5"),
    ]
    part(document, "radio")["inputs"][0]["maximum_voltage_v"] = 14.4


BREAKS: dict[str, Break] = {
    one.__name__: one
    for one in (
        no_fuse, large_fuse, weak_fuse, far_fuse, thin_lead, long_leads, on_the_block, on_the_post,
        before_the_switch, crowded_stud, two_earths, same_name, small_switch, small_fuse, loose_end,
        sparking_switch, high_charger,
    )
}  # fmt: skip

EXPECTED = [
    # 60 A is the largest for 10 AWG; 100 mm from the post is within 7 in. The post gives 12.8 V over 5 mΩ and
    # 0.1 m of cable: 2.5 kA, so 3,000 A must be broken.
    (
        no_fuse,
        "unprotected-lead",
        "60 A fuse in the conductor from the house to the battery switch 100 mm from the house, "
        "that can break 3,000 A",
    ),
    # 200 A stands before 60 A cables: the main fuse feeds a bus, so the largest that fits them all.
    (large_fuse, "device-above-conductor", "60 A instead of 200 A in the main fuse"),
    # About 12.8 V over 5 mΩ, a metre of 10 AWG at 3.3 mΩ, joints and fuse: 1.3 kA, next usual rating 1,500 A.
    (weak_fuse, "interrupting-too-low", "One that can break 1,500 A in place of the main fuse"),
    (far_fuse, "device-too-far", "Main fuse 100 mm from the house"),
    # 16 AWG is the smallest conductor by itself (33 CFR 183.425(e)).
    (thin_lead, "conductor-too-thin", "16 AWG instead of 18 AWG: the radio's positive lead"),
    # 28 m of 10 AWG at 6 A lose 6.2 % with the common way; a third of that at 3.3 mΩ/m asks for 21 mm², and
    # the next size below, 6 AWG, leaves what the band of temperature cannot tell.
    (
        long_leads,
        "drop-over-limit",
        "6 AWG instead of 10 AWG: the radio's positive lead, the radio's negative lead",
    ),
    (on_the_block, "returned-to-block", "Move its negative to Negative bus"),
    (on_the_post, "uncounted", "Move its negative to Negative bus"),
    (before_the_switch, "alive-when-off", "Move its positive to Positive bus"),
    (
        crowded_stud,
        "stud-full",
        "Move the conductor from the engine to the negative bus to stud 4 of the negative bus",
    ),
    (two_earths, "several-earth-links", "Take out the conductor from the bonding to the engine"),
    (same_name, "name-used-twice", "Call the second “Negative bus 2”"),
    (small_switch, "over-rating", "A switch for 50 A in place of the battery switch"),
    # 280 W at about 11.8 V: 24 A; a quarter more is 30 A.
    (small_fuse, "over-rating", "30 A instead of 20 A in the main fuse"),
    (loose_end, "loose-end", "Take out the conductor from the positive bus to a loose end"),
    (sparking_switch, "spark-in-vapour", "An ignition-protected one in place of the battery switch"),
    (high_charger, "charging-too-high", "Set the charger to 14.4 V"),
]


def broken(*breaks: Break) -> Boat:
    document = small()
    for one in breaks:
        one(document)
    return read(document)


@cache
def on_demo_boat(name: str) -> list[tuple[Finding, Offer]]:
    boat, results, _ = found_on(name)
    return offered(boat, results)


def offered(boat: Boat, results: Results | None = None) -> list[tuple[Finding, Offer]]:
    """Every open finding with each mend that is offered for it."""
    kept = results or Results()
    return [
        (one, offer)
        for one in all_findings(kept, "boat", boat)
        for offer in offers(kept, "boat", boat, one.id)
    ]


def mended(boat: Boat, offer: Offer) -> Boat:
    for edit in offer.mend.edits:
        boat = apply(boat, edit)
    return boat


def assert_cures(boat: Boat, before: set[str], finding: Finding, offer: Offer) -> None:
    """The law: judged anew on the mended boat, the finding is gone and none as bad has come."""
    after = all_findings(Results(explains=False), "after", mended(boat, offer))
    assert finding.id not in {one.id for one in after}
    come = [one for one in after if one.id not in before]
    worst = ORDER.index(finding.severity)
    assert [one.message for one in come if ORDER.index(one.severity) <= worst] == []
    assert {one.id for one in come} == {one.id for one in offer.effect.come}
    assert before - {one.id for one in after} == {one.id for one in offer.effect.gone}


def assert_all_cure(boat: Boat, found: list[tuple[Finding, Offer]]) -> int:
    """Every mend that is offered on a boat obeys the law; how many there are."""
    before = {one.id for one in all_findings(Results(), "boat", boat)}
    for finding, offer in found:
        assert_cures(boat, before, finding, offer)
    return len(found)


@pytest.mark.parametrize(("fault", "code", "label"), EXPECTED, ids=[one[0].__name__ for one in EXPECTED])
def test_a_fault_is_mended_as_an_electrician_would(fault: Break, code: str, label: str) -> None:
    found = [(finding, offer) for finding, offer in offered(broken(fault)) if finding.code == code]

    assert label in [offer.mend.label for _, offer in found]


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.sets(st.sampled_from(sorted(BREAKS)), min_size=1, max_size=2))
def test_a_mend_clears_its_finding_and_brings_none_as_bad_whatever_else_is_wrong(names: set[str]) -> None:
    boat = broken(*(BREAKS[name] for name in sorted(names)))
    assert_all_cure(boat, offered(boat))


PROTECTION = {"device-above-conductor", "fault-does-not-open", "fault-may-not-open", "burns-before-opening"}


@pytest.mark.parametrize("name", ["1-sloop", "4-outboard"])
def test_more_copper_is_no_protection_while_the_device_is_too_large_for_it(name: str) -> None:
    """The sloop's heater has 14 AWG behind 300 A; 10 AWG may have 90 A (60 A, 150 % by ABYC E-11)."""
    boat = demo_boat(name)
    for finding, offer in on_demo_boat(name):
        if finding.code in PROTECTION:
            after = all_findings(Results(), "after", mended(boat, offer))
            above = {one.subjects[0] for one in after if one.code == "device-above-conductor"}
            resized = {edit.conductor for edit in offer.mend.edits if isinstance(edit, SetSize)}
            assert not resized & above, (finding.id, offer.mend.label)


def test_the_sloops_heater_is_offered_a_fuse_and_no_copper() -> None:
    found = [
        offer for finding, offer in on_demo_boat("1-sloop") if finding.id.startswith("fault-does-not-open-h")
    ]

    assert found
    assert all(not isinstance(edit, SetSize) for offer in found for edit in offer.mend.edits)


def test_on_the_sloop_too() -> None:
    assert assert_all_cure(demo_boat("1-sloop"), on_demo_boat("1-sloop"))


@cache
def found_on(name: str) -> tuple[Boat, Results, tuple[Finding, ...]]:
    """A demo boat with all that is found on it, and what that was worked out with."""
    boat, results = demo_boat(name), Results()
    return boat, results, all_findings(results, "boat", boat)


def assert_its_mends_cure(name: str, number: int) -> int:
    boat, results, found = found_on(name)
    one = found[number]
    for offer in offers(results, "boat", boat, one.id):
        assert_cures(boat, {every.id for every in found}, one, offer)
    return len(offers(results, "boat", boat, one.id))


@pytest.mark.parametrize("name", ["2-trawler", "3-workboat"])
def test_on_larger_boats_for_the_worst_finding(name: str) -> None:
    assert assert_its_mends_cure(name, 0)


@settings(max_examples=2, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(["2-trawler", "3-workboat"]), st.integers(0, 10_000))
def test_and_for_any_other(name: str, pick: int) -> None:
    """All of them were gone through once; a few at a time, for each takes seconds."""
    assert_its_mends_cure(name, pick % len(found_on(name)[2]))


def test_the_sloops_unfused_heater_gets_a_fuse_near_its_bus_for_what_it_carries() -> None:
    # The heater's glow plug takes 11 A: a quarter more is 13.75 A, so 15 A; 14 AWG of 105 °C carries 35 A.
    boat, results, found = found_on("1-sloop")
    finding = next(one for one in found if one.subjects == ("heater-pos",))
    first = offers(results, "boat", boat, finding.id)[0]
    (splice,) = first.mend.edits

    assert isinstance(splice, Splice)
    assert isinstance(splice.part, Fuse)
    assert (splice.conductor, splice.part.rating_a, splice.distance_m) == ("heater-pos", 15.0, 0.1)
    assert {one.code for one in first.effect.gone} >= {"device-above-conductor", "fault-does-not-open"}
    assert first.bought == ()


def test_a_feeder_gets_the_largest_device_that_fits_it_as_nobody_said_what_it_is_to_carry() -> None:
    boat, results, found = found_on("2-trawler")
    finding = next(one for one in found if one.subjects == ("combiner-b",))
    edits = [edit for offer in offers(results, "boat", boat, finding.id) for edit in offer.mend.edits]
    fuses = [edit.part for edit in edits if isinstance(edit, Splice)]
    assert [one.rating_a for one in fuses if isinstance(one, Fuse)] == [70.0]
    assert [edit.value for edit in edits if isinstance(edit, ChangeValue)] == [70.0]


def test_a_mend_says_how_much_cable_it_asks_for() -> None:
    # Two leads of 14 m in 6 AWG, 13.3 mm² (ASTM B258): 13.3 × 28 × 8.89 g/cm³ (IEC 60028) = 3.31 kg.
    boat = broken(long_leads)
    sized = [offer for _, offer in offered(boat) if isinstance(offer.mend.edits[0], SetSize)]

    (six,) = (one for offer in sized for one in offer.bought if one.label == "6 AWG")
    assert six.length_m == pytest.approx(28.0)
    assert six.copper_kg == pytest.approx(3.31, abs=0.01)


def test_of_one_job_only_the_first_that_does_is_offered() -> None:
    sized = [
        finding.id
        for finding, offer in on_demo_boat("1-sloop")
        if any(isinstance(edit, SetSize) for edit in offer.mend.edits)
    ]

    assert sized
    assert len(set(sized)) == len(sized)


def test_moves_lead_to_bars_posts_and_panels_alone() -> None:
    kinds = {one.id: one.kind for one in demo_boat("1-sloop").parts}
    edits = [edit for _, offer in on_demo_boat("1-sloop") for edit in offer.mend.edits]
    moves = [edit for edit in edits if isinstance(edit, MoveLead)]

    assert moves
    assert {kinds[one.to.part] for one in moves} <= {"busbar", "post", "panel"}


def test_documents_carry_the_mends_of_open_findings() -> None:
    found = all_mended(Results(), "small", broken(weak_fuse))

    assert [len(one.mends) for one in found if one.code == "interrupting-too-low"] == [1]


def test_a_finding_that_is_not_there_has_no_mends() -> None:
    with pytest.raises(UnknownChoiceError):
        finding_of(Results(), "small", broken(), "restarts-radio")


def test_a_fuse_in_a_numbered_cable_gives_the_piece_its_number_with_a_letter() -> None:
    document = small()
    no_fuse(document)
    document["cables"] = [{"id": "k", "number": "6", "construction": "single"}]
    document["conductors"][0]["cable"] = "k"
    boat = read(document)
    _, offer = next(pair for pair in offered(boat) if pair[0].code == "unprotected-lead")
    cut = mended(boat, offer)

    assert [cable.number for cable in cut.cables] == ["6", "6A"]
    assert {one.cable for one in cut.conductors if one.cable} == {cable.id for cable in cut.cables}
