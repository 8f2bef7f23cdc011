"""A boat as bytes: round trips, the golden file, and documents that are broken in every way."""

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, get_args

import pytest

from server.boat.boat import Boat
from server.boat.document import MOST_PROBLEMS, DocumentError, boat_bytes, read_boat, upgrade
from server.boat.parts import AnyPart
from tests.boat.small_boat import BOAT

LEFT_OUT_WHEN_EMPTY = {
    "accepted",
    "decks",
    "row_order",
    "hull",
    "margin",
    "waypoints",
    "runs",
    "photos",
    "underlay",
}
"""Lists that came after the golden file; a document without them keeps its bytes."""
GOLDEN = (Path(__file__).parent / "golden" / "v1.json").read_bytes()
WHOLE: dict[str, Any] = json.loads(GOLDEN)


def problem_of(body: bytes) -> tuple[str, str]:
    """Where the first problem of a body is, and what; every one of them has a mend."""
    with pytest.raises(DocumentError) as error:
        read_boat(body)
    assert all(problem.mend for problem in error.value.problems)
    first = error.value.problems[0]
    assert str(first) in str(error.value)
    return first.path, first.message


def test_the_golden_file_of_version_1_comes_back_byte_for_byte() -> None:
    assert boat_bytes(read_boat(GOLDEN)) == GOLDEN


def test_the_golden_file_has_a_part_of_every_kind_and_something_in_every_list() -> None:
    kinds = {member.model_fields["kind"].annotation for member in get_args(get_args(AnyPart)[0])}

    assert {part["kind"] for part in WHOLE["parts"]} == {get_args(kind)[0] for kind in kinds}
    assert set(Boat.model_fields) - LEFT_OUT_WHEN_EMPTY == set(WHOLE)
    assert all(WHOLE.values())


def test_a_document_is_utf_8_without_nulls_and_ends_in_a_newline() -> None:
    body = boat_bytes(BOAT)

    assert body.endswith(b"}\n")
    assert b"null" not in body
    assert list(json.loads(body)) == [name for name in Boat.model_fields if name in json.loads(body)]
    assert json.loads(body)["format"] == "tapchart.boat"


def test_order_of_keys_spaces_and_a_byte_order_mark_do_not_matter() -> None:
    turned = json.dumps(dict(reversed(WHOLE.items())), indent=7)

    assert read_boat(b"\xef\xbb\xbf" + turned.encode()) == read_boat(GOLDEN)


def test_ten_problems_at_most_are_told() -> None:
    document = copy.deepcopy(WHOLE)
    document["parts"] = [{"kind": "fuse", "id": "F"} for _ in range(30)]
    with pytest.raises(DocumentError) as error:
        read_boat(json.dumps(document).encode())

    assert len(error.value.problems) == MOST_PROBLEMS


def test_upgrade_leaves_version_1_as_it_is() -> None:
    assert upgrade(WHOLE) is WHOLE


@pytest.mark.parametrize(
    ("body", "path", "word"),
    [
        (b"", "line 1, column 1", "not valid JSON"),
        (b"{", "line 1, column 2", "not valid JSON"),
        (b'{"format": "tapchart.boat",\n "version": 1,}', "line 2, column 15", "not valid JSON"),
        (b"\xff\xfe{}", "byte 0", "not UTF-8"),
        ('{"name": "a"}'.encode("utf-16"), "byte 0", "not UTF-8"),
        (b"[]", "document", "not a JSON object"),
        (b"null", "document", "not a JSON object"),
        (b'"boat"', "document", "not a JSON object"),
        (b"12", "document", "not a JSON object"),
        (b"{}", "format", "not stated"),
        (b'{"format": "other"}', "format", "“other” is not known"),
        (b'{"format": 3}', "format", "not known"),
        (b'{"format": "tapchart.boat"}', "version", "whole number"),
        (b'{"format": "tapchart.boat", "version": "1"}', "version", "whole number"),
        (b'{"format": "tapchart.boat", "version": true}', "version", "whole number"),
        (b'{"format": "tapchart.boat", "version": 1.0}', "version", "whole number"),
        (b'{"format": "tapchart.boat", "version": 0}', "version", "whole number"),
        (b'{"format": "tapchart.boat", "version": 2, "hulls": 3}', "version", "made by a newer Tapchart"),
        (b'{"format": "tapchart.boat", "version": 1}', "name", "missing"),
        (b"[" * 100_000, "document", "too deep"),
        (
            b'{"format":"tapchart.boat","version":1,"notes":' + b"[" * 400 + b"]" * 400 + b"}",
            "document",
            "not valid JSON",
        ),
        (b'{"a": {"b": 1, "b": 2}}', "a.b", "twice"),
        (b'{"a": [0, {"b": {"c": 1, "c": 2}}], "d": 3}', "a[1].b.c", "twice"),
        (b'{"format": "tapchart.boat", "format": "tapchart.boat"}', "format", "twice"),
        (b'{"x": {"a": 1, "a": 2}, "x": 1}', "x", "twice"),
        (b'{"version": ' + b"9" * 5000 + b"}", "document", "too many digits"),
        (b'{"format": "tapchart.boat", "version": 1, "name": "\\ud800"}', "document", "not valid JSON"),
    ],
    ids=range(27),
)
def test_what_is_no_document_is_refused_with_the_place(body: bytes, path: str, word: str) -> None:
    where, message = problem_of(body)

    assert where == path
    assert word in message


