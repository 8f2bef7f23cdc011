"""The second opinion on an event: asked live of the simulator, else read from what it answered before.

``TAPCHART_RECORD=1`` with the simulator installed writes the answers anew.
"""

import json
import os
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from server.engine.arrays import Flags, Floats
from server.engine.transient.circuit import TransientCircuit
from server.papers.transient_deck import Stepping, transient_deck
from tests.engine.simulator.opinion import fingerprint
from tests.engine.simulator.run import simulator
from tests.engine.transient.simulator.run import Pairs, Waveforms, run_transient

RECORDED = Path(__file__).parent / "recorded"
AWAY_S = 1e-6
"""So far from an edge (a contact that moves, an arc that goes out) waveforms are judged."""
OTHER_LEAD_INS_S = (1.3e-4, 1.7e-4)
EDGE_S = 1e-7
"""So long after an edge extremes are not judged: the simulator's contact needs 10 ns."""


@dataclass(frozen=True, eq=False)
class Opinion:
    """Lowest and highest volts of each pair away from the edges, and volts (rows: pairs) at some instants."""

    low: Floats
    high: Floats
    sampled: Floats


def opinion(  # noqa: PLR0913, PLR0917 - what is asked, and how
    name: str, circuit: TransientCircuit, pairs: Pairs, edges: Floats, instants: Floats, stepping: Stepping
) -> Opinion:
    """What the simulator says of a circuit; without it, what it said of exactly this circuit.

    Whether it gets through hangs on its rounding, so on the machine: where it stops each time, its recorded
    answer is judged by, and the output says so.

    Raises:
        AssertionError: the circuit has changed since it was recorded.
    """
    text = transient_deck(circuit, name, stepping=stepping)
    path = RECORDED / f"{name}.json"
    if simulator() is None:
        print(f"ngspice is not installed: judging {name} by its recorded answer")
        return _recorded(path, text)
    try:
        waves = _waves(name, circuit, pairs, stepping)
    except AssertionError as error:
        print(f"{name}: stopped each time, judged by its recorded answer: {str(error).splitlines()[0]}")
        return _recorded(path, text)
    at_borders = _at(waves, np.concatenate([edges - EDGE_S, edges + EDGE_S]))
    # Its last step, cut to femtoseconds to end on time, is noise: L·Δi/Δt.
    ends = np.append(edges, circuit.end_s)
    judged = np.hstack([waves.volts[:, away_from(ends, waves.time_s, EDGE_S)], at_borders])
    found = Opinion(judged.min(axis=1), judged.max(axis=1), _at(waves, instants))
    if os.environ.get("TAPCHART_RECORD"):
        kept = {
            "circuit": fingerprint(text),
            "low": found.low.round(6).tolist(),
            "high": found.high.round(6).tolist(),
            "sampled": found.sampled.round(6).tolist(),
        }
        path.parent.mkdir(exist_ok=True)
        path.write_text(json.dumps(kept, separators=(",", ":")) + "\n")
    _recorded(path, text)  # a stale record would fail only where there is no simulator
    return found


def _waves(name: str, circuit: TransientCircuit, pairs: Pairs, stepping: Stepping) -> Waveforms:
    """Run it; a run that aborts is repeated with other times at rest, which changes nothing but its rounding.

    Raises:
        AssertionError: it aborted each time.
    """
    for lead_in_s in OTHER_LEAD_INS_S:
        try:
            return run_transient(
                transient_deck(circuit, name, stepping=stepping), pairs, len(circuit.motors), stepping
            )
        except AssertionError as error:
            print(f"{name}: aborted, run again with {lead_in_s:g} s at rest: {str(error).splitlines()[0]}")
            stepping = replace(stepping, lead_in_s=lead_in_s)
    return run_transient(
        transient_deck(circuit, name, stepping=stepping), pairs, len(circuit.motors), stepping
    )


def _at(waves: Waveforms, instants: Floats) -> Floats:
    return np.array([np.interp(instants, waves.time_s, volts) for volts in waves.volts])


def away_from(edges: Floats, times: Floats, after_s: float) -> Flags:
    """Which instants do not lie just before or within a time after an edge."""
    gap = times[:, None] - edges[None, :]
    near: Flags = np.any((gap > -EDGE_S) & (gap < after_s), axis=1)
    return np.logical_not(near)


def _recorded(path: Path, text: str) -> Opinion:
    kept = json.loads(path.read_text())
    assert kept["circuit"] == fingerprint(text), (
        f"the circuit of {path.stem} changed: record it anew on a machine with ngspice (TAPCHART_RECORD=1)"
    )
    return Opinion(*(np.array(kept[key]) for key in ("low", "high", "sampled")))
