"""What was touched, by its id: the terminal that is likely meant, and what hangs on it."""

import pytest

from server.actions.things import hanging, likely_terminal, nearer_end, polarity_at, thing_named
from server.boat.boat import Boat
from server.boat.constructors import at
from server.boat.parts import AnyPart, Combiner, Converter
from server.drawing.circuit import Polarity
from tests.drawing.pictures import seed

SLOOP = seed("1-sloop")


def part(boat: Boat, name: str) -> AnyPart:
    return next(one for one in boat.parts if one.id == name)


@pytest.mark.parametrize(
    ("name", "like", "terminal"),
    [
        ("autopilot", None, "supply"),
        ("autopilot", "negative", "negative"),
        ("start", "positive", "positive"),
        ("panel", "positive", "dc-spare-1"),
        ("negative-bus", None, "stud-10"),
        ("negative-bus", "positive", "stud-10"),
        ("house-fuse", "negative", "line"),
        ("alternator", "negative", "negative"),
    ],
)
def test_of_a_part_the_free_terminal_of_the_polarity_is_meant(
    name: str, like: Polarity | None, terminal: str
) -> None:
    found = thing_named(SLOOP, name, like)

    assert found is not None
    assert (found.id, found.own_id) == (f"{name}.{terminal}", name)


def test_a_terminal_that_is_named_is_meant_and_one_that_is_not_there_is_not() -> None:
    named, unknown = thing_named(SLOOP, "panel.neg-stud-1"), thing_named(SLOOP, "panel.ghost")

    assert named is not None
    assert named.terminal == at("panel.neg-stud-1")
    assert unknown is not None
    assert unknown.terminal == at("panel.dc-spare-1")
    assert thing_named(SLOOP, "ghost") is None
    assert thing_named(SLOOP, None) is None


def test_a_relay_and_a_converter_have_their_ground_apart_from_their_posts() -> None:
    relay = Combiner(kind="combiner", id="relay", name="Relay")
    converter = Converter(
        kind="converter", id="box", name="Box", output_v=14.2, rated_current_a=30.0, isolated=True
    )

    assert likely_terminal(SLOOP, relay, "negative") == "ground"
    assert likely_terminal(SLOOP, relay, "positive") == "a"
    assert likely_terminal(SLOOP, converter, "negative") == "negative"
    assert likely_terminal(SLOOP, converter, "positive") == "input"


def test_a_part_tells_what_is_wired_to_each_of_its_terminals() -> None:
    wired = hanging(SLOOP, part(SLOOP, "shunt"))

    assert [(one.conductor, one.here) for one in wired] == [
        ("shunt-battery", "battery"),
        ("shunt-system", "system"),
    ]
    assert wired[1].far == "Main negative bus: stud 1"


def test_the_end_of_a_cable_towards_the_battery_is_told_on_either_side() -> None:
    ends = {one.id: nearer_end(SLOOP, one).side for one in SLOOP.conductors}

    assert (ends["panel-feed"], ends["panel-neg"]) == ("tail", "head")
    assert polarity_at(SLOOP, at("engine.stud-4")) == "negative"
