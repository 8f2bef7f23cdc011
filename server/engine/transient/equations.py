"""The equations of an event's network between two switchings, in loop currents.

Each element left out of the spanning tree closes a loop; with B the loops (rows) over the elements,
Kirchhoff's laws read B v = 0 and i = Bᵀ j. Loop currents j, capacitor voltages v_C, the motors' magnetising
currents i_m and speeds s then obey M x' = -G x + H w (any textbook on state equations of networks). A loop
without inductance carries no state of its own: its row has no M, and is eliminated (Kron reduction). A closed
contact only adds its own loop, an open one takes it away.

Every draw's current is a straight line of its voltage plus an input: ``j = conductance·v + offset_a + u``.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.sparse import csr_array

from server.engine.arrays import Floats, Indices
from server.engine.transient.circuit import MotorDrive
from server.engine.transient.modes import Modes
from server.engine.transient.wiring import Wiring


@dataclass(frozen=True, eq=False)
class Lines:
    """The straight line each live draw (a row) is measured from: ``j = conductance·v + offset_a``."""

    conductance: Floats
    offset_a: Floats


@dataclass(frozen=True, eq=False)
class Outputs:
    """Readings of the state and the inputs: y = C x + D w, and C in the parts of modes."""

    state: Floats
    modal: Floats
    direct: Floats


@dataclass(frozen=True, eq=False)
class Places:
    """Where a closed motor's current, magnetising current (None without one) and speed stand in the state."""

    current: int
    magnetising: int | None
    speed: int


@dataclass(frozen=True, eq=False)
class System:
    """x' = A x + H w for one set of closed contacts.

    The state begins with the loop currents and capacitor voltages of the open network (``base`` of them), in
    the same order for every set. Inputs w: the constant one; the draws' u; then for each closed motor its
    voltage (volts against its current) and the power that holds its speed back; last the supplies' waves.
    """

    wiring: Wiring
    closed: tuple[int, ...]
    base: int
    places: tuple[Places, ...]
    A: Floats
    H: Floats
    size: Floats
    slack_state: Floats
    slack_input: Floats
    loops: csr_array
    dynamic: Indices
    ohm: Floats
    share: Floats
    offset_a: Floats
    capacitor_state: slice

    @cached_property
    def modes(self) -> Modes:
        """Its modes."""
        known = self.wiring.modes
        found = next((one for one in known if one.are_of(self.A, self.size)), None)
        if found is None:
            found = Modes.of(self.A, self.size)
            if self.wiring.like is None:
                known.append(found)
        return found

    @cached_property
    def modal_inputs(self) -> Floats:
        """H in the parts of modes."""
        return self.modes.project(self.H)

    def voltages(self, path: csr_array) -> Outputs:
        """Sums of element voltages: each row of ``path`` weighs the elements."""
        wiring, slack = self.wiring, len(self.slack_state)
        through: Floats = path @ self._ohm_of_loops
        rising: Floats = (path @ self._henry_of_loops)[:, slack:]
        stored = path.toarray()[:, len(wiring.branch) :]
        C = through[:, :slack] @ self.slack_state + rising @ self.A[self.dynamic]
        C[:, self.dynamic] += through[:, slack:]
        C[:, self.capacitor_state] += stored * self.share
        D = through[:, :slack] @ self.slack_input + rising @ self.H[self.dynamic]
        esr = self.ohm[len(wiring.branch) :]
        D[:, 0] -= path @ wiring.emf + stored @ (esr * self.offset_a)
        for number, share in _supplied(wiring):
            D[:, number] -= path @ share
        draws = slice(1, 1 + len(wiring.draw))
        D[:, draws] -= stored[:, wiring.draw_at] * (esr[wiring.draw_at] * wiring.draw_sign)
        return self.outputs(C, D)

    @cached_property
    def _through(self) -> Floats:
        """Which loops go through each element."""
        return np.asarray(self.loops.T.todense(), np.float64)

    @cached_property
    def _ohm_of_loops(self) -> Floats:
        return self.ohm[:, None] * self._through

    @cached_property
    def _henry_of_loops(self) -> Floats:
        return self.wiring.henry[:, None] * self._through

    def currents(self, elements: Indices) -> Outputs:
        """Currents of elements; a capacitor's include those of the draws across it."""
        slack = len(self.slack_state)
        into = self._through[elements]
        C = into[:, :slack] @ self.slack_state
        C[:, self.dynamic] += into[:, slack:]
        return self.outputs(C, into[:, :slack] @ self.slack_input)

    def of_states(self, rows: list[int]) -> Outputs:
        """States themselves."""
        C = np.zeros((len(rows), len(self.A)))
        C[np.arange(len(rows)), rows] = 1.0
        return self.outputs(C, np.zeros((len(rows), self.H.shape[1])))

    def outputs(self, C: Floats, D: Floats) -> Outputs:
        """Readings y = C x + D w."""
        return Outputs(C, C @ self.modes.basis, D)


