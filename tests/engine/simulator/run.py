"""Run an independent general circuit simulator (ngspice) on a deck and read its node voltages."""

import re
import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

SECONDS = 120


def simulator() -> str | None:
    """The simulator's path, where it is installed."""
    return shutil.which("ngspice")


def node_voltages(text: str, nodes: int) -> NDArray[np.float64]:
    """Voltage of every node ``n<k>`` of a deck; nan where the deck has no such node.

    Raises:
        AssertionError: when the simulator finds no operating point, with what it said.
    """
    program = simulator()
    assert program is not None, "ngspice is not installed: apt install ngspice"
    with tempfile.TemporaryDirectory() as folder:
        raw = Path(folder, "out.raw")
        source = Path(folder, "in.cir")
        body = text.replace("\n.op\n", "\n").replace("\n.end\n", "\n")
        control = f".control\nset filetype=ascii\nset numdgt=16\nop\nwrite {raw}\n.endc\n.end\n"
        source.write_text(body + control)
        ran = subprocess.run(
            [program, "-b", str(source)], capture_output=True, text=True, timeout=SECONDS, check=False
        )
        assert raw.exists(), (
            f"the simulator found no operating point:\n{ran.stdout[-2000:]}\n{ran.stderr[-2000:]}"
        )
        return _read(raw.read_text(), nodes)


def _read(raw: str, nodes: int) -> NDArray[np.float64]:
    header, values = raw.split("Values:\n", 1)
    names = re.findall(r"^\s*\d+\s+(\S+)\s+\S+\s*$", header.split("Variables:\n", 1)[1], re.MULTILINE)
    figures = [float(word) for word in values.split()[1:]]
    found = np.full(nodes, np.nan)
    for name, figure in zip(names, figures, strict=True):
        match = re.fullmatch(r"v\(n(\d+)\)|n(\d+)", name)
        if match:
            found[int(match[1] or match[2])] = figure
    return found
