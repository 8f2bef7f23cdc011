"""Where the energy of an event goes, from its waveforms: sources = losses + stored + mechanical."""

import math
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator

from server.engine.arrays import Floats
from server.engine.transient.segment import Motion, Segment
from server.engine.transient.solution import TransientSolution

NODES, WEIGHTS = np.polynomial.legendre.leggauss(5)


@dataclass(frozen=True, eq=False)
class Balance:
    """Joules of one segment; ``missing_j`` is what does not add up."""

    sources_j: float
    missing_j: float


def balance(solution: TransientSolution, segment: Segment) -> Balance:
    """Integrate every element's power over a segment, and take the change of what is stored."""
    time, weight = _quadrature(solution, segment)
    state = _State(solution, segment, time)
    ends = _State(solution, segment, np.array([segment.start_s, segment.end_s]))
    given = state.given_w() @ weight
    taken = state.taken_w() @ weight
    stored = np.diff(ends.stored_j())[0]
    return Balance(float(given), float(given - taken - stored))


def speed_balance(solution: TransientSolution, segment: Segment) -> float:
    """What the worst motor's own motion misses of its energy: a share of what it was given."""
    time, weight = _quadrature(solution, segment)
    missing = 0.0
    state = _State(solution, segment, time)
    ends = _State(solution, segment, np.array([segment.start_s, segment.end_s]))
    for number, motor in enumerate(state.motors):
        s = state.motor(number)[1]
        angle = PchipInterpolator(time, s).antiderivative()(time)
        ripple = motor.ripple_fraction * np.sin(2 * math.pi * motor.ripples_per_s_at_speed * angle)
        spare = state.driving(number) * s - motor.friction_w * s**2 - motor.load_w * (1 + ripple) * s
        kinetic = motor.inertia_j * ends.motor(number)[1] ** 2 / 2
        given = float(state.driving(number) * s @ weight)
        missing = max(missing, abs(float(spare @ weight - np.diff(kinetic)[0])) / (given + 1e-9))
    return missing


def _quadrature(solution: TransientSolution, segment: Segment) -> tuple[Floats, Floats]:
    """Gauss points and weights on a grid fine enough for every node's voltage, and on every piece's own."""
    wiring = segment.system.wiring
    nodes = np.flatnonzero(wiring.fed_piece == wiring.fed_piece[0])
    path = wiring.paths(nodes, np.zeros_like(nodes))
    grid = segment.grid(segment.system.voltages(path), 0.05)
    if isinstance(segment, Motion):
        grid = np.union1d(grid, segment.starts)
        grid = grid[np.append(np.diff(grid) > 1e-12, True)]
    middle, half = (grid[1:] + grid[:-1]) / 2, (grid[1:] - grid[:-1]) / 2
    time = (middle[:, None] + half[:, None] * NODES).ravel()
    return time, (half[:, None] * WEIGHTS).ravel()


class _State:
    def __init__(self, solution: TransientSolution, segment: Segment, time: Floats) -> None:
        self.solution, self.segment, self.time = solution, segment, time
        self.system, self.wiring = segment.system, segment.system.wiring
        self.circuit = self.wiring.circuit
        self.motors = [self.circuit.motors[self.wiring.motor[k]] for k in self.system.closed]

    def read(self, rows: list[int]) -> Floats:
        values: Floats = self.segment.values(self.system.of_states(rows), self.time)
        return values

    def motor(self, number: int) -> tuple[Floats, Floats, Floats]:
        """Current, speed and magnetising current."""
        place = self.system.places[number]
        magnetising = place.current if place.magnetising is None else place.magnetising
        i, s, m = self.read([place.current, place.speed, magnetising])
        return i, s, m

    def driving(self, number: int) -> Floats:
        """Flux times current."""
        motor, i = self.motors[number], self.motor(number)[0]
        flux = motor.flux_ohm * i if motor.winding == "series" else np.full_like(i, motor.flux_v)
        driving: Floats = flux * i
        return driving

    def currents(self) -> Floats:
        elements = np.arange(len(self.wiring.tail))
        return self.segment.values(self.system.currents(elements), self.time)

    def draws(self) -> tuple[Floats, Floats]:
        """Volts and amperes of the draws by their own law."""
        loads, rows = self.circuit.draws, self.wiring.draw
        pairs = [(int(loads.tail[row]), int(loads.head[row])) for row in rows]
        tail, head = np.array(pairs, np.intp).reshape(-1, 2).T
        v = self.segment.values(self.system.voltages(self.wiring.paths(tail, head)), self.time)
        amount, knee = loads.amount[rows][:, None], loads.cut_out_v[rows][:, None]
        power = loads.is_power[rows][:, None] > 0
        below = amount / np.where(power, knee**2, knee) * v
        return v, np.where(v < knee, below, amount / np.where(power, v, 1.0))

    def given_w(self) -> Floats:
        """The sources' power."""
        given: Floats = self.wiring.emf @ self.currents()
        return given

    def taken_w(self) -> Floats:
        """What resistances, draws, shafts and arcs take."""
        count, current = len(self.wiring.branch), self.currents()
        v, j = self.draws()
        own = current[count:].copy()
        np.subtract.at(own, self.wiring.draw_at, self.wiring.draw_sign[:, None] * j)
        ohm = self.wiring.ohm[:, None]
        taken: Floats = (
            (ohm[:count] * current[:count] ** 2).sum(0) + (ohm[count:] * own**2).sum(0) + (v * j).sum(0)
        )
        for number, motor in enumerate(self.motors):
            i, s, m = self.motor(number)
            taken = (
                taken + motor.ohm * i**2 + (motor.eddy_ohm or 0.0) * (i - m) ** 2 + self.driving(number) * s
            )
            if motor.release_s <= self.segment.start_s:
                arc = motor.arc
                taken = taken + np.abs(i) * (arc.volts + arc.slope_v_per_s * (self.time - motor.release_s))
        return taken

    def stored_j(self) -> Floats:
        """What inductances and capacitances hold."""
        current = self.currents()
        stored: Floats = (self.wiring.henry[:, None] * current**2).sum(0) / 2
        farad = self.circuit.capacitors.farad[self.wiring.capacitor]
        held = self.read(list(range(self.system.capacitor_state.start, self.system.capacitor_state.stop)))
        stored = stored + (farad[:, None] * held**2).sum(0) / 2
        for number, motor in enumerate(self.motors):
            i, _, m = self.motor(number)
            stored = stored + motor.leakage_henry * i**2 / 2 + motor.main_henry * m**2 / 2
        return stored
