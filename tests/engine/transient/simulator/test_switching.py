"""Second opinion on parts that change their states: the simulator's own switches, timers and kinked laws.

Its contacts are voltage-controlled switches with hysteresis whose timers are capacitors, its diode and its
limited source are their laws in one formula; none of it is told when we say that they move. What we differ in
by the instants themselves (both find them on their own) shows in the first microseconds after a change.
"""

from dataclasses import replace

import numpy as np
import pytest

from server.boat.boat import Boat
from server.engine.solution import Solution
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.model import circuit_of
from server.engine.transient.solver import solve
from server.papers.transient_deck import stepping_for
from tests.engine.transient.simulator.events import held_for
from tests.engine.transient.simulator.opinion import opinion
from tests.engine.transient.simulator.test_second_opinion import points, sampling
from tests.engine.transient.test_converters import supply
from tests.engine.transient.test_followed import combined, contactor, with_alternator, with_isolator
from tests.engine.transient.test_joins import by_its_coil, changing_over, section, used, woken
from tests.engine.transient.test_timed import sequence, starts, turned

WAVE_V = 0.006
NEAR_S = 1e-3
"""Away from a change by this: our instants and the simulator's differ by some 10 µs."""
CASES: dict[str, Boat] = {
    "contactor": contactor(hold_v=8.0),
    "combiner": combined(delay_s=0.02, close_v=12.3),
    "isolator": with_isolator(12.7),
    "alternator": with_alternator(12.9, 60.0),
    "charging": sequence(starts(0.105)),
    "turned-off": sequence(turned("off", 0.115)),
    "turned-off-while-it-charges": sequence(starts(0.102), turned("off", 0.108)),
    "joined": section(turned("on", 0.104, "panel-switch"), used("press", "lights", 0.11), on=("radio",)),
    "changes-over": changing_over(),
    "by-its-coil": by_its_coil(
        turned("open", 0.02, "contactor"), turned("closed", 0.05, "contactor"), position="closed", hold_v=4.0
    ),
    "converter": supply(radio_w=3.0, minimum_input_v=8.0, restart_input_v=9.0, restart_after_s=0.01),
    "woken": woken(turned("on", 0.03, "key")),
}


def circuit(name: str) -> TransientCircuit:
    """The start of a small boat, released early, and followed a little longer."""
    solution = Solution.of(CASES[name], "starting")
    short = held_for(circuit_of(solution, solution.event("start")), 0.1)
    return replace(short, end_s=short.end_s + 0.02)


@pytest.mark.parametrize("name", CASES)
def test_they_agree_on_parts_that_switch(name: str) -> None:
    asked = circuit(name)
    solution = solve(asked)
    changes = np.array([one.at_s for one in solution.changes])
    edges = np.unique([*(one.start_s for one in solution.segments), *changes])
    inner = {int(asked.branches.head[one.source]) for one in asked.converters}
    pairs = [(a, b) for a, b in points(asked) if solution.at(a, b, -0.005) > 1.0 and inner.isdisjoint((a, b))]
    instants = sampling(asked, edges)
    instants = instants[(np.abs(instants[:, None] - changes) > NEAR_S).all(axis=1)]

    theirs = opinion(f"switching-{name}", asked, pairs, edges, instants, stepping_for(asked))

    assert len(changes) >= 1
    off = np.abs(solution.at_times(pairs, instants) - theirs.sampled)
    at_s = instants[off.max(axis=0).argmax()]
    print(f"{name}: wave {off.max() * 1e3:.3f} mV at {at_s:.6f} s")
    assert off.max() < WAVE_V
