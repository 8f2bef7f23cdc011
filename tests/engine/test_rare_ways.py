"""Ways through the engine that few boats take."""

from dataclasses import replace

import numpy as np
import pytest

import server.engine.drop as drop_module
from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.edits import ChangeValue, apply
from server.boat.parts import Converter
from server.bundled import bundled
from server.engine.analysis import analyse_mode, loop, pick_up
from server.engine.joint_split import NO_SPLIT, joint_split
from server.engine.solution import Solution
from server.practice.sourced import Sourced


def demo(name: str) -> Boat:
    return read_boat((bundled("seed_boats") / f"{name}.json").read_bytes())


def test_a_rule_from_memory_decides_no_drop(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only verified and derived rows may decide pass or fail."""
    remembered = Sourced(value=3.0, unit="%", source="a rule somebody remembers", status="memory")
    monkeypatch.setattr(drop_module, "drop_limit", lambda *_: remembered)

    answer = analyse_mode(demo("1-sloop"), "sailing", events=[])

    drops = [one.drop for one in answer.loads if one.drop is not None]
    assert drops
    assert {one.verdict for one in drops} == {"cannot-tell"}
    assert {one.limit_fraction for one in drops} == {None}


def test_a_length_known_as_a_range_makes_a_band() -> None:
    """A cable of 2 to 9 m in place of one of 3.1 m: the drop can be less and more than before."""
    boat = demo("1-sloop")
    ranged = apply(
        boat,
        ChangeValue(kind="change-value", id="plotter-pos", field="length_m", value={"low": 2.0, "high": 9.0}),
    )

    (low, high), (lower, higher) = (plotter_drop(one) for one in (boat, ranged))

    assert lower < low
    assert higher > high


def plotter_drop(boat: Boat) -> tuple[float, float]:
    answer = analyse_mode(boat, "sailing", events=[])
    found = next(one.drop for one in answer.loads if one.part == "plotter")
    assert found is not None
    return found.judged_low_fraction, found.judged_high_fraction


def test_a_load_that_is_off_in_an_event_has_no_share_of_its_dip() -> None:
    steps = loop(demo("1-sloop"), "cabin-lights", "supply", "starting", "engine-start")

    assert steps
    assert {step.share_v for step in steps} == {0.0}


def test_a_converters_leads_are_picked_up() -> None:
    boat = demo("2-trawler")
    converter = next(part.id for part in boat.parts if isinstance(part, Converter))

    held = pick_up(boat, converter, "negative", boat.modes[0].id, None)

    assert held.polarity == "negative"
    assert held.taps


def test_a_conductor_of_no_resistance_is_not_split() -> None:
    boat = demo("1-sloop")
    net = Solution.of(boat, "starting").net
    bare = replace(net, coefficient=np.zeros_like(net.coefficient))
    conductors = {one.id: one for one in boat.conductors}
    row = net.rows_of["strap"][0]

    assert joint_split(net, conductors, row, 3.35) != NO_SPLIT
    assert joint_split(bare, conductors, row, 3.35) == NO_SPLIT
