"""Small circuits of events with closed forms: a battery, a lead, a motor, perhaps electronics."""

from dataclasses import replace

from server.engine.network import Loads
from server.engine.transient.circuit import Arc, Branches, Capacitors, MotorDrive, TransientCircuit

MOTOR = MotorDrive(
    name="Winch",
    tail=2,
    head=0,
    ohm=0.02,
    leakage_henry=20e-6,
    main_henry=0.0,
    eddy_ohm=None,
    winding="permanent-magnet",
    flux_v=0.0,
    flux_ohm=0.0,
    inertia_j=100.0,
    friction_w=0.0,
    load_w=0.0,
    ripple_fraction=0.0,
    ripples_per_s_at_speed=0.0,
    arc=Arc(18.0, 0.0),
    press_s=0.0,
    release_s=0.5,
)
"""Without flux: a resistance of 20 mΩ and 20 µH in series."""

SERIES = replace(
    MOTOR,
    winding="series",
    ohm=0.0058,
    leakage_henry=4.2e-6,
    main_henry=144e-6,
    eddy_ohm=0.51,
    flux_ohm=0.06,
    inertia_j=60.0,
    friction_w=50.0,
    load_w=400.0,
)
BATTERY = (0.0, 1.0, 0.01, 1e-6, 12.0)
LEAD = (1.0, 2.0, 0.01, 9e-6, 0.0)
"""Battery and lead together: 12 V, 20 mΩ, 10 µH from node 0 to node 2."""


def circuit(
    *motors: MotorDrive,
    branches: tuple[tuple[float, ...], ...] = (BATTERY, LEAD),
    capacitors: tuple[tuple[float, ...], ...] = (),
    draws: tuple[tuple[float, ...], ...] = (),
    nodes: int = 5,
    end_s: float = 1.0,
) -> TransientCircuit:
    """Rows: branches (ohm, henry, emf), capacitors (farad, ohm), draws (amount, is power, cut-out)."""
    return TransientCircuit(
        nodes, Branches.of(branches), Capacitors.of(capacitors), Loads.of(draws), motors, end_s
    )
