"""What a coil does when it is let go: the kick across it, by what lies beside it, and how long it takes.

The coil's current finds no way but through its suppression: a resistor takes it as i·R, a diode or a varistor
holds it at a steady voltage. Then ``L di/dt + R i = -v``, solved for the time in which the current falls to a
share (any textbook: R-L circuit). Without suppression the gap of the opening contact sets the kick, and
nothing here can tell how high: hundreds to thousands of volts (relay makers' application notes).
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.devices import Coil, Suppression
from server.boat.parts import Contact, Load
from server.boat.value import nominal
from server.engine.answer import Band
from server.engine.figures import Figures, Level
from server.units import Ampere, Ohm, Second, Volt

DIODE_V: Volt = 0.7
"""A diode across a coil (bench measurement on a 12 V relay of 120 Ω)."""
GONE = 0.1
"""Share of its current below which a coil has let go (assumption: relays let go at 5 to 50 %)."""


@dataclass(frozen=True, slots=True)
class CoilRelease:
    """A coil that is let go, at its rated voltage; None where nothing that is known limits the kick.

    ``falls_s`` is the time in which its current falls to ``GONE``.
    """

    part: str
    current_a: Ampere
    suppression: str | None
    kick_v: Volt | None
    falls_s: Band | None


def coil_releases(boat: Boat) -> tuple[CoilRelease, ...]:
    """Every coil of a boat, in document order."""
    figures = Figures.of(boat)
    return tuple(_released(part, coil, figures) for part, coil in _coils(boat))


def _coils(boat: Boat) -> Iterator[tuple[str, Coil]]:
    for part in boat.parts:
        if isinstance(part, Contact) and part.coil is not None:
            yield part.id, part.coil
        elif isinstance(part, Load):
            yield from ((part.id, one.demand) for one in part.inputs if isinstance(one.demand, Coil))


def _released(part: str, coil: Coil, figures: Figures) -> CoilRelease:
    amps = nominal(coil.current_a)
    ohm = coil.rated_voltage_v / amps
    beside = None if coil.suppression is None or coil.suppression.kind == "none" else coil.suppression
    kick = None if beside is None else kick_v(amps, beside)
    falls = None
    if beside is not None and kick is not None:
        henry = _henry(part, coil, ohm, figures)
        held = beside.resistance_ohm if beside.kind == "resistor" else None
        falls = Band(*(falling_s(amps, ohm, one, kick, held) for one in (henry.low, henry.value, henry.high)))
    return CoilRelease(part, amps, None if beside is None else beside.kind, kick, falls)


def _henry(part: str, coil: Coil, ohm: Ohm, figures: Figures) -> Level:
    if coil.inductance_h is not None:
        return figures.given(coil.inductance_h, part, "coil inductance")
    return figures.level("coil_inductance_time", part).scaled(ohm)


def kick_v(amps: Ampere, beside: Suppression) -> Volt | None:
    """The kick across a coil; None where the figure of its suppression is not stated."""
    match beside.kind:
        case "diode":
            return DIODE_V
        case "resistor":
            return None if beside.resistance_ohm is None else amps * beside.resistance_ohm
        case "diode-and-zener":
            return None if beside.clamp_v is None else beside.clamp_v + DIODE_V
        case _:
            return beside.clamp_v


def falling_s(amps: Ampere, ohm: Ohm, henry: float, kick: Volt, beside_ohm: Ohm | None) -> Second:
    """How long a coil's current takes to fall to ``GONE``: into a resistor, else against a steady kick.

    >>> round(falling_s(1.0, 10.0, 0.1, 90.0, 90.0) * 1e3, 3)  # 0.1 H / 100 Ohm x ln 10
    2.303
    """
    if beside_ohm is not None:
        return henry / (ohm + beside_ohm) * math.log(1 / GONE)
    steady = kick / ohm
    return henry / ohm * math.log((amps + steady) / (GONE * amps + steady))
