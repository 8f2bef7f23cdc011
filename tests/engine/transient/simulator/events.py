"""Events on demo boats for the simulator: those the boats have, and others put together from their parts."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from server.boat.boat import Boat
from server.boat.document import read_boat
from server.engine.solution import Solution
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.model import circuit_of

SEED_BOATS = Path(__file__).parents[4] / "seed_boats"
HELD_S, AFTERWARDS_S = 0.1, 0.01
"""So long a motor is held, and looked at afterwards: it has met its lowest voltage long before."""


@dataclass(frozen=True, slots=True)
class Case:
    """An event of a demo boat: its id, or the presses of parts (part, from, until) in a mode."""

    boat: str
    mode: str
    event: str
    presses: tuple[tuple[str, float, float], ...] = ()
    conditions: Mapping[str, Any] | None = None
    positions: Mapping[str, str] | None = None

    @property
    def name(self) -> str:
        """The name of its recorded answer."""
        return f"{self.boat}-{self.event}-{self.mode}"

    def circuit(self) -> TransientCircuit:
        """Its circuit in time; where it has no presses of its own, its one motor is released early."""
        boat = self._boat()
        solution = Solution.of(boat, self.mode)
        circuit = circuit_of(solution, solution.event(self.event))
        if self.presses:
            return replace(circuit, end_s=max(motor.release_s for motor in circuit.motors) + AFTERWARDS_S)
        return held_for(circuit, HELD_S)

    def _boat(self) -> Boat:
        body = json.loads((SEED_BOATS / f"{self.boat}.json").read_bytes())
        event = next((one for one in body["events"] if one["id"] == self.event), None)
        if event is None or event["mode"] != self.mode or self.presses:
            event = {**(event or {}), "id": self.event, "name": self.event, "mode": self.mode, "steps": []}
            body["events"] = [event]
        if self.presses:
            event["heavy"] = {"part": self.presses[0][0], "input": "motor"}
            event["steps"] = [
                {"action": action, "part": part, "input": "motor", "at_s": at_s}
                for part, press_s, release_s in self.presses
                for action, at_s in (("press", press_s), ("release", release_s))
            ]
        if self.conditions is not None:
            event["conditions"] = dict(self.conditions)
        mode = next(one for one in body["modes"] if one["id"] == self.mode)
        for part, position in (self.positions or {}).items():
            mode["positions"] = [p for p in mode.get("positions", []) if p["part"] != part]
            mode["positions"].append({"part": part, "position": position})
        return read_boat(json.dumps(body).encode())


def held_for(circuit: TransientCircuit, seconds: float) -> TransientCircuit:
    """The same, released sooner."""
    motors = tuple(replace(motor, release_s=motor.press_s + seconds) for motor in circuit.motors)
    return replace(circuit, motors=motors, end_s=max(motor.release_s for motor in motors) + AFTERWARDS_S)