Mutation = Callable[[dict[str, Any]], object]


def put(steps: str, value: object) -> Mutation:
    """A mutation that puts a value at a path such as ``parts.0.name``; list items by index or id."""

    def mutate(document: dict[str, Any]) -> None:
        here: Any = document
        *way, last = steps.split(".")
        for step in way:
            here = here[step] if isinstance(here, dict) else here[_index(here, step)]
        if isinstance(here, dict):
            here[last] = value
        else:
            here.insert(len(here), value)

    return mutate


def drop(steps: str) -> Mutation:
    """A mutation that takes the key at a path out."""

    def mutate(document: dict[str, Any]) -> None:
        here: Any = document
        *way, last = steps.split(".")
        for step in way:
            here = here[step] if isinstance(here, dict) else here[_index(here, step)]
        del here[last]

    return mutate


def _index(items: list[Any], step: str) -> int:
    if step.isdigit():
        return int(step)
    return next(n for n, item in enumerate(items) if item["id"] == step)


def at(group: str, name: str, rest: str = "") -> str:
    """The path of a thing of the golden file, by its id."""
    return f"{group}[{_index(WHOLE[group], name)}]{rest}"


def again(group: str) -> Mutation:
    """A mutation that lists the first thing of a group twice."""
    return lambda document: document[group].append(document[group][0])


