"""What the owner's sheet is told: the worst start of each heavy load, by the figures of the workbench."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from server.actions import in_time
from server.actions.answers import answer
from server.actions.changes import apply_edit
from server.actions.events_in_time import HEAVY_CURRENT, Figures, event_in_time
from server.actions.findings import all_findings
from server.actions.kept import Kept
from server.actions.options import branch
from server.actions.owner import owner_facts, worst_moments
from server.actions.yard import OpenBoat, Yard, open_boat, open_yard
from server.boat.acceptance import Acceptance
from server.boat.edits import AcceptFinding, AddEvent, AnyEdit, ChangeValue, RemoveEvent, Several
from server.boat.modes import Conditions, Event, HeavyInput
from server.boat.parts import Load
from server.boat.value import TerminalRef
from server.engine.transient.answer import PointPair
from server.engine.transient.waves import Wave


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Yard]:
    """A yard with the demo boats."""
    opened = open_yard(tmp_path_factory.mktemp("yard") / "data", demo=True)
    yield opened
    opened.store.close()


def option(yard: Yard, edit: AnyEdit, key: str) -> OpenBoat:
    row = branch(yard, "sloop", 1, key, "", f"branch-{key}")
    return apply_edit(yard, row.id, 1, edit, f"edit-{key}").after


def test_every_heavy_load_has_its_moment_the_engine_first(yard: Yard) -> None:
    """The verdicts are those of the tables, load by load."""
    trawler = open_boat(yard, "trawler")
    moments = worst_moments(yard, trawler)

    assert [one.heavy for one in moments if one.is_engine] == [moments[0].heavy] == ["Engine starter"]
    heavies = {"Engine starter", "Anchor windlass", "Bow thruster", "Inverter/charger"}
    assert {one.heavy for one in moments} == heavies
    windlass = next(one for one in moments if one.heavy == "Anchor windlass")
    at_first = answer(yard, trawler.sha, trawler.boat, "anchoring")
    solved = in_time.over(yard, trawler.sha, trawler.boat, at_first, ("windlass-break-out",))
    seen = [
        (load.name, one.verdict)
        for load in solved.loads
        for one in load.events
        if one.event == "windlass-break-out" and load.on and not load.heavy and one.can_restart
    ]
    assert windlass.restarts == tuple(name for name, verdict in seen if verdict == "restarts")
    assert windlass.close == tuple(name for name, verdict in seen if verdict == "too-close-to-call")
    assert "VHF radio 1" in windlass.relied_on


def test_the_starters_volts_are_those_of_a_meter_at_its_own_terminals(yard: Yard) -> None:
    sloop = open_boat(yard, "sloop")
    (start,) = worst_moments(yard, sloop)
    starter = next(one for one in sloop.boat.parts if isinstance(one, Load) and one.role == "starter")
    plus, minus = (TerminalRef(part=starter.id, terminal=name) for name in ("motor", starter.negatives[0]))
    pair = PointPair(plus, minus)
    run = event_in_time(yard, sloop.sha, sloop.boat, "starting", "engine-start", (pair,))
    turning = next(one for one in run.phases if one.name == "run")
    read, drawn = (
        next(Wave(one.time_s, one.values) for one in run.waveforms if one.key == key)
        for key in ("probe", HEAVY_CURRENT)
    )

    assert start.conditions == "battery charged 85 %, at 15 °C, aged"
    assert start.inrush_a == pytest.approx(run.inrush_a.value)
    assert start.motor_v == pytest.approx(read.mean(turning.start_s, turning.end_s), abs=1e-3)
    assert start.motor_a == pytest.approx(drawn.mean(turning.start_s, turning.end_s))
    assert start.motor_a is not None
    assert start.motor_a < run.inrush_a.value / 2
    assert start.motor_need_v is None


def test_what_the_starter_is_stated_to_need_is_told(yard: Yard) -> None:
    sloop = open_boat(yard, "sloop").boat
    starter = next(one for one in sloop.parts if isinstance(one, Load) and one.role == "starter")
    edit = ChangeValue(id=starter.id, field="inputs.0.minimum_voltage_v", value={"low": 9.0, "high": 9.6})
    (start,) = worst_moments(yard, option(yard, edit, "stated-need"))

    assert start.motor_need_v == 9.6


STARTER = HeavyInput(part="starter", input="motor")


def start(name: str, conditions: Conditions | None) -> Event:
    return Event(id=name, name="A start", mode="starting", heavy=STARTER, conditions=conditions)


@pytest.mark.parametrize(
    ("conditions", "told"),
    [
        (None, "battery as it is in that mode"),
        (Conditions(cranking="loaded"), "battery as it is in that mode"),
        (Conditions(state_of_charge=0.3, temperature_c=-5, age_factor=1.0), "battery charged 30 %, at -5 °C"),
    ],
)
def test_the_state_of_the_battery_is_told_in_an_owners_words(
    yard: Yard, conditions: Conditions | None, told: str
) -> None:
    edits = (RemoveEvent(id="engine-start"), AddEvent(event=start("other-start", conditions)))
    opened = option(
        yard, Several(edits=edits, label="another start"), f"state-{told[-4:].strip()}-{not conditions}"
    )

    assert [one.conditions for one in worst_moments(yard, opened)] == [told]


def test_of_several_starts_of_one_engine_the_worst_is_told(yard: Yard) -> None:
    cold = Conditions(state_of_charge=0.4, temperature_c=-10, age_factor=1.6)
    opened = option(yard, AddEvent(event=start("cold-start", cold)), "cold")

    (found,) = worst_moments(yard, opened)
    assert found.conditions == "battery charged 40 %, at -10 °C, aged"
    assert "Autopilot" in found.restarts


def test_an_event_that_cannot_be_followed_in_time_says_why(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    unsolved = Figures(inrush_a=400.0, why="the pump of the stern is not known.")
    monkeypatch.setattr("server.actions.owner.figures_of", lambda *_: unsolved)
    (start,) = worst_moments(replace(yard, moments=Kept(1)), open_boat(yard, "sloop"))

    assert (start.why_not, start.motor_v) == ("the pump of the stern is not known", None)


def test_dangers_are_told_in_an_owners_words_with_the_findings_own_below(yard: Yard) -> None:
    """33 CFR 183.425 and ABYC E-11 (2008) 11.10 allow 35 A before the sloop's cable 41 of 14 AWG."""
    sloop = open_boat(yard, "sloop")
    fuse, short = owner_facts(yard, sloop, sloop, "").dangers

    assert fuse.told == (
        "The fuse or breaker of cable 41 (to the cabin heater) is far too big: 300 A where 35 A protects it. "
        "The cable can burn before it opens."
    )
    assert "ABYC E-11" not in fuse.told
    assert "ABYC E-11 allows 35 A before it" in fuse.source
    assert short.told.startswith("A short circuit at the cabin heater never opens its fuse")
    assert short.source.startswith("A dead short at the cabin heater draws about 150 A")
    assert "Source: " in short.source


