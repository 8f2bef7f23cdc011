"""Turns that take the battery off an alternator: what to do by hand, step by step, or by another switch.

Common practice, no source: turned 1, BOTH, 2 a selector never opens the alternator; through OFF it does.
"""

from typing import Any

import pytest

from server.actions.findings import all_findings
from server.actions.mending import offers
from server.actions.results import Results
from server.actions.trying import Offer
from server.boat.boat import Boat
from server.boat.finding import Finding
from server.boat.presets import selector
from server.checks.mending.by_hand import by_hand
from server.checks.way_round import turned_through_off
from tests.checks.small import part, read, wire
from tests.checks.test_banks import changeover, two_banks


def on_a_selector(**dial: object) -> dict[str, Any]:
    """Two banks on a 1/2/BOTH/OFF selector with alternator and radio at its common."""
    body = two_banks()
    body["parts"] += [
        {"kind": "alternator", "id": "alt", "name": "Alternator", "rated_current_a": 60.0},
        selector("dial", "Selector").model_dump(exclude_none=True, mode="json") | dial,
    ]
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "c4"] + [
        wire("d1", "plus/stud-5", "dial/battery-1"),
        wire("d2", "start-fuse/load", "dial/battery-2"),
        wire("d3", "dial/common", "alt/positive"),
        wire("d4", "alt/negative", "minus/stud-5"),
        wire("d5", "dial/common", "radio/main"),
    ]
    return body


def found(boat: Boat, code: str) -> Finding:
    return next(one for one in all_findings(Results(), "boat", boat) if one.code == code)


def offered(boat: Boat, code: str) -> tuple[Offer, ...]:
    return offers(Results(), "boat", boat, found(boat, code).id)


def test_a_selector_is_turned_by_way_of_both_and_its_mend_says_so_step_by_step() -> None:
    boat = read(on_a_selector())
    one = found(boat, "turn-through-off")
    (mend,) = by_hand(boat, one)

    assert (one.severity, one.subjects, one.source_status) == ("advice", ("dial", "alt"), "common-practice")
    assert "from 1 to 2 by way of OFF" in one.message.replace("Off", "OFF")
    assert "by way of BOTH it does not" in one.message
    assert mend.label.startswith("Turn the selector by way of BOTH")
    assert [step.what for step in mend.steps] == ["Selector: 1 → BOTH", "Selector: BOTH → 2"]
    assert all("Radio" in step.alive and not step.goes_dead and not step.blinks for step in mend.steps)
    assert mend.edits == ()


def test_where_both_lies_on_the_other_side_of_the_dial_the_steps_go_that_way_round() -> None:
    body = on_a_selector()
    dial = part(body, "dial")
    by_id = {one["id"]: one for one in dial["positions"]}
    dial["positions"] = [by_id[name] for name in ("one", "off", "two", "both")]
    (mend,) = by_hand(read(body), found(read(body), "turn-through-off"))

    assert [step.what for step in mend.steps] == ["Selector: 1 → BOTH", "Selector: BOTH → 2"]


@pytest.mark.parametrize(
    "harmless",
    [
        {"auxiliary": [{"name": "Field", "terminals": ["f-in", "f-out"], "closed_in": ["one", "both", "two"],
                        "leads_main": "yes"}]},
        {"positions": [{"id": "off", "name": "OFF"},
                       {"id": "one", "name": "1", "closed": [["battery-1", "common"]]},
                       {"id": "both", "name": "BOTH",
                        "closed": [["battery-1", "common"], ["battery-2", "common"]]}]},
    ],
    ids=["field opens first", "three positions are all neighbours"],
)  # fmt: skip
def test_a_dial_without_a_wrong_way_round_is_not_spoken_of(harmless: dict[str, object]) -> None:
    assert list(turned_through_off(read(on_a_selector(**harmless)))) == []


def test_boats_without_modes_or_with_too_many_switches_are_left_out() -> None:
    body = on_a_selector()
    assert list(turned_through_off(read(body | {"modes": []}))) == []
    body["parts"] += [dict(part(body, "dial")) | {"id": f"more-{n}", "name": f"More {n}"} for n in range(14)]
    assert list(turned_through_off(read(body))) == []


def test_a_switch_that_breaks_first_is_turned_at_rest_or_replaced_by_one_that_makes_first() -> None:
    boat = read(changeover("break-before-make"))
    at_rest, replaced = offered(boat, "turn-loses-battery")

    assert [step.what for step in at_rest.mend.steps] == ["Stop the engine", "Changeover: 1 → 2"]
    assert at_rest.mend.label == "Turn the changeover with the engine stopped alone"
    assert replaced.mend.label == "A switch that makes before it breaks in place of the changeover"
    assert "turn-loses-battery" in {one.code for one in replaced.effect.gone}


def test_of_a_switch_of_unknown_order_no_other_is_offered_before_somebody_looked() -> None:
    assert [one.mend.edits for one in offered(read(changeover(None)), "turn-loses-battery")] == [()]


def test_a_second_switch_across_the_two_keeps_the_source_on_a_battery() -> None:
    """Closed first, a switch from bank 2 to the common holds the alternator while the changeover breaks."""
    body = changeover("break-before-make")
    body["parts"].append(dict(part(body, "switch")) | {"id": "bridge", "name": "Bridge", "normal": "off"})
    body["conductors"] += [
        wire("e1", "start-fuse/load", "bridge/in"),
        wire("e2", "bridge/out", "dial/common"),
    ]
    boat = read(body)
    first = offered(boat, "turn-loses-battery")[0].mend

    assert [step.what for step in first.steps] == [
        "Bridge: OFF → ON",
        "Changeover: 1 → 2",
        "Bridge: ON → OFF",
    ]
    assert first.label.startswith("Turn the bridge to ON")


def test_a_load_on_the_common_loses_power_for_an_instant_and_is_alive_again() -> None:
    body = changeover("break-before-make")
    next(one for one in body["conductors"] if one["id"] == "c4")["tail"] = {
        "part": "dial",
        "terminal": "common",
    }
    steps = offered(read(body), "turn-loses-battery")[0].mend.steps

    assert steps[1].blinks == ("Radio",)
    assert steps[1].alive == ("Radio",)


def test_other_findings_have_nothing_to_do_by_hand() -> None:
    boat = read(changeover("break-before-make"))
    other = found(boat, "turn-loses-battery").model_copy(update={"code": "restarts"})

    assert list(by_hand(boat, other)) == []


def test_for_a_source_that_no_engine_drives_stopping_the_engine_is_no_way() -> None:
    body = changeover("break-before-make")
    part(body, "alt").update({"kind": "solar", "name": "Solar"})
    found_here = offered(read(body), "turn-loses-battery")

    assert [one.mend.label for one in found_here] == [
        "A switch that makes before it breaks in place of the changeover"
    ]
