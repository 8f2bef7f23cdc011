"""Run an independent general circuit simulator (ngspice) on a transient deck and read its waveforms."""

import re
import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from server.engine.arrays import Floats
from server.papers.transient_deck import Stepping
from tests.engine.simulator.run import simulator

SECONDS = 120
Pairs = Sequence[tuple[int, int]]


@dataclass(frozen=True, eq=False)
class Waveforms:
    """What the simulator answered: the event's time, volts of pairs (rows), amperes of motors (rows)."""

    time_s: Floats
    volts: Floats
    amps: Floats


def run_transient(text: str, pairs: Pairs, motors: int, stepping: Stepping) -> Waveforms:
    """Waveforms of a deck.

    Raises:
        AssertionError: the simulator stopped before the end, with what it said.
    """
    nodes = sorted({node for pair in pairs for node in pair})
    wanted = [*(f"v(n{node})" for node in nodes), *(f"i(vmotor{k})" for k in range(motors))]
    found, said = _run(text, wanted)
    lead, stop = stepping.lead_in_s, float(re.findall(r"^\.tran \S+ (\S+)", text, re.MULTILINE)[0])
    assert "time" in found, f"the simulator found no answer:\n{said}"
    assert found["time"][-1] >= stop * (1 - 1e-9), (
        f"the simulator stopped at {found['time'][-1]:g} s:\n{said}"
    )
    return Waveforms(
        found["time"] - lead,
        np.array([found[f"v(n{a})"] - found[f"v(n{b})"] for a, b in pairs]),
        np.array([found[f"i(vmotor{k})"] for k in range(motors)]),
    )


def _run(text: str, wanted: Sequence[str]) -> tuple[dict[str, Floats], str]:
    """Run a deck in a folder of its own; the columns it wrote, and its last words."""
    program = simulator()
    assert program is not None, "ngspice is not installed: apt install ngspice"
    with tempfile.TemporaryDirectory() as folder:
        raw, source = Path(folder, "out.raw"), Path(folder, "in.cir")
        saved = "".join(f".save {name}\n" for name in wanted)
        control = f".control\nset numdgt=16\nrun\nwrite {raw}\n.endc\n.end\n"
        source.write_text(text.replace("\n.end\n", f"\n{saved}{control}"))
        try:
            ran = subprocess.run(
                [program, "-b", str(source)], capture_output=True, text=True, timeout=SECONDS, check=False
            )
        except subprocess.TimeoutExpired as error:
            raise AssertionError(f"the simulator was not through after {SECONDS} s") from error
        said = f"{ran.stdout[-1500:]}\n{ran.stderr[-1500:]}"
        return (_columns(raw.read_bytes()) if raw.exists() else {}), said


def _columns(raw: bytes) -> dict[str, Floats]:
    header, body = raw.split(b"Binary:\n", 1)
    names = re.findall(
        r"^\s*\d+\s+(\S+)\s+\S+\s*$", header.decode().split("Variables:\n", 1)[1], re.MULTILINE
    )
    values = np.frombuffer(body, dtype="<f8").reshape(-1, len(names))
    return dict(zip(names, values.T, strict=True))
