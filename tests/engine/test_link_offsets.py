"""Offsets of linked negatives on the small boat: one plotter returns to the block, one to the bar."""

from collections.abc import Sequence

import pytest

from server.boat.boat import Boat
from server.engine.link_offsets import link_offsets
from server.engine.solution import Solution
from tests.engine.boats import Json, boat, load, wire


def linked(
    ends: Sequence[str] = ("plotter", "second"),
    parts: Sequence[Json] = (),
    conductors: Sequence[Json] = (),
    **link: object,
) -> Boat:
    """A second plotter behind a fuse of its own, and a data link between two parts."""
    second = load("second", {"kind": "constant-power", "power_w": 12.0})
    fuse = {"kind": "fuse", "id": "own", "name": "Own fuse", "rating_a": 5.0}
    leads = [
        wire("second-pos", "switch.out", "own.line"),
        wire("second-fused", "own.load", "second.supply"),
        wire("second-neg", "second.negative", "bar.stud-3"),
    ]
    data: Json = {"id": "data", "name": "Data", "parts": list(ends), **link}
    on = [{"part": name} for name in ("plotter", "second", "starter")]
    return boat(
        parts=[second, fuse, *parts],
        conductors=[*leads, *conductors],
        modes=[{"id": "starting", "name": "Starting", "on": on}],
        links=[data],
    )


def event_of(one: Boat) -> str:
    return Solution.of(one, "starting").events[0].id


def test_the_offset_is_what_strap_and_own_leads_lose_by_ohms_law() -> None:
    one = linked(screen_ohm=0.5)
    solved = Solution.of(one, "starting").event(event_of(one))
    lost = {
        name: float(solved.present.current_a[row] / solved.present.conductance[row])
        for name in ("w-return", "w-strap", "second-neg")
        for row in solved.net.rows_of[name]
    }

    (found,) = link_offsets(one, "starting", event_of(one))

    assert (found.link, found.high, found.low) == ("data", "plotter", "second")
    assert found.offset_v == pytest.approx(lost["w-return"] + lost["w-strap"] - lost["second-neg"], abs=1e-9)
    assert found.offset_v > 0.9
    assert found.screen_a == pytest.approx(found.offset_v / 0.5)


def test_without_a_stated_screen_there_is_no_current_to_tell() -> None:
    one = linked()

    assert link_offsets(one, "starting", event_of(one))[0].screen_a is None


@pytest.mark.parametrize("end", ["fuse", "lost"])
def test_a_link_to_something_without_a_fed_negative_has_no_offset(end: str) -> None:
    one = linked(ends=("plotter", end), parts=[load("lost", {"kind": "constant-power", "power_w": 5.0})])

    assert link_offsets(one, "starting", event_of(one)) == ()


def test_an_inverter_is_an_end_like_any_other() -> None:
    inverter = {"kind": "inverter", "id": "inverter", "name": "Inverter", "rated_power_w": 500.0}
    joined = [wire("i1", "inverter.positive", "switch.out"), wire("i2", "inverter.negative", "bar.stud-4")]
    one = linked(ends=("inverter", "plotter"), parts=[inverter], conductors=joined)

    (found,) = link_offsets(one, "starting", event_of(one))

    assert (found.high, found.low) == ("plotter", "inverter")