class Equations:
    """The systems of a circuit, one for each set of closed contacts, made when asked for."""

    def __init__(self, wiring: Wiring, lines: Lines) -> None:
        self.wiring, self.lines = wiring, lines
        self._systems: dict[tuple[int, ...], System] = {}
        circuit, count = wiring.circuit, len(wiring.branch)
        self.farad = circuit.capacitors.farad[wiring.capacitor]
        caps, sign = len(self.farad), wiring.draw_sign
        self.conductance = np.bincount(wiring.draw_at, lines.conductance[:, 0], caps)
        self.offset_a = np.bincount(wiring.draw_at, lines.offset_a[:, 0] * sign, caps).astype(np.float64)
        esr = wiring.ohm[count:]
        self.share = 1 / (1 + esr * self.conductance)
        self.ohm = np.concatenate([wiring.ohm[:count], esr * self.share])
        self.R = wiring.products(self.ohm)

    def system(self, closed: tuple[int, ...]) -> System:
        """The system with some motors' contacts closed (rows of ``wiring.motor``, ascending)."""
        if closed not in self._systems:
            self._systems[closed] = self._assembled(closed)
        return self._systems[closed]

    def full(self, closed: tuple[int, ...]) -> tuple[Floats, Floats, Floats, tuple[Places, ...]]:
        """M, G, H of M z' = -G z + H w with the loops without inductance first, and the motors' places."""
        wiring = self.wiring
        motors = [wiring.circuit.motors[wiring.motor[k]] for k in closed]
        rows = np.concatenate([np.arange(len(wiring.links)), len(wiring.links) + np.array(closed, np.intp)])
        base, caps, draws = len(wiring.links), len(self.farad), len(wiring.draw)
        size = base + caps + sum(2 + _has_eddies(motor) for motor in motors)
        M, G, H = (
            np.zeros((size, size)),
            np.zeros((size, size)),
            np.zeros((size, 1 + draws + 2 * len(closed) + len(wiring.circuit.supplies))),
        )
        places, at = [], base + caps
        for motor in motors:
            eddies = _has_eddies(motor)
            places.append(Places(at, at + 1 if eddies else None, at + 1 + eddies))
            at += 2 + eddies
        loop = np.concatenate([np.arange(base), np.array([place.current for place in places], np.intp)])
        cap = slice(base, base + caps)
        M[np.ix_(loop, loop)] = wiring.loop_henry[np.ix_(rows, rows)]
        G[np.ix_(loop, loop)] = self.R[np.ix_(rows, rows)]
        stored = wiring.stored[rows]
        G[loop, cap], G[cap, loop] = stored * self.share, -(stored * self.share).T
        M[cap, cap], G[cap, cap] = np.diag(self.farad), np.diag(self.conductance * self.share)
        esr = self.ohm[len(wiring.branch) :]
        H[loop, 0] = (wiring.loops @ wiring.emf)[rows] + stored @ (esr * self.offset_a)
        H[cap, 0] = -self.share * self.offset_a
        for number, share in _supplied(wiring):
            H[loop, number] = (wiring.loops @ share)[rows]
        across, sign = wiring.draw_at, wiring.draw_sign
        H[loop, 1 : 1 + draws] = stored[:, across] * (esr[across] * sign)
        H[base + across, 1 + np.arange(draws)] = -self.share[across] * sign
        for number, (motor, place) in enumerate(zip(motors, places, strict=True)):
            _stamp_motor(M, G, motor, place)
            H[place.current, 1 + draws + 2 * number] = -1.0
            H[place.speed, 2 + draws + 2 * number] = -1.0
        return M, G, H, tuple(places)

    def _assembled(self, closed: tuple[int, ...]) -> System:
        wiring = self.wiring
        M, G, H, places = self.full(closed)
        slack, base = wiring.slack, len(wiring.links) + len(self.farad)
        slack_state, slack_input = np.zeros((0, len(G) - slack)), np.zeros((0, H.shape[1]))
        if slack:
            factor = cho_factor(G[:slack, :slack])
            slack_state = -cho_solve(factor, G[:slack, slack:])
            slack_input = cho_solve(factor, H[:slack])
        reduced = G[slack:, slack:] + G[slack:, :slack] @ slack_state
        forced = H[slack:] - G[slack:, :slack] @ slack_input
        mass = M[slack:, slack:]
        answers = cho_solve(cho_factor(mass), np.hstack([reduced, forced]), overwrite_b=True)
        dynamic = [*range(len(wiring.links) - slack), *(place.current - slack for place in places)]
        loops = [*range(len(wiring.links)), *(len(wiring.links) + k for k in closed)]
        return System(
            wiring=wiring,
            closed=closed,
            base=base - slack,
            places=tuple(_moved(place, slack) for place in places),
            A=-answers[:, : len(reduced)],
            H=answers[:, len(reduced) :],
            size=np.sqrt(np.diag(mass)),
            slack_state=slack_state,
            slack_input=slack_input,
            loops=csr_array(wiring.loops[loops]),
            dynamic=np.array(dynamic, np.intp),
            ohm=self.ohm,
            share=self.share,
            offset_a=self.offset_a,
            capacitor_state=slice(len(wiring.links) - slack, base - slack),
        )


