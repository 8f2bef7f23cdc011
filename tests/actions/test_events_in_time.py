"""Events in time as pages and the command line ask for them."""

from pathlib import Path

import pytest

from server.actions.choices import UnknownChoiceError
from server.actions.events_in_time import (
    HEAVY_CURRENT,
    UnsolvedEventError,
    event_in_time,
    event_report,
    load_dumps,
    meters,
    point_of,
    requirements_met,
    wave_of,
)
from server.actions.results import Results
from server.boat.document import boat_bytes
from server.boat.value import TerminalRef
from server.cli import main
from server.engine.transient.answer import PointPair
from tests.engine.demo import demo_boat
from tests.engine.transient.test_event_run import small, started
from tests.engine.transient.test_followed import contactor

BAR = PointPair(TerminalRef(part="bar", terminal="stud-1"), TerminalRef(part="bar", terminal="stud-2"))


def test_an_event_is_solved_once_and_kept() -> None:
    results, boat = Results(), small()

    first = event_in_time(results, "sha", boat, "starting", "start")

    assert event_in_time(results, "sha", boat, "starting", "start") is first
    assert event_in_time(results, "other", boat, "starting", "start") is not first


@pytest.mark.parametrize(("mode", "event"), [("nowhere", "start"), ("starting", "never")])
def test_what_the_boat_does_not_have_is_an_unknown_choice(mode: str, event: str) -> None:
    with pytest.raises(UnknownChoiceError):
        event_in_time(Results(), "sha", small(), mode, event)


def test_what_cannot_be_solved_says_why() -> None:
    with pytest.raises(UnsolvedEventError, match="no source lies between"):
        event_in_time(Results(), "sha", small(), "starting", "start", (BAR,))


def test_points_and_waveforms_are_found_by_their_key() -> None:
    run = started()

    assert point_of(run, "plotter.supply").name == "Plotter"
    assert wave_of(run, "plotter.supply").values[0] == point_of(run, "plotter.supply").before_v
    with pytest.raises(UnknownChoiceError, match="no point “nobody”"):
        point_of(run, "nobody")
    with pytest.raises(UnknownChoiceError, match="no waveform “nobody”"):
        wave_of(run, "nobody")


def test_every_kind_of_waveform_is_read_by_its_own_meters() -> None:
    volts, amps = meters(started(), "probe"), meters(started(), HEAVY_CURRENT)

    assert [one.kind for one, _ in volts] == ["peak-capture", "min-max-recording", "oscilloscope"]
    assert [one.kind for one, _ in amps] == ["inrush-clamp", "oscilloscope"]
    capture, recorded, trace = (reading for _, reading in volts)
    assert capture is not None
    assert recorded is not None
    assert trace is not None
    assert trace.lowest <= capture.lowest < recorded.lowest
    assert trace.highest >= capture.highest > recorded.highest


def test_published_requirements_are_those_of_the_loads_own_voltage() -> None:
    met = {one.requirement.key: one.met for one in requirements_met(started(), small(), "plotter.supply")}

    assert met["iso-16750-a"]
    assert not met["nmea-2000"]
    assert not met["iso-16750-starting-i"]


def test_a_load_on_an_island_of_its_own_voltage_is_judged_by_that() -> None:
    boat = demo_boat("3-workboat")
    run = event_in_time(Results(), "sha", boat, "working", "winch-lift")
    islands = {part.id: part.island for part in boat.parts}
    key = next(one.key for one in run.points if islands[one.key.partition(".")[0]] == "ship")

    assert "iso-16750-h" in {one.requirement.key for one in requirements_met(run, boat, key)}


def test_load_dump_comes_with_its_published_range() -> None:
    lost, published = load_dumps(demo_boat("1-sloop"), "under-way")

    assert [(one.alternator, one.how) for one in lost] == [("alternator", "device")]
    assert published is not None
    assert published.highest_v == 101.0
    with pytest.raises(UnknownChoiceError, match="no mode “nowhere”"):
        load_dumps(demo_boat("1-sloop"), "nowhere")


def test_the_report_says_who_drops_out_and_what_was_not_assessed() -> None:
    text = event_report(boat_bytes(demo_boat("1-sloop")), "starting", "engine-start")

    assert text.startswith("Engine start: Engine starter, charge 85%")
    assert "Autopilot: 12.3 V before, " in text
    assert ": restarts. Below its 9.0 V for " in text
    assert "not assessed: coupling between cables" in text


def test_the_report_tells_what_happens_apart_from_what_is_left_out() -> None:
    text = event_report(boat_bytes(contactor(hold_v=8.0)), "starting", "start")

    assert "\nhappens: Contactor lets go 15 ms after the press: " in text
    assert "left out: " not in text


def test_the_command_prints_the_report(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "boat.json"
    file.write_bytes(boat_bytes(small()))

    assert main(["event", str(file), "--mode", "starting", "--event", "start"]) == 0
    assert capsys.readouterr().out.startswith("Start: Starter, no conditions stated\n")


@pytest.mark.parametrize(
    ("name", "event", "words"),
    [("boat.json", "never", "has no event"), ("missing.json", "start", "cannot be read")],
)
def test_the_command_says_what_it_cannot_use(
    name: str, event: str, words: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "boat.json").write_bytes(boat_bytes(small()))

    assert main(["event", str(tmp_path / name), "--mode", "starting", "--event", event]) == 2
    assert words in capsys.readouterr().err
