"""What is asked where a device restarts as the engine starts: the big copper, the device, four readings."""

from dataclasses import dataclass
from typing import Literal

from server.practice.batteries import Chemistry
from server.units import Ampere, AmpereHour, Metre, Volt, Watt

EngineSize = Literal["small", "medium", "large", "petrol", "outboard"]
"""Diesels by their size; a petrol inboard; an outboard, by far most of which burn petrol."""
Supply = Literal["battery", "switch", "starter", "panel", "house"]
"""Where a positive lead lies; ``switch`` is its output, ``house`` a bank of its own."""
Return = Literal["battery", "bar", "engine"]
"""Where a negative lead lies."""


@dataclass(frozen=True)
class CableSeen:
    """One cable as far as it was seen: its printed size and its length."""

    size: str | None = None
    length_m: Metre | None = None


@dataclass(frozen=True)
class Readings:
    """What a meter showed while the engine cranked: volts, and amperes where a clamp was at hand."""

    battery_v: Volt | None = None
    positive_v: Volt | None = None
    negative_v: Volt | None = None
    device_v: Volt | None = None
    current_a: Ampere | None = None


@dataclass(frozen=True)
class Complaint:
    """The answers; None is what nobody knows yet."""

    name: str
    nominal_voltage_v: Volt = 12.0
    chemistry: Chemistry = "flooded"
    capacity_ah: AmpereHour | None = None
    cranking_a: Ampere | None = None
    rest_v: Volt | None = None
    fuse_a: Ampere | None = None
    has_switch: bool = True
    plus: CableSeen = CableSeen()
    feed: CableSeen = CableSeen()
    engine: EngineSize = "small"
    starter_a: Ampere | None = None
    has_bar: bool = True
    minus: CableSeen = CableSeen()
    strap: CableSeen = CableSeen()
    alternator_a: Ampere | None = None
    alternator_at: Supply = "starter"
    windlass_a: Ampere | None = None
    windlass: CableSeen = CableSeen()
    has_panel: bool = False
    panel: CableSeen = CableSeen()
    device: str = "Plotter"
    device_w: Watt | None = None
    needs_v: Volt | None = None
    device_plus: Supply = "switch"
    device_minus: Return = "engine"
    device_fuse_a: Ampere | None = None
    leads: CableSeen = CableSeen()
    rest_a: Ampere | None = None
    readings: Readings = Readings()
