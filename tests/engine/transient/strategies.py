"""Random circuits of events in time, solvable by construction: what people build, loops included.

Every draw of electronics has its input capacitor, every conductor its inductance, every motor enough torque
to run up; resistive loads may lie right across a bar or a capacitor, without inductance.
"""

import numpy as np
from hypothesis import strategies as st

from server.engine.network import Loads
from server.engine.transient.circuit import (
    Arc,
    Branches,
    Capacitors,
    MotorDrive,
    TransientCircuit,
    Winding,
)


def circuits(*, draws: bool = True, motors: int = 1) -> st.SearchStrategy[TransientCircuit]:
    """Random circuits by seed."""
    seeds = st.integers(0, 2**32 - 1)
    return seeds.map(lambda seed: random_circuit(seed, draws=draws, motors=motors))


def random_circuit(seed: int, *, draws: bool = True, motors: int = 1) -> TransientCircuit:
    """A positive and a negative side, each a random tree with extra loops; between them all else.

    Node 0 is the first battery's negative post, node 1 its positive one. Without ``draws`` every load is a
    resistance, so that the circuit is linear while its motors rest. The second motor is pressed while the
    first runs, and released after it.
    """
    return _Wiring(np.random.default_rng(seed)).circuit(draws=draws, motors=motors)


class _Wiring:
    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.nodes = 2
        self.sides: list[list[int]] = [[0], [1]]
        self.branches: list[tuple[float, ...]] = []
        self.capacitors: list[tuple[float, ...]] = []
        self.draws: list[tuple[float, ...]] = []

    def circuit(self, *, draws: bool, motors: int) -> TransientCircuit:
        rng = self.rng
        self.battery(0, 1)
        for side in (0, 1):
            for _ in range(int(rng.integers(2, 5))):
                self.cable(self.any_of(side), self.new_node(side), heavy=True)
            if rng.random() < 0.5 and len(self.sides[side]) > 3:
                one, other = rng.choice(self.sides[side], 2, replace=False).tolist()
                self.cable(one, other, heavy=True)
        if rng.random() < 0.5:
            self.battery(self.any_of(0), self.any_of(1))
        for _ in range(int(rng.integers(1, 4))):
            self.electronics(draws=draws)
        for _ in range(int(rng.integers(1, 4))):
            self.resistive_load()
        drives = tuple(self.motor(number, motors) for number in range(motors))
        return TransientCircuit(
            self.nodes,
            Branches.of(self.branches),
            Capacitors.of(self.capacitors),
            Loads.of(self.draws),
            drives,
            end_s=max(drive.release_s for drive in drives) + 0.02 if drives else 0.05,
            branch_element=np.full(len(self.branches), -1, np.intp),
        )

    def any_of(self, side: int) -> int:
        return int(self.rng.choice(self.sides[side]))

    def new_node(self, side: int | None = None) -> int:
        self.nodes += 1
        if side is not None:
            self.sides[side].append(self.nodes - 1)
        return self.nodes - 1

    def between(self, low: float, high: float) -> float:
        """Evenly spread in the logarithm."""
        return float(np.exp(self.rng.uniform(np.log(low), np.log(high))))

    def battery(self, negative: int, positive: int) -> None:
        emf, ohm, henry = self.rng.uniform(12.2, 12.8), self.between(2e-3, 8e-3), self.between(5e-8, 4e-7)
        self.branches.append((negative, positive, ohm, henry, emf))

    def cable(self, one: int, other: int, *, heavy: bool = False) -> None:
        """Half a metre to five metres: 0.5 µH/m, and the resistance of 50 mm² or of 2.5 mm²."""
        metres = self.between(0.5, 5.0)
        ohm = metres * (0.4e-3 if heavy else 8e-3) + 0.2e-3
        self.branches.append((one, other, ohm, metres * 0.5e-6, 0.0))

    def leads(self) -> tuple[int, int]:
        """Two thin leads to a load."""
        plus, minus = self.new_node(), self.new_node()
        self.cable(self.any_of(1), plus)
        self.cable(minus, self.any_of(0))
        return plus, minus

    def electronics(self, *, draws: bool) -> None:
        """A draw across its input capacitor, of 10 to 60 µF a watt.

        With a few µF a watt the falling current of constant power makes the lead's inductance ring without
        end (R/L < P/(C·v²)): a circuit without a settled state to start from.
        """
        plus, minus = self.leads()
        watts = self.rng.uniform(5.0, 60.0)
        self.capacitors.append((plus, minus, watts * self.between(1e-5, 6e-5), self.between(1e-2, 0.1)))
        if draws:
            is_power = self.rng.random() < 0.7
            self.draws.append((plus, minus, watts if is_power else watts / 12.0, float(is_power), 9.0))
        else:
            self.branches.append((plus, minus, 144.0 / watts, 0.0, 0.0))

    def resistive_load(self) -> None:
        across_a_bar = self.rng.random() < 0.3
        ends = (self.any_of(1), self.any_of(0)) if across_a_bar else self.leads()
        self.branches.append((*ends, self.between(0.5, 20.0), 0.0, 0.0))

    def motor(self, number: int, motors: int) -> MotorDrive:
        """A motor of 12 V by its running point and its inrush; ``s`` is 1 at the running point."""
        rng = self.rng
        tail, head = self.new_node(), self.new_node()
        self.cable(self.any_of(1), tail, heavy=True)
        self.cable(head, self.any_of(0), heavy=True)
        winding: Winding = "series" if rng.random() < 0.5 else "permanent-magnet"
        stalled_ohm, running_a = self.between(0.01, 0.1), 0.0
        inrush_a = 12.0 / stalled_ohm
        running_a = inrush_a * rng.uniform(0.2, 0.4)
        emf_v = 12.0 - running_a * stalled_ohm
        watts = emf_v * running_a
        friction = rng.uniform(0.0, 0.3)
        release_s = rng.uniform(0.06, 0.12)
        return MotorDrive(
            name=f"motor {number}",
            tail=tail,
            head=head,
            ohm=stalled_ohm,
            leakage_henry=self.between(2e-6, 2e-5),
            main_henry=self.between(5e-5, 3e-4),
            eddy_ohm=self.between(0.2, 1.0) if rng.random() < 0.7 else None,
            winding=winding,
            flux_v=emf_v if winding == "permanent-magnet" else 0.0,
            flux_ohm=emf_v / running_a if winding == "series" else 0.0,
            inertia_j=watts * self.between(0.05, 0.2),
            friction_w=watts * friction,
            load_w=watts * (1 - friction),
            ripple_fraction=rng.uniform(0.1, 0.5) if rng.random() < 0.5 else 0.0,
            ripples_per_s_at_speed=rng.uniform(8.0, 40.0),
            arc=Arc(rng.uniform(10.0, 22.0), self.between(5e3, 5e4)),
            press_s=0.03 * number,
            release_s=release_s if number == 0 or motors == 1 else 0.13,
        )
