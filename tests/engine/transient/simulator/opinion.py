"""The second opinion on an event: asked live of the simulator, else read from what it answered before.

``TAPCHART_RECORD=1`` with the simulator installed writes the answers anew.
"""

import json
import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from server.engine.arrays import Flags, Floats
from server.engine.transient.circuit import TransientCircuit
from server.papers.transient_deck import NORMAL, Stepping, transient_deck
from tests.engine.simulator.opinion import fingerprint
from tests.engine.simulator.run import simulator
from tests.engine.transient.simulator.run import Pairs, Waveforms, run_transient

RECORDED = Path(__file__).parent / "recorded"
AWAY_S = 1e-6
"""So far from an edge (a contact that moves, an arc that goes out) waveforms are judged."""
EDGE_S = 1e-7
"""So long after an edge extremes are not judged: the simulator's contact needs 10 ns."""


@dataclass(frozen=True, eq=False)
class Opinion:
    """Lowest and highest volts of each pair away from the edges, and volts (rows: pairs) at some instants."""

    low: Floats
    high: Floats
    sampled: Floats


def opinion(  # noqa: PLR0913, PLR0917 - what is asked, and how
    name: str,
    circuit: TransientCircuit,
    pairs: Pairs,
    edges: Floats,
    instants: Floats,
    stepping: Stepping = NORMAL,
    *,
    is_live: bool = True,
) -> Opinion:
    """What the simulator says of a circuit; without it, or not live, what it said of exactly this circuit.

    Raises:
        AssertionError: the circuit has changed since it was recorded, or the simulator stopped on its way.
    """
    text = transient_deck(circuit, name, stepping=stepping)
    path = RECORDED / f"{name}.json"
    if not is_live and not os.environ.get("TAPCHART_RECORD"):
        return _recorded(path, text)
    if simulator() is None:
        print(f"ngspice is not installed: judging {name} by its recorded answer")
        return _recorded(path, text)
    waves = run_transient(text, pairs, len(circuit.motors), stepping)
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
