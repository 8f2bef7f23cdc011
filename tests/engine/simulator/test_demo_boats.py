"""Second opinion on every demo boat, in every mode and at the first instant of every event.

The decks are those that ``tapchart netlist`` writes. Ours and theirs are compared node by node over the nodes
that a source reaches; parts that float have no voltage on our side and are counted instead.
"""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.events import events_of
from server.papers.boat_deck import BoatDeck, boat_deck
from tests.engine.simulator.opinion import RECORDED, second_opinion

SEED_BOATS = Path(__file__).parents[3] / "seed_boats"
AGREEMENT = 1e-9
"""Largest difference of a node voltage over the nominal voltage; the aim set for release is 1e-6."""


@cache
def demo_boat(name: str) -> Boat:
    return read_boat((SEED_BOATS / f"{name}.json").read_bytes())


def all_cases() -> Iterator[tuple[str, str, str | None]]:
    """Boat, mode and event of every deck; the mode's own steady state has no event."""
    for path in sorted(SEED_BOATS.glob("*.json")):
        boat = demo_boat(path.stem)
        for mode in boat.modes:
            yield path.stem, mode.id, None
            yield from ((path.stem, mode.id, event.id) for event in events_of(boat) if event.mode == mode.id)


@pytest.mark.parametrize(("name", "mode", "event"), list(all_cases()))
def test_the_simulator_finds_the_same_voltages(name: str, mode: str, event: str | None) -> None:
    boat = demo_boat(name)
    written = boat_deck(boat, mode, event)

    theirs = second_opinion(
        "-".join(word for word in (name, mode, event) if word),
        written.text,
        len(written.point.node_v),
        _load_nodes(written),
    )

    judged = ~np.isnan(written.point.node_v) & ~np.isnan(theirs)
    error = np.abs(written.point.node_v - theirs)[judged].max() / boat.nominal_voltage_v
    floating = int(np.isnan(written.point.node_v).sum())
    print(f"{name} {mode} {event or 'steady'}: {error:.1e} over {judged.sum()} nodes, {floating} floating")
    assert not len(written.point.unsettled)
    assert judged.sum() > len(_load_nodes(written)) / 4
    assert error <= AGREEMENT


def test_every_case_has_its_recorded_answer_and_none_is_left_over() -> None:
    """So that a machine without the simulator can judge all of them."""
    names = {"-".join(word for word in case if word) for case in all_cases()}
    recorded = {path.stem for path in RECORDED.glob("[0-9]*.json")}

    assert recorded == names


def _load_nodes(written: BoatDeck) -> np.ndarray:
    """The nodes on which loads, batteries and chargers stand: enough to recognise a circuit by."""
    network = written.net.network
    first = network.spans["sources"].start
    return np.unique(np.concatenate([network.solved_tail[first:], network.solved_head[first:]]))
