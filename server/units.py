"""Quantities as types, and the exact conversions between the units people use.

The document stores volts, amperes, ohms, metres, square millimetres and degrees Celsius.
An alias adds a unit to a plain ``float``; nothing is wrapped.
"""

from dataclasses import dataclass
from typing import Annotated


@dataclass(frozen=True, slots=True)
class Unit:
    """The symbol of a unit, carried in a type."""

    symbol: str


Volt = Annotated[float, Unit("V")]
Ampere = Annotated[float, Unit("A")]
Ohm = Annotated[float, Unit("Ω")]
Watt = Annotated[float, Unit("W")]
Metre = Annotated[float, Unit("m")]
SquareMetre = Annotated[float, Unit("m²")]
SquareMillimetre = Annotated[float, Unit("mm²")]
OhmPerMetre = Annotated[float, Unit("Ω/m")]
OhmMetre = Annotated[float, Unit("Ω·m")]
Celsius = Annotated[float, Unit("°C")]
PerKelvin = Annotated[float, Unit("1/K")]
Second = Annotated[float, Unit("s")]
Hour = Annotated[float, Unit("h")]
AmpereHour = Annotated[float, Unit("Ah")]
Farad = Annotated[float, Unit("F")]
Henry = Annotated[float, Unit("H")]
Ratio = Annotated[float, Unit("1")]

METRES_PER_FOOT = 0.3048
METRES_PER_INCH = 0.0254
MM2_PER_CIRCULAR_MIL = 5.067074790974977e-4
"""π/4 · (25.4e-3 mm)²: the area of a circle one thousandth of an inch across."""


def feet(length: Metre) -> float:
    """Metres as international feet.

    >>> feet(3.048)
    10.0
    """
    return length / METRES_PER_FOOT


def metres(length_ft: float) -> Metre:
    """International feet as metres.

    >>> metres(10.0)
    3.048
    """
    return length_ft * METRES_PER_FOOT


def circular_mils(area: SquareMillimetre) -> float:
    """Square millimetres as circular mils.

    >>> round(circular_mils(107.2193))
    211600
    """
    return area / MM2_PER_CIRCULAR_MIL


def square_millimetres(area_cmil: float) -> SquareMillimetre:
    """Circular mils as square millimetres.

    >>> round(square_millimetres(211600), 4)
    107.2193
    """
    return area_cmil * MM2_PER_CIRCULAR_MIL


def fahrenheit(temperature: Celsius) -> float:
    """Degrees Celsius as degrees Fahrenheit.

    >>> fahrenheit(30.0)
    86.0
    """
    return temperature * 9 / 5 + 32
