"""What an event in time does to the loads: restarts, dips that are ridden through, spikes above a maximum.

The voltages themselves are held against a circuit simulator elsewhere; here it is how they are judged.
"""

import re
from dataclasses import replace

import pytest

from server.actions.events_in_time import Figures
from server.actions.in_time import laid_over
from server.boat.boat import Boat
from server.boat.edits import AnyEdit, ChangeValue, apply
from server.boat.finding import Finding
from server.checks.events import AT_FIRST, brief_dips, event_findings, high_spikes, low_dips
from server.checks.mending.patient import Patient
from server.checks.working import working
from server.engine.analysis import analyse_mode
from server.engine.answer import Band, ModeAnswer, Verdict
from server.engine.transient.event_run import event_run
from server.engine.transient.verdict import duration
from tests.engine.demo import demo_boat

STARTING = ("starting", "engine-start")
PILOT = ("autopilot", "supply")


def followed(boat: Boat, mode: str, event: str) -> ModeAnswer:
    """An event of a mode in time."""
    run = event_run(boat, mode, event)
    figures = Figures({point.key: point for point in run.points}, run.inrush_a.value)
    return laid_over(analyse_mode(boat, mode, events=(event,), explained=()), {event: figures})


def changed(*edits: AnyEdit) -> Boat:
    boat = demo_boat("1-sloop")
    for edit in edits:
        boat = apply(boat, edit)
    return boat


def of_pilot(found: "list[Finding]") -> Finding:
    return next(one for one in found if one.subjects == PILOT)


@pytest.fixture(scope="module")
def sloop() -> tuple[Boat, ModeAnswer]:
    boat = demo_boat("1-sloop")
    return boat, followed(boat, *STARTING)


def test_a_load_below_its_need_for_longer_than_it_rides_through_restarts(
    sloop: tuple[Boat, ModeAnswer],
) -> None:
    boat, answer = sloop
    found = of_pilot(list(event_findings(boat, answer)))
    point = event_run(boat, *STARTING).points[0]

    assert (found.code, found.severity, found.mode, found.event) == ("restarts", "fault", *STARTING)
    assert found.figure is not None
    assert found.figure.value == pytest.approx(point.lowest.value, abs=1e-6)
    assert found.limit is not None
    assert found.limit.value == 9.0
    lasts = duration(point.below_need_s)
    assert f"and needs 9.0 V, less for {lasts}, and rides through 20 ms" in found.message
    assert f"{point.lowest.value:.1f} V" in found.message
    assert AT_FIRST not in found.message
    assert found.source.startswith("Maker's data sheet")


def test_a_finding_of_the_first_instant_says_so() -> None:
    boat = demo_boat("1-sloop")
    answer = analyse_mode(boat, "starting", explained=())
    found = of_pilot(list(event_findings(boat, answer)))

    assert found.message.endswith(AT_FIRST)
    assert not list(low_dips(boat, answer))
    assert not list(high_spikes(boat, answer))


def test_a_longer_hold_up_turns_a_restart_into_a_dip_that_is_ridden_through() -> None:
    boat = changed(ChangeValue(id="autopilot", field="inputs.0.hold_up_s", value=0.25))
    answer = followed(boat, *STARTING)

    assert not any(one.subjects == PILOT for one in event_findings(boat, answer))
    dip = of_pilot(list(low_dips(boat, answer)))
    assert (dip.code, dip.severity) == ("dips-low", "advice")
    assert "it runs on only by riding through 250 ms." in dip.message
    assert "falls below the 9.0 V it needs for 54 ms" in dip.message


