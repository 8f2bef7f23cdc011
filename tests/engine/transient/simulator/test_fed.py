"""A boat fed by ISO 16750-2's starting profile (verified rows), against an independent circuit simulator."""

import re
from pathlib import Path

import numpy as np
import pytest

from server.boat.document import read_boat
from server.engine.solution import Solution
from server.engine.transient.fed_model import FedModel, FedSolution
from server.engine.transient.fed_run import fed_run
from server.engine.transient.solver import solve
from server.papers.event_deck import fed_deck
from server.papers.switched_deck import with_plain_converters
from server.practice.supply import StartingLevel
from tests.engine.transient.simulator.events import SEED_BOATS
from tests.engine.transient.simulator.opinion import opinion
from tests.engine.transient.simulator.test_as_exported import measured

WAVE_V, EXTREME_V = 0.002, 0.001
FED: tuple[tuple[str, str, StartingLevel], ...] = (
    ("1-sloop", "under-way", "I"),
    ("3-workboat", "at-anchor", "III"),
)
"""Four batteries of 6 V in two strings; banks of 24 V in series, a 12 V load at a midpoint, a converter."""
ASKED_LIVE = ("1-sloop",)
"""The other one takes the simulator ten seconds: what it said then is recorded."""


@pytest.mark.parametrize(("name", "mode", "level"), FED)
def test_waveforms_over_the_profile_are_the_simulators(name: str, mode: str, level: StartingLevel) -> None:
    solution = Solution.of(read_boat((SEED_BOATS / f"{name}.json").read_bytes()), mode)
    model = FedModel(solution, FedSolution.of(solution, level))
    circuit = model.circuit()
    ends = [
        (row, int(model.numbers[model.network.tail[row]]), int(model.numbers[model.network.head[row]]))
        for row in model.draw_rows.tolist()
    ]
    pairs = [(tail, head) for _, tail, head in ends]
    corners = circuit.supplies[0].time_s
    instants = np.concatenate(
        [np.linspace(0.0, corners[3], 60), np.linspace(corners[3], circuit.end_s - 0.01, 40)]
    )
    ours = solve(circuit)

    asked = with_plain_converters(circuit, ours.changes)
    told = opinion(f"fed-{name}-{level}", asked, pairs, np.zeros(0), instants, is_live=name in ASKED_LIVE)

    assert ours.at_times(pairs, instants) == pytest.approx(told.sampled, abs=WAVE_V)
    assert [ours.extremes(*pair)[0] for pair in pairs] == pytest.approx(told.low, abs=EXTREME_V)


def test_an_exported_profile_prints_the_extremes_of_the_answer(tmp_path: Path) -> None:
    boat = read_boat((SEED_BOATS / "4-outboard.json").read_bytes())
    run, deck = fed_run(boat, "under-way", "I"), fed_deck(boat, "under-way", "I")
    node = {name: node for node, name in re.findall(r"^\*   (at_\w+): (.*)$", deck, re.MULTILINE)}

    printed = measured("as-exported-fed-4-outboard", deck, tmp_path)

    assert len(run.points) == len(node)
    for point in run.points:
        assert printed[f"lowest_{node[point.name]}"] == pytest.approx(point.lowest.value, abs=EXTREME_V)
