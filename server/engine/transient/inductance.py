"""Inductance of cables from their geometry.

The external part is that of two parallel round wires, μ₀/π · acosh(D/d) a metre of run, or of one wire over a
conducting plane, μ₀/2π · acosh(2h/d); the field inside a wire adds μ₀/8π each. Formulas: Rosa, Bulletin of
the Bureau of Standards 4, 1908; Grover; Terman (from memory). Good where the current fills the section and
the run is much longer than the spacing. A conductor of a pair counts for half of the loop.
"""

import math

from server.units import Metre, SquareMillimetre

VACUUM_HENRY_PER_M = 4e-7 * math.pi
INSIDE_HENRY_PER_M = VACUUM_HENRY_PER_M / (8 * math.pi)
"""What the field inside one round wire adds at direct current."""

COPPER_FILL = 0.75
"""Share of copper in the circle around the strands (common practice, no source)."""
THINNEST_WALL_M: Metre = 0.5e-3
WALL_PER_DIAMETER = 0.18
"""Insulation of boat cable: 0.5 mm and 18 % of the copper's diameter (fitted to typical outside diameters,
3.6 mm at 2.5 mm² to 15.5 mm at 70 mm²; from memory)."""


def strand_diameter(area_mm2: SquareMillimetre) -> Metre:
    """Diameter over the strands of a stranded conductor, √(4 A / (π · fill)).

    >>> round(strand_diameter(16.0) * 1000, 1)
    5.2
    """
    return math.sqrt(4 * area_mm2 * 1e-6 / (math.pi * COPPER_FILL))


def touching_spacing(diameter_m: Metre) -> Metre:
    """Distance between the centres of two insulated conductors that touch."""
    return diameter_m + 2 * (THINNEST_WALL_M + WALL_PER_DIAMETER * diameter_m)


def pair_henry_per_m(diameter_m: Metre, spacing_m: Metre) -> float:
    """Inductance of a metre of run, there and back, of two parallel wires.

    Raises:
        ValueError: the wires would overlap.

    >>> round(pair_henry_per_m(0.0051, 0.100) * 1e6, 2)
    1.57
    """
    if spacing_m < diameter_m:
        raise ValueError("two wires cannot be closer than their diameter")
    outside = VACUUM_HENRY_PER_M / math.pi * math.acosh(spacing_m / diameter_m)
    return outside + 2 * INSIDE_HENRY_PER_M


def over_plane_henry_per_m(diameter_m: Metre, height_m: Metre) -> float:
    """Inductance of a metre of one wire whose current returns in a conducting plane below it.

    Raises:
        ValueError: the wire would lie in the plane.

    >>> round(over_plane_henry_per_m(0.0078, 0.050) * 1e6, 2)
    0.7
    """
    if 2 * height_m < diameter_m:
        raise ValueError("a wire cannot be lower than half its diameter")
    outside = VACUUM_HENRY_PER_M / (2 * math.pi) * math.acosh(2 * height_m / diameter_m)
    return outside + INSIDE_HENRY_PER_M


def twin_henry_per_m(area_mm2: SquareMillimetre) -> float:
    """Inductance of a metre of one core of a twin cable: half of the touching pair."""
    diameter_m = strand_diameter(area_mm2)
    return pair_henry_per_m(diameter_m, touching_spacing(diameter_m)) / 2
