"""Links that a start pulls apart: the demo boats' planted faults, and what isolation changes."""

import pytest

from server.actions import in_time
from server.actions.events_in_time import event_in_time
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.finding import Finding
from server.bundled import bundled
from server.checks.events import AT_FIRST
from server.checks.links import links_pulled_apart
from server.engine.analysis import analyse_mode


def boat(name: str, isolated: str | None) -> Boat:
    plain = read_boat((bundled("seed_boats") / f"{name}.json").read_bytes())
    links = tuple(link.model_copy(update={"isolated": isolated}) for link in plain.links)
    return plain.model_copy(update={"links": links})


def found(one: Boat) -> list[Finding]:
    return [f for mode in one.modes for f in links_pulled_apart(one, analyse_mode(one, mode.id))]


def test_the_sloops_autopilot_is_pulled_away_from_the_instruments_it_talks_to() -> None:
    """ISO 16750-2 4.8 tries equipment with 1.0 V; the key of planted faults has 3.35 V in the strap."""
    (one,) = found(boat("1-sloop", "no"))

    assert (one.severity, one.subjects[:2]) == ("fault", ("instrument-link", "autopilot"))
    assert one.figure is not None
    assert one.figure.value == pytest.approx(3.4, abs=0.1)
    assert one.message.startswith("When the engine starts, the negatives of the autopilot and the VHF radio")


def test_the_workboats_thin_strap_drives_amperes_through_the_screen() -> None:
    (one,) = found(boat("3-workboat", "no"))

    assert "drive 9.3 A through the screen" in one.message


def test_an_isolated_link_is_not_spoken_of_and_an_unknown_one_is_left_open() -> None:
    assert found(boat("1-sloop", "yes")) == []
    (one,) = found(boat("1-sloop", None))
    assert one.severity == "cannot-tell"
    assert "may not be isolated: look that up." in one.message


@pytest.mark.parametrize(
    ("name", "mode", "event"),
    [("1-sloop", "starting", "engine-start"), ("3-workboat", "starting", "star-start")],
)
def test_the_finding_has_the_figure_of_the_event_in_time(name: str, mode: str, event: str) -> None:
    """One figure: the same offset and the same instant as the event's own table of links."""
    one = boat(name, "no")
    run = event_in_time(Results(), "sha", one, mode, event)
    (link,) = run.links
    solved = in_time.over(Results(), "sha", one, analyse_mode(one, mode, events=(event,)), (event,))
    (told,) = links_pulled_apart(one, solved)

    assert told.figure is not None
    assert told.figure.value == link.offset.value
    assert told.subjects == (link.link, link.high, link.low)
    assert f"{link.offset.value:.1f} V apart at the worst, " in told.message
    assert AT_FIRST not in told.message
    if link.current_a is not None:
        assert f"drive {link.current_a:.1f} A through the screen" in told.message


def test_the_first_instant_says_what_it_is() -> None:
    assert all(one.message.endswith(AT_FIRST) for one in found(boat("1-sloop", "no")))
