"""The arithmetic of a finding, line by line: each line follows from those above it."""

import re
from typing import Any

import pytest

from server.actions import in_time
from server.actions.findings import all_findings
from server.actions.results import Results
from server.boat.finding import Finding
from server.checks.judge import findings
from server.checks.mending.patient import Patient
from server.checks.working import Step, working
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, small
from tests.checks.test_starts import NERVOUS, winch
from tests.engine.demo import demo_boat


def steps_of(document: dict[str, Any], code: str) -> tuple[Finding, tuple[Step, ...]]:
    boat = read(document)
    answer = analyse_mode(boat, "sailing")
    finding = next(one for one in findings(boat, answer) if one.code == code)
    return finding, working(Patient(boat, finding, (answer,)))


def number(text: str) -> float:
    """The first number of a text that has an amount and a unit."""
    found = re.search(r"-?[\d.]+", text)
    assert found, text
    return float(found[0])


def long_leads() -> dict[str, Any]:
    document = small()
    for at in (3, 4):
        document["conductors"][at]["length_m"] = 14.0
    part(document, "radio")["inputs"][0]["design_current_a"] = 6.0
    part(document, "radio")["circuit_class"] = "critical"
    return document


def test_a_drop_is_current_times_ohm_of_each_wire_and_adds_up() -> None:
    # 14 m of 3.28 mΩ/m are 45.9 mΩ; at 6 A 0.276 V (the small boat's own figures).
    finding, steps = steps_of(long_leads(), "drop-over-limit")
    told = {one.what: one for one in steps}
    wires = [one for one in steps if one.subject in {"c4", "c5"}]

    assert [one.result for one in wires] == ["45.9 mΩ, 0.276 V"] * 2
    assert all("3.28 mΩ/m × 14 m" in one.numbers and one.origin == "tabulated" for one in wires)
    parts = [
        number(told[name].result)
        for name in ("All wires of the way, out and back", "Joints and devices of the way")
    ]
    assert sum(parts) == pytest.approx(number(told["Together"].result), abs=0.002)
    assert finding.figure is not None
    assert number(told["As a share"].result) == pytest.approx(finding.figure.value, abs=0.01)
    assert told["Compared"].result == "fails"


def test_a_measured_and_a_stated_resistance_stand_as_such() -> None:
    document = long_leads()
    document["conductors"][3]["measured_resistance_ohm"] = 0.05
    document["conductors"][4]["resistance_ohm"] = 0.04
    _, steps = steps_of(document, "drop-over-limit")
    origins = {one.subject: (one.origin, one.result) for one in steps if one.subject in {"c4", "c5"}}

    assert origins == {"c4": ("measured", "50 mΩ, 0.300 V"), "c5": ("as entered", "40 mΩ, 0.240 V")}


def test_a_wire_of_unknown_length_says_so() -> None:
    document = long_leads()
    del document["conductors"][3]["length_m"]
    document["conductors"][4]["length_m"] = {"low": 10.0, "high": 18.0}
    _, steps = steps_of(document, "drop-too-close")
    told = {one.subject: one for one in steps}

    assert told["c4"].result == "cannot tell"
    assert "× about 14 m" in told["c5"].numbers
    assert steps[-1].result == "cannot tell"


def test_the_way_to_a_far_fuse_is_added_up_and_compared_with_what_is_allowed() -> None:
    document = small()
    document["conductors"][0]["length_m"] = 4.0
    finding, steps = steps_of(document, "device-too-far")

    assert [one.result for one in steps if one.subject == "c1"] == ["4.00 m"]
    assert steps[-1].numbers == "4 m > 1.829 m"
    assert (steps[-2].origin, steps[-2].source) == ("by the rule", finding.source)


def test_a_fault_current_is_a_multiple_of_the_devices_rating() -> None:
    document = small()
    part(document, "fuse")["interrupting_a"] = 500.0
    finding, steps = steps_of(document, "interrupting-too-low")
    multiple = next(one for one in steps if one.what == "As a multiple of the rating")

    assert finding.figure is not None
    assert number(multiple.result) == pytest.approx(finding.figure.value / 500.0, abs=0.01)


def test_a_start_is_a_multiple_of_the_rating_of_the_device_that_it_opens() -> None:
    finding, steps = steps_of(winch(NERVOUS), "opens-at-start")

    assert [one.what for one in steps[:2]] == ["Highest current of the start", "As a multiple of the rating"]
    assert finding.figure is not None
    assert finding.limit is not None
    assert number(steps[1].result) == pytest.approx(finding.figure.value / finding.limit.value, abs=0.005)
    assert steps[0].subject == "winch"


def test_a_finding_without_figures_has_no_arithmetic() -> None:
    document = small()
    document["conductors"][4]["head"] = {"part": "engine", "terminal": "stud-2"}
    _, steps = steps_of(document, "returned-to-block")

    assert steps == ()


@pytest.mark.parametrize(
    ("code", "origin", "source"),
    [
        ("device-above-conductor", "computed", "ABYC E-11"),
        ("link-offset", "by the rule", "ISO 16750-2"),
        ("fault-does-not-open", "as entered", "the device's rating"),
        ("restarts", "as entered", ""),
    ],
)
def test_a_limit_says_where_it_comes_from(code: str, origin: str, source: str) -> None:
    # By hand from the sloop's document and the sources that its findings name.
    boat = demo_boat("1-sloop")
    found = next(one for one in all_findings(Results(), "1-sloop", boat) if one.code == code)
    allowed = next(one for one in working(Patient(boat, found, ())) if one.what.startswith("Allowed"))

    assert allowed.origin == origin
    assert source in allowed.source


def restarting(*, followed: bool) -> Patient:
    """The sloop's autopilot that restarts, in time or at the first instant."""
    boat, results = demo_boat("1-sloop"), Results()
    solved = analyse_mode(boat, "starting", events=("engine-start",))
    answer = in_time.over(results, "sloop", boat, solved, ("engine-start",)) if followed else solved
    finding = next(one for one in findings(boat, answer) if one.subjects == ("autopilot", "supply"))
    return Patient(boat, finding, (answer,))


@pytest.mark.parametrize("followed", [True, False])
def test_the_volts_of_an_event_add_up_in_the_digits_that_are_shown(followed: bool) -> None:
    """Each line can be checked with a pocket calculator: the parts make the whole, to the last digit."""
    steps = working(restarting(followed=followed))
    left = next(at for at, one in enumerate(steps) if one.what.startswith("Left "))
    before, *parts = (number(one.result) for one in steps[:left])

    first, second = map(float, re.findall(r"[\d.]+(?= V)", steps[left].numbers))
    assert (first, round(first - second, 2)) == (before, number(steps[left].result))
    assert round(sum(parts), 2) == second