def _supplied(wiring: Wiring) -> Iterator[tuple[int, Floats]]:
    """The input of each supply, counted from the last, and the share of it in the EMF of every element."""
    supplies, branches = wiring.circuit.supplies, len(wiring.circuit.branches)
    for number, one in enumerate(supplies, -len(supplies)):
        share = one.shares(branches)[wiring.branch]
        yield number, np.concatenate([share, np.zeros(len(wiring.capacitor))])


def _has_eddies(motor: MotorDrive) -> bool:
    """Whether the main inductance has an eddy path beside it, and so a current of its own."""
    return motor.eddy_ohm is not None and motor.main_henry > 0


def _stamp_motor(M: Floats, G: Floats, motor: MotorDrive, place: Places) -> None:
    """A motor's own parts; a permanent-magnet motor's speed stands like a capacitor behind its flux."""
    i, s = place.current, place.speed
    G[i, i] += motor.ohm
    M[i, i] += motor.leakage_henry
    if place.magnetising is None:
        M[i, i] += motor.main_henry if motor.eddy_ohm is None else 0.0
    else:
        m, eddy_ohm = place.magnetising, motor.eddy_ohm or 0.0
        M[m, m] = motor.main_henry
        G[[i, m], [i, m]] += eddy_ohm
        G[[i, m], [m, i]] -= eddy_ohm
    M[s, s], G[s, s] = motor.inertia_j, motor.friction_w
    if motor.winding == "permanent-magnet":
        G[i, s], G[s, i] = motor.flux_v, -motor.flux_v


def _moved(place: Places, slack: int) -> Places:
    magnetising = None if place.magnetising is None else place.magnetising - slack
    return Places(place.current - slack, magnetising, place.speed - slack)
