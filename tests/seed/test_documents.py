"""The demo boats as documents: canonical, of their sizes, with readable ids, silent about their faults."""

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from server.boat.conductors import Conductor
from server.boat.document import boat_bytes
from server.boat.parts import Load
from tests.seed.boats import FOLDER, NAMES, WITHOUT_FAULTS, body, demo, key, planted

GIVE_AWAYS = re.compile(
    r"corroded|unfused|no fuse|without a fuse|undersiz|too thin|too long|planted|wrong side|battery side|"
    r"shared feeder|midpoint|mid-point|bad joint|\bfault",
    re.IGNORECASE,
)


def texts(value: object) -> Iterator[str]:
    """Every string of a JSON value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from texts(item)
    elif isinstance(value, list):
        for item in value:
            yield from texts(item)


def test_there_are_five_boats_and_no_other_json() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.json")) == list(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_boat_is_stored_in_the_one_canonical_form(name: str) -> None:
    assert boat_bytes(demo(name)) == body(name)


@pytest.mark.parametrize(
    ("name", "loads", "conductors"),
    [
        ("1-sloop", (12, 20), (40, 70)),
        ("2-trawler", (25, 45), (100, 160)),
        ("3-workboat", (25, 45), (100, 160)),
        ("4-outboard", (5, 7), (15, 30)),
        ("5-large-yacht", (180, 220), (900, 1100)),
    ],
)
def test_a_boat_has_the_size_it_is_meant_to_have(
    name: str, loads: tuple[int, int], conductors: tuple[int, int]
) -> None:
    boat = demo(name)
    assert loads[0] <= sum(isinstance(part, Load) for part in boat.parts) <= loads[1]
    assert conductors[0] <= len(boat.conductors) <= conductors[1]


@pytest.mark.parametrize("name", NAMES)
def test_ids_are_words(name: str) -> None:
    boat = demo(name)
    things = (*boat.parts, *boat.cables, *boat.conductors, *boat.modes, *boat.events, *boat.zones)
    for thing in things:
        assert re.fullmatch(r"[a-z]+\d*([a-z])?(-([a-z]+|\d{1,2}[ab]?))*", thing.id), thing.id
        assert not re.search(r"[0-9a-f]{8}", thing.id) or "-" in thing.id, thing.id


@pytest.mark.parametrize("name", NAMES)
def test_cables_carry_numbers_of_their_own(name: str) -> None:
    numbers = [cable.number for cable in demo(name).cables]
    assert None not in numbers
    assert len(set(numbers)) == len(numbers)
    assert all(wire.cable for wire in demo(name).conductors if wire.kind == "wire")


@pytest.mark.parametrize("name", NAMES)
def test_most_parts_have_a_place_inside_the_boat(name: str) -> None:
    boat = demo(name)
    placed = [part.place for part in boat.parts if part.place is not None]
    assert len(placed) > 0.95 * len(boat.parts)
    assert boat.length_m is not None
    assert all(place.from_bow_m <= boat.length_m for place in placed)


@pytest.mark.parametrize("name", NAMES)
def test_modes_hold_the_four_states_and_one_day(name: str) -> None:
    modes = demo(name).modes
    assert {"moored", "at-anchor", "under-way", "starting"} <= {mode.id for mode in modes}
    assert sum(mode.hours_per_day or 0.0 for mode in modes) == pytest.approx(24.0)
    for mode in modes:
        assert all((on.hours_per_day or 0.0) <= (mode.hours_per_day or 0.0) for on in mode.on), mode.id


@pytest.mark.parametrize("name", NAMES)
def test_every_event_states_its_conditions(name: str) -> None:
    assert demo(name).events
    for event in demo(name).events:
        assert event.conditions is not None
        assert event.conditions.state_of_charge is not None
        assert event.conditions.temperature_c is not None


@pytest.mark.parametrize("name", NAMES)
def test_every_boat_says_what_was_not_seen(name: str) -> None:
    assert demo(name).not_seen


@pytest.mark.parametrize("name", NAMES)
def test_a_student_reads_of_no_fault(name: str) -> None:
    given_away = [text for text in texts(json.loads(body(name))) if GIVE_AWAYS.search(text)]
    assert given_away == []


def test_the_words_that_give_a_fault_away_are_those_of_the_key() -> None:
    told = " ".join(texts(key()))
    assert len({word.lower() for word in GIVE_AWAYS.findall(told)}) >= 4


@pytest.mark.parametrize("name", NAMES)
def test_the_key_names_things_that_are_aboard(name: str) -> None:
    boat = demo(name)
    aboard = {thing.id for thing in (*boat.parts, *boat.conductors, *boat.cables)}
    assert planted(name) <= aboard
    assert bool(planted(name)) is (name not in WITHOUT_FAULTS)


def test_the_key_is_about_these_boats() -> None:
    assert tuple(key()) == NAMES


def test_the_script_makes_the_large_yacht_byte_for_byte(tmp_path: Path) -> None:
    made = tmp_path / "yacht.json"
    subprocess.run([sys.executable, str(FOLDER / "make_large_yacht.py"), str(made)], check=True)
    assert made.read_bytes() == body("5-large-yacht")


def wires(name: str) -> list[Conductor]:
    """The wires of a boat."""
    return [conductor for conductor in demo(name).conductors if conductor.kind == "wire"]


@pytest.mark.parametrize("name", NAMES)
def test_a_cable_takes_as_many_conductors_as_it_has_cores(name: str) -> None:
    for cable in demo(name).cables:
        held = sum(wire.cable == cable.id for wire in wires(name))
        assert 1 <= held <= cable.cores, cable.id