def test_dips_too_brief_to_matter_are_one_line_that_says_what_is_not_known() -> None:
    """The trawler's inverter makes dips below a millisecond; nobody has said what the loads ride through."""
    boat = demo_boat("2-trawler")
    answer = followed(boat, "at-anchor", "inverter-surge")
    (one,) = brief_dips(boat, answer)
    longest_us = max(
        1e6 * max(seen.in_time.below_need_s, seen.in_time.perhaps_below_s)
        for load in answer.loads
        if load.part in one.subjects
        for seen in load.events
        if seen.in_time is not None
    )

    assert (one.code, one.severity, one.event, len(one.subjects)) == (
        "dips-briefly", "advice", "inverter-surge", 8,
    )  # fmt: skip
    assert one.figure is not None
    assert one.figure.value == pytest.approx(longest_us)
    assert longest_us < 1000
    assert "How long a dip disturbs any of them nobody has stated; 10 ms are assumed" in one.message
    assert list(low_dips(boat, answer)) == []
    steps = working(Patient(boat, one, (answer,)))
    assert len(steps) == len(one.subjects) + 1
    assert all("rides through 10 ms (assumed)" in step.numbers for step in steps[:-1])


def test_a_stated_hold_up_is_told_from_an_assumed_one_and_a_shorter_one_brings_its_own_finding() -> None:
    boat = apply(demo_boat("2-trawler"), ChangeValue(id="vhf-1", field="inputs.0.hold_up_s", value=0.05))
    (one,) = brief_dips(boat, followed(boat, "at-anchor", "inverter-surge"))
    assert "VHF" in one.message.partition("How long")[0]
    assert "VHF" not in one.message.partition("How long")[2]
    only = [load for load in followed(boat, "at-anchor", "inverter-surge").loads if load.part == "vhf-1"]
    told = brief_dips(boat, replace(followed(boat, "at-anchor", "inverter-surge"), loads=tuple(only)))
    assert next(iter(told)).message.endswith("All are stated to ride through more.")
    short = apply(boat, ChangeValue(id="vhf-1", field="inputs.0.hold_up_s", value=0.0001))
    answer = followed(short, "at-anchor", "inverter-surge")
    assert "vhf-1" not in next(iter(brief_dips(short, answer))).subjects
    assert any(one.subjects[0] == "vhf-1" for one in event_findings(short, answer))


def test_what_no_hold_up_is_known_of_still_says_how_it_keeps_running(
    sloop: tuple[Boat, ModeAnswer],
) -> None:
    boat, answer = sloop
    plotter = next(load for load in answer.loads if load.part == "plotter")
    seen = plotter.events[0]
    assert seen.in_time is not None
    blind = replace(
        seen, lowest=Band(8.0, 10.0, 11.0), in_time=replace(seen.in_time, hold_up_s=None, below_need_s=0.0)
    )
    found = list(low_dips(boat, replace(answer, loads=(replace(plotter, events=(blind,)),))))

    assert [one.message.rpartition(" only by ")[2] for one in found] == ["riding through."]


def test_only_a_maximum_that_was_stated_condemns_a_spike(sloop: tuple[Boat, ModeAnswer]) -> None:
    boat, answer = sloop
    assert not list(high_spikes(boat, answer))

    weak = changed(ChangeValue(id="autopilot", field="inputs.0.maximum_voltage_v", value=12.6))
    found = of_pilot(list(high_spikes(weak, followed(weak, *STARTING))))
    highest = next(one for one in event_run(weak, *STARTING).points if one.key == "autopilot.supply").highest

    assert (found.code, found.severity) == ("spike-high", "fault")
    assert found.figure is not None
    assert found.figure.value == pytest.approx(highest.value, abs=1e-6)
    assert found.limit is not None
    assert found.limit.value == 12.6
    assert "stands 12.6 V: it can be damaged" in found.message

    unstated = changed(ChangeValue(id="autopilot", field="inputs.0.maximum_voltage_v", value=None))
    assert not any(one.subjects == PILOT for one in high_spikes(unstated, followed(unstated, *STARTING)))


def test_a_spike_of_drawn_bands_tells_them_and_is_a_danger_where_safety_hangs_on_it() -> None:
    weak = changed(
        ChangeValue(id="autopilot", field="inputs.0.maximum_voltage_v", value=12.6),
        ChangeValue(id="autopilot", field="consequence", value="safety"),
    )
    answer = followed(weak, *STARTING)
    pilot = next(load for load in answer.loads if load.part == "autopilot")
    seen = pilot.events[0]
    assert seen.in_time is not None
    drawn = replace(seen, in_time=replace(seen.in_time, highest_band=Band(12.6, 12.7, 14.2)))
    found = of_pilot(list(high_spikes(weak, replace(answer, loads=(replace(pilot, events=(drawn,)),)))))

    assert found.severity == "danger"
    assert "(13 to 14 V)" in found.message


