"""The second opinion on a deck: asked live of the simulator, else read from what it answered before.

``TAPCHART_RECORD=1`` with the simulator installed writes the answers anew.
"""

import hashlib
import json
import os
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tests.engine.simulator.run import node_voltages, simulator

RECORDED = Path(__file__).parent / "recorded"
DIGITS = 13


def second_opinion(name: str, text: str, nodes: int) -> NDArray[np.float64]:
    """Node voltages of a deck; without the simulator those recorded for exactly this deck.

    Raises:
        AssertionError: without the simulator, when the deck has changed since it was recorded.
    """
    path = RECORDED / f"{name}.json"
    sha = hashlib.sha256(text.encode()).hexdigest()
    if simulator() is not None:
        volts = node_voltages(text, nodes)
        if os.environ.get("TAPCHART_RECORD"):
            kept = [None if np.isnan(v) else float(f"{v:.{DIGITS}g}") for v in volts]
            path.parent.mkdir(exist_ok=True)
            path.write_text(json.dumps({"deck_sha256": sha, "volts": kept}) + "\n")
        return volts
    print(f"ngspice is not installed: judging {name} by its recorded answer")
    recorded = json.loads(path.read_text())
    assert recorded["deck_sha256"] == sha, (
        f"the deck of {name} changed: record it anew on a machine with ngspice"
    )
    return np.array([np.nan if v is None else v for v in recorded["volts"]])
