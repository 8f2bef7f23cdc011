"""Parts that an event itself opens are found, with what they take along."""

from server.actions import in_time
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.finding import Finding
from server.checks.happenings import parts_that_drop_out
from server.checks.judge import findings
from server.engine.analysis import analyse_mode
from tests.engine.transient.test_converters import charger, supply
from tests.engine.transient.test_followed import combined, contactor, with_alternator


def found(boat: Boat) -> list[Finding]:
    """What opens in the start, by the event in time."""
    answer = analyse_mode(boat, "starting", events=("start",))
    return list(parts_that_drop_out(boat, in_time.over(Results(), "sha", boat, answer, ("start",))))


def test_a_contactor_that_lets_go_is_a_fault_and_says_when_and_why() -> None:
    (one,) = found(contactor(hold_v=8.0))

    assert (one.code, one.severity, one.subjects, one.event) == (
        "drops-out",
        "fault",
        ("contactor",),
        "start",
    )
    assert one.message.startswith("When the engine starts: Contactor lets go 15 ms after the press: ")


def test_a_combining_relay_that_opens_is_advice() -> None:
    (one,) = found(combined(delay_s=0.1))

    assert (one.severity, one.subjects) == ("advice", ("combiner",))


def test_a_charging_converter_that_stops_is_advice_and_a_supply_is_a_fault() -> None:
    """One is made to let the starting battery alone, the other leaves its radio dark."""
    (charging,) = found(charger(12.6, minimum_input_v=9.0))
    (feeding,) = found(supply(minimum_input_v=7.0))

    assert (charging.severity, charging.subjects) == ("advice", ("charger",))
    assert (feeding.severity, feeding.subjects) == ("fault", ("supply",))


def test_sources_at_their_limit_and_quiet_starts_are_no_findings() -> None:
    assert found(with_alternator(12.9, 60.0)) == []
    assert found(contactor(hold_v=2.0)) == []


def test_the_whole_judgement_has_it_and_the_first_instant_alone_has_not() -> None:
    boat = contactor(hold_v=8.0)
    answer = analyse_mode(boat, "starting", events=("start",))
    known = in_time.over(Results(), "sha", boat, answer, ("start",))

    assert "drops-out" in {one.code for one in findings(boat, known)}
    assert "drops-out" not in {one.code for one in findings(boat, answer)}
