"""A deck written by hand: named nodes, the formulas and default figures that a description calls for.

Nothing here comes from the code that turns a boat into a network. The figures are typed from the tables:

* conductors: ohms per metre at 20 °C as the boat's description states them; the test holds them against
  NEC chapter 9 table 8 (coated copper, 75 °C), brought to 20 °C as in FAA AC 43.13-1B par. 11-66;
* temperatures, joints, fuses, breakers, contacts, battery factors: the defaults of
  ``server/practice/data/assumptions.csv`` (common practice, no source), typed anew;
* rest voltages: the table of ``battery_rest_voltage.csv``, the straight line between two points by hand.
"""

import math
from dataclasses import dataclass, field

import numpy as np

OHM_PER_M_AT_20_C = {
    "2/0": 0.0002725,
    "2": 0.0005423,
    "4": 0.000866,
    "6": 0.001376,
    "8": 0.002183,
    "10": 0.00348,
    "12": 0.005531,
    "14": 0.008795,
    "16": 0.01427,
}
NEC_TABLE_8_COATED_OHM_PER_KFT_AT_75_C = {
    "2/0": 0.101,
    "2": 0.201,
    "4": 0.321,
    "6": 0.510,
    "8": 0.809,
    "10": 1.29,
    "12": 2.05,
    "14": 3.26,
    "16": 5.29,
}
LARGE_RING_OHM = 0.00005
SMALL_RING_OHM = 0.00025
"""Conductors of up to 6 mm²: 10 AWG (5.26 mm²) and thinner."""
BLOCK_RING_OHM = 0.00015
BATTERY_SWITCH_OHM = 0.0002
FUSE_V, BLADE_FUSE_V, BREAKER_V = 0.10, 0.12, 0.15
"""Drop at the rating; a device's resistance is this over its rating."""
SMALL = frozenset({"10", "12", "14", "16"})
CABIN_C, ENGINE_SPACE_C = 40.0, 60.0
CUT_OUT_V = 0.75 * 12.0
"""Below this a load of constant power or current is taken as the resistance it has there."""


def ring(gauge: str) -> float:
    """One crimped ring terminal on a stud."""
    return SMALL_RING_OHM if gauge in SMALL else LARGE_RING_OHM


def wire(gauge: str, metres: float, temperature_c: float = CABIN_C) -> float:
    """The copper of one conductor, without its ends."""
    return OHM_PER_M_AT_20_C[gauge] * metres * (234.5 + temperature_c) / (234.5 + 20.0)


def lead(gauge: str, metres: float) -> float:
    """One conductor outside the engine space with a ring at each end."""
    return wire(gauge, metres) + 2 * ring(gauge)


def colder_and_older(temperature_c: float, age: float) -> float:
    """Factor on a lead-acid battery's resistance at 25 °C when new: exp(0.012 (25 - θ)) · age factor."""
    return math.exp(0.012 * (25.0 - temperature_c)) * age


@dataclass
class HandDeck:
    """The lines of a deck over named nodes."""

    title: str
    lines: list[str] = field(default_factory=list)
    nodes: dict[str, int] = field(default_factory=dict)
    loads: dict[str, tuple[int, int]] = field(default_factory=dict)

    def node(self, name: str) -> int:
        """The number of a node."""
        return self.nodes.setdefault(name, len(self.nodes))

    def resistor(self, a: str, b: str, ohm: float) -> None:
        """Anything that is only a resistance."""
        self.lines.append(f"R{len(self.lines)} n{self.node(a)} n{self.node(b)} {ohm:.17g} ; {a} to {b}")

    def battery(self, negative: str, positive: str, volts: float, ohm: float) -> None:
        """A rest voltage behind a resistance."""
        inner = f"{positive} inside"
        self.resistor(inner, positive, ohm)
        self.lines.append(f"V{len(self.lines)} n{self.node(inner)} n{self.node(negative)} {volts:.17g}")

    def power(self, name: str, plus: str, minus: str, watts: float) -> None:
        """Electronics of constant power."""
        self._load(name, plus, minus, f"{watts:.17g}/V", watts / CUT_OUT_V**2)

    def current(self, name: str, plus: str, minus: str, amperes: float) -> None:
        """A running motor, taken as constant current."""
        self._load(name, plus, minus, f"{amperes:.17g}", amperes / CUT_OUT_V)

    def resistance(self, name: str, plus: str, minus: str, ohm: float) -> None:
        """A load that is a resistance, such as a motor at standstill."""
        self.loads[name] = (self.node(plus), self.node(minus))
        self.resistor(plus, minus, ohm)

    def _load(self, name: str, plus: str, minus: str, running: str, below_s: float) -> None:
        self.loads[name] = (a, b) = (self.node(plus), self.node(minus))
        volts = f"V(n{a},n{b})"
        law = f"{volts} > {CUT_OUT_V} ? {running.replace('V', f'max({volts},1e-3)')} : {below_s:.17g}*{volts}"
        self.lines.append(f"B{len(self.lines)} n{a} n{b} I={law} ; {name}")

    def text(self, ground: str) -> str:
        """The deck, tied to the simulator's ground at one node."""
        options = ".options reltol=1e-10 abstol=1e-12 vntol=1e-10 gmin=1e-18 itl1=2000"
        tie = f"Vground n{self.node(ground)} 0 0"
        return "\n".join([f"* {self.title}", options, tie, *self.lines, ".op", ".end", ""])

    def load_v(self, node_v: np.ndarray) -> dict[str, float]:
        """The voltage of each load."""
        return {name: float(node_v[a] - node_v[b]) for name, (a, b) in self.loads.items()}
