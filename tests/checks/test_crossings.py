"""Circuits fed twice, feeds that may meet inside a load, returns through a heavy one (common practice)."""

from typing import Any

from server.checks.crossings import fed_twice, feeds_that_may_meet, returns_through_heavy
from server.engine.analysis import analyse_mode
from tests.checks.small import move, part, read, small, wire


def two_ways() -> dict[str, Any]:
    """The radio on two fuses of its own, side by side."""
    body = small()
    move(body, "c4", "head", "one/line")
    body["parts"] += [
        {"kind": "fuse", "id": "one", "name": "First fuse", "rating_a": 5.0},
        {"kind": "fuse", "id": "two", "name": "Second fuse", "rating_a": 5.0},
    ]
    body["conductors"] += [
        wire("d1", "one/load", "radio/main"),
        wire("d2", "plus/stud-3", "two/line"),
        wire("d3", "two/load", "radio/main"),
    ]
    return body


def twice(body: dict[str, Any]) -> list[tuple[str, ...]]:
    boat = read(body)
    return [one.subjects for one in fed_twice(boat, analyse_mode(boat, "sailing", events=()))]


def test_a_circuit_on_two_ways_is_fed_twice() -> None:
    assert twice(two_ways()) == [("radio", "main", "one", "two")]


def test_one_way_is_enough_and_an_open_second_end_is_no_feed() -> None:
    assert twice(small()) == []
    body = two_ways()
    body["conductors"] = [one for one in body["conductors"] if one["id"] != "d2"]
    assert twice(body) == []


def test_a_plain_switch_in_the_lead_excuses_nothing_and_a_selector_does() -> None:
    body = two_ways()
    move(body, "d3", "head", "own/out")
    body["parts"].append(
        {"kind": "contact", "id": "own", "name": "Switch", "terminals": ["in", "out"], "normal": "on",
         "positions": [{"id": "on", "name": "ON", "closed": [["in", "out"]]}, {"id": "off", "name": "OFF"}]}
    )  # fmt: skip
    body["conductors"].append(wire("d4", "own/in", "radio/main"))
    assert twice(body) == [("radio", "main", "one", "two")]
    part(body, "own")["is_battery_switch"] = True
    assert twice(body) == []


def test_a_relay_between_two_feeds_means_both() -> None:
    body = two_ways()
    move(body, "d3", "head", "relay/b")
    body["parts"].append({"kind": "combiner", "id": "relay", "name": "Relay", "normal": "closed"})
    body["conductors"].append(wire("d4", "relay/a", "radio/main"))

    assert twice(body) == []


def pump(automatic: str) -> dict[str, Any]:
    """A bilge pump by hand from the bus, and by its float from somewhere else."""
    body = small()
    demand = {"kind": "motor", "running_current_a": 4.0}
    inputs = [{"id": name, "demand": demand} for name in ("manual", "automatic")]
    body["parts"].append(
        {"kind": "load", "id": "pump", "name": "Pump", "role": "bilge-pump", "inputs": inputs}
    )
    body["conductors"] += [
        wire("p1", "plus/stud-3", "pump/manual"),
        wire("p2", automatic, "pump/automatic"),
        wire("p3", "pump/negative", "minus/stud-4"),
    ]
    return body


def test_a_pump_with_one_live_input_may_feed_the_switched_one_back() -> None:
    (told,) = feeds_that_may_meet(read(pump("fuse/load")))

    assert told.endswith("how the inputs are separated of Pump")


def test_inputs_that_the_switch_turns_off_together_cannot() -> None:
    assert feeds_that_may_meet(read(pump("plus/stud-4"))) == ()


def test_without_a_switch_or_a_mode_nothing_is_asked() -> None:
    body = pump("fuse/load")
    part(body, "switch")["is_battery_switch"] = False
    assert feeds_that_may_meet(read(body)) == ()
    assert feeds_that_may_meet(read(pump("fuse/load") | {"modes": []})) == ()


def through(body: dict[str, Any]) -> list[tuple[str, ...]]:
    return [one.subjects for one in returns_through_heavy(read(body))]


def starter() -> dict[str, Any]:
    body = small()
    motor = {"id": "motor", "demand": {"kind": "motor", "running_current_a": 150.0}}
    body["parts"].append(
        {
            "kind": "load",
            "id": "starter",
            "name": "Starter",
            "role": "starter",
            "heavy": True,
            "inputs": [motor],
        }
    )
    body["conductors"].append(wire("s1", "starter/negative", "minus/stud-5"))
    return body


def test_a_return_that_hangs_on_the_starters_post_runs_through_it() -> None:
    body = starter()
    body["parts"].append({"kind": "busbar", "id": "aft", "name": "Aft negative", "studs": 4})
    move(body, "c5", "head", "aft/stud-1")
    body["conductors"].append(wire("a1", "aft/stud-2", "starter/negative"))

    assert through(body) == [("radio", "negative", "starter")]
    assert through(body | {"modes": []}) == []


def test_a_return_that_lands_there_itself_is_told_as_that() -> None:
    """`returned-to-block` speaks of leads that land on the block; a second way back clears both."""
    body = starter()
    move(body, "c5", "head", "engine/stud-2")
    assert through(body) == []


def test_a_bus_that_goes_back_by_the_block_is_told() -> None:
    body = small()
    body["parts"].append({"kind": "busbar", "id": "aft", "name": "Aft negative", "studs": 4})
    move(body, "c5", "head", "aft/stud-1")
    body["conductors"].append(wire("a1", "aft/stud-2", "engine/stud-2"))
    assert through(body) == [("radio", "negative", "engine")]
    body["conductors"].append(wire("a2", "aft/stud-3", "minus/stud-5"))
    assert through(body) == []


def test_a_starter_by_itself_on_its_post_asks_nothing() -> None:
    assert through(starter()) == []