def test_what_cannot_be_called_and_what_nobody_knows_says_what_to_do(sloop: tuple[Boat, ModeAnswer]) -> None:
    boat, answer = sloop
    pilot = next(load for load in answer.loads if load.part == "autopilot")
    seen = pilot.events[0]

    def only(verdict: Verdict, need_v: float | None) -> Finding:
        events = (replace(seen, verdict=verdict, need_v=need_v, in_time=None),)
        return of_pilot(list(event_findings(boat, replace(answer, loads=(replace(pilot, events=events),)))))

    close, blind = only("too-close-to-call", 9.0), only("limit-not-known", None)
    assert (close.code, close.severity) == ("too-close", "advice")
    assert "and needs 9.0 V: too close to call." in close.message
    assert (blind.code, blind.severity) == ("limit-not-known", "cannot-tell")
    assert "Look it up in its manual and enter it." in blind.message
    assert blind.limit is None


def test_an_assumed_need_is_told_with_its_band(sloop: tuple[Boat, ModeAnswer]) -> None:
    """The band is that of the table of assumptions for electronics on 12 V: 9.0 to 10.8 V."""
    boat, answer = sloop
    assumed = replace_need(answer, Band(9.0, 10.0, 10.8), assumed=True)

    found = of_pilot(list(event_findings(boat, assumed)))
    assert "needs 10.0 V (assumed, 9.0 to 10.8 V)" in found.message
    exact = of_pilot(list(event_findings(boat, replace_need(answer, None, assumed=True))))
    assert "needs 10.0 V (assumed)" in exact.message
    stated = of_pilot(list(event_findings(boat, replace_need(answer, Band(9.5, 10.0, 10.5), assumed=False))))
    assert "needs 9.5 to 10.5 V" in stated.message


def replace_need(answer: ModeAnswer, band: Band | None, *, assumed: bool) -> ModeAnswer:
    """The answer with a need of 10.0 V for every load."""
    loads = tuple(
        replace(
            load,
            events=tuple(
                replace(seen, need_v=10.0, need_band=band, need_assumed=assumed) for seen in load.events
            ),
        )
        for load in answer.loads
    )
    return replace(answer, loads=loads)


def test_the_engine_gives_an_assumed_need_its_band() -> None:
    """Electronics on 12 V restart below 9.0 to 10.8 V, by the table of assumptions."""
    boat = demo_boat("2-trawler")
    needs = {
        seen.need_band
        for load in analyse_mode(boat, "anchoring").loads
        for seen in load.events
        if seen.need_assumed and seen.need_v is not None
    }

    assert Band(9.0, 10.0, 10.8) in needs
    told = [one.message for one in event_findings(boat, analyse_mode(boat, "anchoring"))]
    assert any("10.0 V (assumed, 9.0 to 10.8 V)" in message for message in told)


def test_a_load_that_surely_has_too_little_is_said_to_and_only_its_hold_up_is_open() -> None:
    """The trawler's AIS is left with 8.9 to 9.5 V and needs 9.6 V; that it rides through 10 ms is assumed."""
    boat = demo_boat("2-trawler")
    found = event_findings(boat, followed(boat, "anchoring", "windlass-break-out"))
    (ais,) = [one for one in found if one.subjects[0] == "ais"]

    assert (ais.code, ais.severity) == ("too-close", "advice")
    assert "rides through 10 ms (assumed, 1.0 ms to 100 ms): too little; only whether it rides" in ais.message
    lasts = re.search(r"less for ([\d.]+) ms \(([\d.]+) ms to ([\d.]+) ms by its bands\)", ais.message)
    assert lasts
    value, least, most = map(float, lasts.groups())
    assert least < value < most
    assert least <= 100.0  # else no time that it may ride through would save it
