"""What preheating and earlier attempts took before the press, by hand arithmetic.

Ampere-hours are ampere-seconds over 3,600 (by definition). Rest voltages are those of the table of rest
voltages, which is from memory: AGM, 12 V: 12.8 V full, 12.6 V at 75 %, 12.3 V at 50 %, 12.0 V at 25 %.
"""

from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.modes import Conditions
from server.boat.parts import Battery
from server.engine.solution import Solution
from server.engine.transient.answer import EventRun
from server.engine.transient.event_run import event_run
from server.engine.transient.model import BoatModel
from tests.engine.boats import part
from tests.engine.demo import demo_boat
from tests.engine.transient.test_event_run import POSTS, small

BEFORE: dict[str, Any] = {"attempt": 3, "preheat_before_a": 60.0, "preheat_before_s": 20.0}
TAKEN_AH = (60.0 * 20.0 + 2 * 150.0 * 0.6) / 3600
"""60 A for 20 s, then two attempts at the running current of 150 A for 0.6 s each: 0.383 Ah."""


def run(conditions: dict[str, Any] | None, **battery: object) -> EventRun:
    """The small boat's start with probes at the battery's posts, nothing else on."""
    mode = {"id": "starting", "name": "Starting", "on": []}
    parts = [part("battery", **battery)]
    return event_run(small(parts=parts, conditions=conditions, modes=[mode]), "starting", "start", (POSTS,))


def figures(answer: EventRun, key: str) -> list[float]:
    return [one.value for one in answer.derived if one.key == key]


@pytest.mark.parametrize(
    ("battery", "stated", "volts_per_percent"),
    [
        ({"rest_voltage_v": None}, {"state_of_charge": 0.5}, 0.3 / 25),
        ({"rest_voltage_v": 12.7}, {}, 0.2 / 25),
        ({"rest_voltage_v": None, "state_of_charge": 0.75}, {}, 0.3 / 25),
        ({"rest_voltage_v": 25.4, "nominal_voltage_v": 24.0}, {}, 0.4 / 25),
    ],
    ids=["stated", "by rest voltage", "by the battery", "two blocks"],
)
def test_the_rest_voltage_falls_by_what_was_taken(
    battery: dict[str, object], stated: dict[str, Any], volts_per_percent: float
) -> None:
    """0.383 Ah of 50 Ah are 0.767 %: between 75 and 100 % of an AGM battery 6.1 mV, below that 9.2 mV."""
    fall_v = 100 * TAKEN_AH / 50.0 * volts_per_percent

    rested = run(stated or None, capacity_ah=50.0, **battery)
    after = run({**stated, **BEFORE}, capacity_ah=50.0, **battery)

    assert figures(after, "charge_taken") == pytest.approx([TAKEN_AH])
    assert figures(after, "rest_voltage_fallen") == pytest.approx([fall_v])
    assert figures(rested, "charge_taken") == []
    assert rested.points[-1].before_v - after.points[-1].before_v == pytest.approx(fall_v, abs=1e-9)
    assert after.points[-1].lowest.value < rested.points[-1].lowest.value
    told = next(one.source for one in after.derived if one.key == "charge_taken")
    assert told.startswith(
        "preheating with 60 A for 20 s and 2 earlier attempts with the running current of 150 A"
    )


def test_a_charge_that_nobody_stated_is_the_assumed_one() -> None:
    after = run(BEFORE, capacity_ah=50.0, rest_voltage_v=None)

    assumed = next(one for one in after.assumptions if one.key == "battery_state_of_charge")
    volts_per_percent = 0.2 / 25 if assumed.value > 75.0 else 0.3 / 25
    assert figures(after, "rest_voltage_fallen") == pytest.approx([100 * TAKEN_AH / 50.0 * volts_per_percent])


def test_a_battery_cannot_give_more_than_it_has() -> None:
    """300 A for an hour are more than 50 Ah at any charge: empty, an AGM battery rests at 11.8 V."""
    after = run(
        {"state_of_charge": 0.25, "preheat_before_a": 300.0, "preheat_before_s": 3600.0},
        capacity_ah=50.0,
        rest_voltage_v=None,
    )

    assert figures(after, "rest_voltage_fallen") == pytest.approx([0.2])


def test_without_its_capacity_it_is_told_what_to_enter() -> None:
    after = run({**BEFORE, "attempt": 2})

    assert figures(after, "charge_taken") == pytest.approx([(60.0 * 20.0 + 150.0 * 0.6) / 3600])
    assert figures(after, "rest_voltage_fallen") == []
    assert any("enter its capacity" in one for one in after.not_assessed)
    assert any("an earlier attempt with" in one.source for one in after.derived)


def test_preheating_of_unknown_length_takes_nothing_and_says_so() -> None:
    after = run({"preheat_before_a": 60.0}, capacity_ah=50.0)

    assert figures(after, "charge_taken") == []
    assert any("enter for how long it preheats" in one for one in after.not_assessed)


def with_conditions(boat: Boat, event_id: str, conditions: Conditions) -> Boat:
    """A boat with other conditions of one of its events."""
    events = tuple(
        one.model_copy(update={"conditions": conditions}) if one.id == event_id else one
        for one in boat.events
    )
    return boat.model_copy(update={"events": events})


def test_batteries_of_a_bank_give_by_their_share_of_the_start() -> None:
    """What each battery gives of 1 Ah is its share of the current at the first instant."""
    conditions = Conditions(preheat_before_a=60.0, preheat_before_s=60.0)
    boat = with_conditions(demo_boat("1-sloop"), "engine-start", conditions)
    solution = Solution.of(boat, "starting")
    event = solution.event("engine-start")
    more = event.present.current_a - event.absent.current_a
    every = [abs(float(more[row])) for row, label in enumerate(event.net.labels) if label.kind == "battery"]
    given = [amps for amps in every if amps > 1e-3 * max(every)]

    taken = BoatModel(solution, event).drained.taken

    assert len(taken) == len(given) >= 2
    volts = {part.id: part.nominal_voltage_v for part in boat.parts if isinstance(part, Battery)}
    assert sum(one.charge_ah * volts[one.part_id] / 12.0 for one in taken) == pytest.approx(1.0, rel=0.02)
    heavy_a = event.present.current_a[event.heavy_element]
    assert [one.charge_ah for one in taken] == pytest.approx([amps / heavy_a for amps in given])


def test_batteries_in_series_each_give_the_whole() -> None:
    """Two 12 V batteries as a 24 V bank: 75 A for 25 s are 0.52 Ah of each, but for what others give."""
    solution = Solution.of(demo_boat("3-workboat"), "starting")

    taken = BoatModel(solution, solution.event("star-start")).drained.taken

    assert [one.charge_ah for one in taken] == pytest.approx([75.0 * 25.0 / 3600] * 2, rel=0.06)


def test_earlier_attempts_of_what_is_no_motor_are_not_known() -> None:
    boat = with_conditions(demo_boat("2-trawler"), "inverter-surge", Conditions(attempt=2))
    answer = event_run(boat, "at-anchor", "inverter-surge")

    assert any("the heavy load has no running current" in one for one in answer.not_assessed)