def test_faults_that_somebody_lets_stand_and_starts_told_by_themselves_are_no_faults(yard: Yard) -> None:
    sloop = open_boat(yard, "sloop")
    found = owner_facts(yard, sloop, sloop, "").faults
    restart, lights = (
        next(one for one in all_findings(yard, sloop.sha, sloop.boat) if one.code == code)
        for code in ("restarts", "drop-over-limit")
    )
    by = Acceptance(
        code=lights.code,
        subjects=lights.subjects,
        severity=lights.severity,
        figure=lights.figure,
        limit=lights.limit,
        by="Ida",
        reason="The owner knows.",
    )
    accepted = option(yard, AcceptFinding(acceptance=by), "accepted")

    assert restart.severity == "fault"
    assert not any("starts anew" in one for one in found)
    told = "The tricolour light, masthead loses too much voltage in the cables, all the time."
    assert told in found
    assert told not in owner_facts(yard, accepted, accepted, "").faults


def test_without_work_the_boat_until_then_is_the_boat_itself(yard: Yard) -> None:
    outboard = open_boat(yard, "outboard")
    facts = owner_facts(yard, outboard, outboard, "")

    assert facts.until_then == facts.moments
    assert (facts.work, facts.cost, facts.not_seen) == ((), "", 1)
    assert [one.is_engine for one in facts.moments] == [True]
    assert facts.moments[0].motor_v is not None
