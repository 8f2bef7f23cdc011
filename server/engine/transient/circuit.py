"""The circuit of an event in time: made from a boat, solved here, written as a deck for a simulator.

A branch obeys ``v_tail - v_head + emf = R i + L di/dt``. A battery's tail is its negative post.
Electronics are draws across capacitors: a draw behind an inductive lead without a capacitor has no solution.
"""

from dataclasses import dataclass, field
from typing import ClassVar, Literal

import numpy as np

from server.engine.arrays import Flags, Floats, Indices
from server.engine.network import Elements, Loads
from server.engine.transient.supply import Supply
from server.engine.transient.switched import Arc, Switched
from server.units import Ampere, Ohm, Ratio, Second, Volt, Watt

__all__ = ["Arc", "Branches", "Capacitors", "MotorDrive", "TransientCircuit", "TransientError", "Winding"]

Winding = Literal["series", "permanent-magnet"]


@dataclass(frozen=True, eq=False)
class Branches(Elements):
    """Conductors, devices, batteries, resistive loads: resistance, inductance and EMF in series."""

    FIGURES: ClassVar[tuple[str, ...]] = ("ohm", "henry", "emf_v")

    ohm: Floats
    henry: Floats
    emf_v: Floats


@dataclass(frozen=True, eq=False)
class Capacitors(Elements):
    """Input capacitances of loads, each behind its own series resistance."""

    FIGURES: ClassVar[tuple[str, ...]] = ("farad", "ohm")

    farad: Floats
    ohm: Floats


@dataclass(frozen=True, slots=True)
class MotorDrive:
    """A motor behind its own contact; ``tail`` is the supply side of the contact.

    In series: the closed contact and the winding (together ``ohm``), the leakage inductance, and the
    winding's main inductance beside its eddy path (``eddy_ohm``; none where it is None).
    Speed ``s`` is a share of the speed at the stated running point, so that mechanical figures are electrical
    ones: back-EMF ``e = flux·s``, with ``flux`` = ``flux_v`` for a permanent-magnet motor and
    ``flux_ohm·i / (1 + |i| / saturation_a)`` for a series-wound one (Froelich's law; where ``saturation_a``
    is None the iron does not saturate); ``inertia_j ds/dt = flux·i - friction_w·s - load_w·(1 + ripple)`` for
    s > 0, where ``ripple = ripple_fraction·sin(2π·ripples_per_s_at_speed·∫s dt)``; at rest the load holds
    like a brake.
    A motor pressed again is one drive for each press: ``continues`` is the number of the earlier one, which
    has the same constants, and whose speed it takes over as it coasts.
    With the figures that have a default left out, nothing turns: a resistance behind a contact.
    """

    name: str
    tail: int
    head: int
    ohm: Ohm
    leakage_henry: float
    arc: Arc
    press_s: Second
    release_s: Second
    main_henry: float = 0.0
    eddy_ohm: Ohm | None = None
    winding: Winding = "permanent-magnet"
    flux_v: Volt = 0.0
    flux_ohm: Ohm = 0.0
    inertia_j: float = 1.0
    friction_w: Watt = 0.0
    load_w: Watt = 0.0
    ripple_fraction: float = 0.0
    ripples_per_s_at_speed: float = 0.0
    saturation_a: Ampere | None = None
    continues: int | None = None


@dataclass(frozen=True, slots=True)
class Conversion:
    """A converter: ``draw`` takes what ``source`` gives through ``switch`` over its efficiency, and idling.

    ``output`` is a draw of nothing across the output's capacitor; ``source`` and ``switch`` are branches, one
    behind the other.
    """

    draw: int
    output: int
    source: int
    switch: int
    efficiency: Ratio
    idle_w: Watt


@dataclass(frozen=True, eq=False)
class TransientCircuit:
    """The elements of one mode, the motors that are pressed in it, and how long to look.

    ``branch_element`` names for every branch the row of the steady network it stands for, -1 for none.
    ``switched`` are the parts that change their state on the way; the branches are in their first ones.
    ``supplies`` move the EMF of some branches from what it is at first.
    """

    nodes: int
    branches: Branches
    capacitors: Capacitors
    draws: Loads
    motors: tuple[MotorDrive, ...]
    end_s: Second
    branch_element: Indices = field(default_factory=lambda: np.zeros(0, np.intp))
    switched: tuple[Switched, ...] = ()
    supplies: tuple[Supply, ...] = ()
    converters: tuple[Conversion, ...] = ()

    @property
    def idle(self) -> Flags:
        """Which branches stay open throughout: those of parts that stand open and never move."""
        found = np.zeros(len(self.branches), bool)
        for one in self.switched:
            if not one.moves:
                found[list(one.open_rows(one.start))] = True
        return found

    @property
    def may_close(self) -> Flags:
        """Which branches are closed before anything happens, or may come in."""
        found = ~self.open_at_first
        for one in self.switched:
            if one.moves:
                found[list(one.closable_rows)] = True
        return found

    @property
    def open_at_first(self) -> Flags:
        """Which branches are open before anything happens."""
        found = np.zeros(len(self.branches), bool)
        for one in self.switched:
            found[list(one.open_rows(one.start))] = True
        return found


class TransientError(ValueError):
    """A piece of the model that cannot be solved; the message says which and why."""
