"""The second opinion on a deck: asked live of the simulator, else read from what it answered before.

``TAPCHART_RECORD=1`` with the simulator installed writes the answers anew.
"""

import hashlib
import json
import os
import re
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tests.engine.simulator.run import node_voltages, simulator

RECORDED = Path(__file__).parent / "recorded"
DIGITS = 11
"""Of a recorded voltage: its rounding is far below the agreement asked for."""
LARGE = 500
"""Of a network with more nodes only those asked for are recorded."""


def second_opinion(
    name: str, text: str, nodes: int, recorded_nodes: NDArray[np.intp] | None = None
) -> NDArray[np.float64]:
    """Node voltages of a deck; without the simulator those recorded for exactly this circuit, else nan.

    Raises:
        AssertionError: the circuit has changed since it was recorded; the message says how to record it anew.
    """
    path = RECORDED / f"{name}.json"
    if simulator() is not None:
        volts = node_voltages(text, nodes)
        if os.environ.get("TAPCHART_RECORD"):
            _record(path, text, volts, recorded_nodes)
        recorded_opinion(name, text, nodes)  # a stale record would fail only where there is no simulator
        return volts
    print(f"ngspice is not installed: judging {name} by its recorded answer")
    return recorded_opinion(name, text, nodes)


def recorded_opinion(name: str, text: str, nodes: int) -> NDArray[np.float64]:
    """What the simulator answered when it was asked about this circuit; nan for nodes not recorded.

    Raises:
        AssertionError: the circuit is another one now.
    """
    kept = json.loads((RECORDED / f"{name}.json").read_text())
    assert kept["circuit"] == fingerprint(text), (
        f"the circuit of {name} changed: record it anew on a machine with ngspice (TAPCHART_RECORD=1)"
    )
    volts = np.full(nodes, np.nan)
    volts[[int(node) for node in kept["volts"]]] = list(kept["volts"].values())
    return volts


def fingerprint(text: str) -> str:
    """A deck without comments and starting guesses, its numbers to nine digits: the same on any machine."""
    lines = (line.split(";")[0].strip() for line in text.splitlines())
    circuit = [line for line in lines if line and not line.startswith(("*", ".nodeset"))]
    rounded = re.sub(
        r"\d+\.\d+(e[-+]\d+)?|\d+e[-+]\d+", lambda number: f"{float(number[0]):.9g}", "\n".join(circuit)
    )
    return hashlib.sha256(rounded.encode()).hexdigest()


def _record(
    path: Path, text: str, volts: NDArray[np.float64], recorded_nodes: NDArray[np.intp] | None
) -> None:
    answered = np.flatnonzero(~np.isnan(volts))
    if recorded_nodes is not None and len(volts) > LARGE:
        answered = np.intersect1d(answered, recorded_nodes)
    kept = {str(node): float(f"{volts[node]:.{DIGITS}g}") for node in answered}
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps({"circuit": fingerprint(text), "volts": kept}, separators=(",", ":")) + "\n")