BROKEN: dict[str, tuple[Mutation, str, str]] = {
    "unknown key": (put("colour", "red"), "colour", "not known"),
    "unknown key of a part": (put("parts.bus.lugs", 4), at("parts", "bus", ".lugs"), "not known"),
    "unknown key of a demand": (
        put("parts.pilot.inputs.0.demand.volts", 4),
        at("parts", "pilot", ".inputs[0].demand.volts"),
        "not known",
    ),
    "unknown kind": (put("parts.bus.kind", "door"), at("parts", "bus", ".kind"), "not known"),
    "no kind": (drop("parts.bus.kind"), at("parts", "bus", ".kind"), "missing"),
    "unknown demand": (
        put("parts.pilot.inputs.0.demand.kind", "magic"),
        at("parts", "pilot", ".inputs[0].demand.kind"),
        "not known",
    ),
    "no name": (drop("name"), "name", "missing"),
    "no id": (drop("parts.bus.id"), at("parts", "bus", ".id"), "missing"),
    "upper case id": (put("parts.bus.id", "Bus"), at("parts", "bus", ".id"), "match pattern"),
    "empty id": (put("parts.bus.id", ""), at("parts", "bus", ".id"), "match pattern"),
    "long id": (put("parts.bus.id", "b" * 33), at("parts", "bus", ".id"), "match pattern"),
    "id with a newline": (put("parts.bus.id", "bus\n"), at("parts", "bus", ".id"), "match pattern"),
    "number as name": (put("name", 12), "name", "valid string"),
    "empty name": (put("name", ""), "name", "at least 1"),
    "long name": (put("name", "x" * 121), "name", "at most 120"),
    "bell in a name": (put("name", "ding\x07"), "name", "match pattern"),
    "text as number": (put("nominal_voltage_v", "12"), "nominal_voltage_v", "valid number"),
    "true as number": (put("nominal_voltage_v", True), "nominal_voltage_v", "valid number"),
    "not a number": (put("nominal_voltage_v", float("nan")), "nominal_voltage_v", "finite"),
    "infinite": (put("nominal_voltage_v", float("inf")), "nominal_voltage_v", "finite"),
    "no volts": (put("nominal_voltage_v", 0), "nominal_voltage_v", "greater than 0"),
    "negative capacity": (
        put("parts.house.capacity_ah", -5),
        at("parts", "house", ".capacity_ah"),
        "greater than 0",
    ),
    "negative resistance": (
        put("parts.house.internal_resistance_ohm", -0.1),
        at("parts", "house", ".internal_resistance_ohm"),
        "greater than or equal to 0",
    ),
    "range upside down": (
        put("parts.house.internal_resistance_ohm", {"low": 2, "high": 1}),
        at("parts", "house", ".internal_resistance_ohm"),
        "from low to high",
    ),
    "half a range": (
        put("parts.house.internal_resistance_ohm", {"low": 2}),
        at("parts", "house", ".internal_resistance_ohm.high"),
        "missing",
    ),
    "list as figure": (
        put("parts.house.internal_resistance_ohm", [1, 2]),
        at("parts", "house", ".internal_resistance_ohm"),
        "valid number",
    ),
    "full and more": (
        put("modes.sailing.conditions.state_of_charge", 1.2),
        at("modes", "sailing", ".conditions.state_of_charge"),
        "less than or equal to 1",
    ),
    "long day": (put("modes.sailing.hours_per_day", 25), at("modes", "sailing", ".hours_per_day"), "24"),
    "hot zone": (
        put("modes.sailing.conditions.temperature_c", 300),
        at("modes", "sailing", ".conditions.temperature_c"),
        "250",
    ),
    "unknown chemistry": (put("parts.house.chemistry", "lemon"), at("parts", "house", ".chemistry"), "'agm'"),
    "no sections": (put("parts.panel.sections", []), at("parts", "panel", ".sections"), "at least 1"),
    "no inputs": (put("parts.pilot.inputs", []), at("parts", "pilot", ".inputs"), "at least 1"),
    "no studs": (put("parts.bus.studs", 0), at("parts", "bus", ".studs"), "greater than or equal to 1"),
    "half a stud": (put("parts.bus.studs", 2.5), at("parts", "bus", ".studs"), "integer"),
    "object as list": (put("parts", {}), "parts", "array"),
    "text as part": (put("parts.0", "bus"), f"parts[{len(WHOLE['parts'])}]", "object"),
    "null in a list": (put("conductors.0", None), f"conductors[{len(WHOLE['conductors'])}]", "object"),
    "twice the part": (again("parts"), f"parts[{len(WHOLE['parts'])}].id", "already used at parts[0].id"),
    "twice the cable": (again("cables"), "cables[1].id", "already used at cables[0].id"),
    "id in two lists": (put("cables.cable.id", "bus"), "cables[0].id", "already used at"),
    "no such end": (
        put("conductors.wire.head.part", "ghost"),
        at("conductors", "wire", ".head.part"),
        "ghost",
    ),
    "no such terminal": (
        put("conductors.wire.tail.terminal", "stud-1"),
        at("conductors", "wire", ".tail.terminal"),
        "no terminal",
    ),
    "stud beyond the bar": (
        put("conductors.link.tail.terminal", "stud-7"),
        at("conductors", "link", ".tail.terminal"),
        "no terminal “stud-7”",
    ),
    "no terminal named": (
        drop("conductors.wire.tail.terminal"),
        at("conductors", "wire", ".tail.terminal"),
        "missing",
    ),
    "both ends on one": (
        put("conductors.wire.head", {"part": "house", "terminal": "positive"}),
        at("conductors", "wire"),
        "same terminal",
    ),
    "no such cable": (put("conductors.wire.cable", "ghost"), at("conductors", "wire", ".cable"), "no cable"),
    "no such reading": (
        put("conductors.wire.reading", "ghost"),
        at("conductors", "wire", ".reading"),
        "no reading",
    ),
    "no such zone": (put("parts.bus.zone", "ghost"), at("parts", "bus", ".zone"), "no zone"),
    "no such island": (put("parts.bus.island", "ghost"), at("parts", "bus", ".island"), "no island"),
    "no such engine": (
        put("parts.alternator.engine", "ghost"),
        at("parts", "alternator", ".engine"),
        "no part",
    ),
    "link to nothing": (put("links.data.parts", ["pilot", "ghost"]), "links[0].parts[1]", "no part"),
    "link of one": (put("links.data.parts", ["pilot"]), "links[0].parts", "at least 2"),
    "reading on nothing": (put("readings.reading.minus.part", "ghost"), "readings[0].minus.part", "no part"),
    "reading in no mode": (put("readings.reading.mode", "ghost"), "readings[0].mode", "no mode"),
    "reading of no event": (put("readings.reading.event", "ghost"), "readings[0].event", "no event"),
    "observation of nothing": (
        put("observations.observation.subject", "ghost"),
        "observations[0].subject",
        "ghost",
    ),
    "nothing not seen": (put("not_seen.unseen.subject", "ghost"), "not_seen[0].subject", "ghost"),
    "assumption about nothing": (put("assumptions.0.subject", "x"), "assumptions[0].subject", "“x”"),
    "same assumption twice": (again("assumptions"), "assumptions[1]", "assumed twice"),
    "position of nothing": (
        put("modes.sailing.positions", [{"part": "ghost", "position": "on"}]),
        "modes[0].positions[0]",
        "nothing that can be switched",
    ),
    "position of a stud": (
        put("modes.sailing.positions", [{"part": "panel", "way": "main-stud-1", "position": "on"}]),
        "modes[0].positions[0]",
        "panel.main-stud-1",
    ),
    "position that is none": (
        put("modes.sailing.positions", [{"part": "selector", "position": "three"}]),
        "modes[0].positions[0].position",
        "three",
    ),
    "position of a fuse": (
        put("modes.sailing.positions", [{"part": "fuse", "position": "auto"}]),
        "modes[0].positions[0].position",
        "auto",
    ),
    "position said twice": (
        put(
            "modes.sailing.positions",
            [{"part": "fuse", "position": "on"}, {"part": "fuse", "position": "off"}],
        ),
        "modes[0].positions[1]",
        "twice",
    ),
    "nothing on": (put("modes.sailing.on", [{"part": "ghost"}]), "modes[0].on[0].part", "no part"),
    "no such input on": (
        put("modes.sailing.on", [{"part": "solar", "input": "x"}]),
        "modes[0].on[0].input",
        "no input “x”",
    ),
    "on said twice": (
        put("modes.sailing.on", [{"part": "pilot"}, {"part": "pilot"}]),
        "modes[0].on[1]",
        "twice",
    ),
    "event in no mode": (put("events.start.mode", "ghost"), "events[0].mode", "no mode"),
    "event of no load": (put("events.start.heavy.part", "bus"), "events[0].heavy", "bus.main"),
    "event of no input": (put("events.start.heavy.input", "x"), "events[0].heavy", "starter.x"),
    "step of nothing": (
        put("events.start.steps", [{"action": "press", "part": "ghost", "at_s": 0}]),
        "events[0].steps[0].part",
        "no part",
    ),
    "step of no input": (
        put("events.start.steps", [{"action": "press", "part": "starter", "input": "x", "at_s": 0}]),
        "events[0].steps[0].input",
        "no input",
    ),
    "step to no position": (
        put("events.start.steps", [{"action": "switch", "part": "selector", "position": "x", "at_s": 0}]),
        "events[0].steps[0].position",
        "no position",
    ),
    "contact without its normal": (
        put("parts.selector.normal", "x"),
        at("parts", "selector"),
        "normal position “x”",
    ),
    "contact of one terminal": (
        put("parts.selector.terminals", ["common"]),
        at("parts", "selector", ".terminals"),
        "at least 2",
    ),
    "contact joining nothing": (
        put("parts.selector.positions.1.closed", [["common", "x"]]),
        at("parts", "selector"),
        "joins “x”",
    ),
    "contact joining three": (
        put("parts.selector.positions.1.closed", [["common", "battery-1", "battery-2"]]),
        at("parts", "selector", ".positions[1].closed[0]"),
        "at most 2",
    ),
    "position ids twice": (
        put("parts.selector.positions.1.id", "off"),
        at("parts", "selector"),
        "two positions have one id",
    ),
    "auxiliary contact of nothing": (
        put("parts.selector.auxiliary.0.closed_in", ["x"]),
        at("parts", "selector"),
        "auxiliary contact names “x”",
    ),
    "terminals twice": (
        put("parts.selector.terminals", ["common", "common", "battery-1", "battery-2"]),
        at("parts", "selector"),
        "two terminals of one name",
    ),
    "return to nothing": (
        put("parts.pilot.inputs.0.returns_to", "x"),
        at("parts", "pilot"),
        "none of the negatives",
    ),
    "output from nothing": (
        put("parts.pilot.outputs.0.from_input", "x"),
        at("parts", "pilot"),
        "none of the inputs",
    ),
    "assumption out of order": (
        put("assumptions", [{"key": "k", "low": 2, "value": 1, "high": 3, "source": "s"}]),
        "assumptions[0]",
        "from low over value to high",
    ),
    "assumption on a ghost": (
        put(
            "assumptions", [{"key": "k", "subject": "ghost", "low": 0, "value": 1, "high": 3, "source": "s"}]
        ),
        "assumptions[0].subject",
        "ghost",
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_every_broken_document_is_answered_with_the_place(name: str) -> None:
    mutate, path, word = BROKEN[name]
    document = copy.deepcopy(WHOLE)
    mutate(document)

    where, message = problem_of(json.dumps(document).encode())

    assert where == path
    assert word in message


def test_there_are_enough_broken_documents() -> None:
    assert len(BROKEN) >= 60


def test_a_long_key_is_not_repeated_in_full() -> None:
    where, _ = problem_of(json.dumps({**WHOLE, "k" * 5000: 1}).encode())

    assert len(where) < 100
