"""Figures as people read them: rounded by what is known, with their unit."""

from collections.abc import Collection
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from server.engine.answer import Band

NONE = "–"


def sag_volts(value: float | None) -> str:
    """Volts during an event, to 0.1 V.

    >>> sag_volts(7.08), sag_volts(None)
    ('7.1 V', '–')
    """
    return NONE if value is None else f"{_plain(value, 1)} V"


def volts(value: float | None) -> str:
    """Steady volts, to 0.01 V."""
    return NONE if value is None else f"{_plain(value, 2)} V"


def band_volts(band: "Band | None") -> str:
    """A band of volts during an event, to 0.1 V.

    >>> from types import SimpleNamespace
    >>> band_volts(SimpleNamespace(low=6.8, value=7.1, high=7.4))
    '6.8 to 7.4 V'
    """
    if band is None:
        return NONE
    low, high = _plain(band.low, 1), _plain(band.high, 1)
    return f"{low} V" if low == high else f"{low} to {high} V"


def amperes(value: float | None) -> str:
    """Amperes: three digits at most."""
    if value is None:
        return NONE
    return f"{_plain(value, 0 if abs(value) >= 100 else 1)} A"  # noqa: PLR2004 - from here on tenths say nothing


def per_cent(fraction: float | None) -> str:
    """A fraction as per cent, to 0.1 %."""
    return NONE if fraction is None else f"{_plain(fraction * 100, 1)} %"


def metres(value: float | None) -> str:
    """A length, to 0.1 m."""
    return NONE if value is None else f"{_plain(value, 1)} m"


def milliohms(value: float | None) -> str:
    """A resistance in milliohms, to 0.1 mΩ."""
    return NONE if value is None else f"{_plain(value * 1000, 1)} mΩ"


def assumed(value: float, unit: str) -> str:
    """An assumed figure as it was written down, small resistances in milliohms.

    >>> assumed(5e-05, "Ω"), assumed(0.5, "V"), assumed(1.2, "1")
    ('0.05 mΩ', '0.5 V', '1.2')
    """
    if unit == "Ω" and 0 < abs(value) < _MILLI_BELOW:
        return f"{value * 1000:.6g} mΩ"
    return f"{value:.6g} {'' if unit == '1' else unit}".rstrip()


_MILLI_BELOW = 0.1
"""Figures below this read better with a prefix, resistances in milliohms."""


def plain_number(value: float) -> str:
    """A number to be edited, never in powers of ten.

    >>> plain_number(5e-05), plain_number(20.0)
    ('0.00005', '20')
    """
    return f"{value:.9f}".rstrip("0").rstrip(".")


def exact(value: float | None, unit: str) -> str:
    """Six digits, more than what was entered can bear, for “how got”; three with a prefix where it is small.

    >>> exact(12.3456, "V"), exact(0.0137189, "Ω"), exact(4e-06, "H"), exact(0.55, "1"), exact(-0.02, "V")
    ('12.3456 V', '13.7 mΩ', '4 µH', '0.55', '−20 mV')
    """
    if value is None:
        return NONE
    prefix, factor = _prefix(value) if unit in _PREFIXED else ("", 1.0)
    number = f"{value * factor:.3g}" if prefix else f"{value:.6g}"
    return f"{number} {'' if unit == '1' else prefix + unit}".rstrip().replace("-", "−")


def exact_range(value: float, low: float, high: float, unit: str) -> str:
    """A figure with what it may lie between; alone where that is known.

    >>> exact_range(0.55, 0.45, 0.65, "1"), exact_range(4e-06, 4e-06, 4e-06, "H")
    ('0.55 (0.45 to 0.65)', '4 µH')
    """
    own = exact(value, unit)
    return own if low == high else f"{own} ({exact(low, unit)} to {exact(high, unit)})"


def _prefix(value: float) -> tuple[str, float]:
    """The prefix with which a small value reads best, and what it is multiplied by."""
    size = abs(value)
    if size >= _MILLI_BELOW or size < _NANO:
        return "", 1.0
    return next((name, factor) for name, factor in _PREFIXES if size * factor >= _LEAST_PREFIXED)


_PREFIXES = (("m", 1e3), ("µ", 1e6), ("n", 1e9))
_PREFIXED = frozenset({"V", "A", "Ω", "H", "F", "s"})
_LEAST_PREFIXED = 0.9995
"""From here on three digits read as one or more."""
_NANO = 1e-9


def signed_volts(value: float) -> str:
    """A share of a sag with its sign, to 0.01 V.

    >>> signed_volts(-0.034), signed_volts(0.2)
    ('−0.03 V', '0.20 V')
    """
    return f"{_plain(value, 2)} V"


def most(figure: str, unknown: Collection[str]) -> str:
    """A voltage that the wires of unknown resistance on the way can only lower.

    >>> most("10.9 V", ["cable 7"]), most("10.9 V", [])
    ('at most 10.9 V', '10.9 V')
    """
    return f"at most {figure}" if unknown and figure != NONE else figure


def least(figure: str, unknown: Collection[str]) -> str:
    """A loss that the wires of unknown resistance on the way can only raise.

    >>> least("2.9 %", ["cable 7"])
    'at least 2.9 %'
    """
    return f"at least {figure}" if unknown and figure != NONE else figure


def _plain(value: float, digits: int) -> str:
    rounded = round(value, digits)
    return f"{rounded + 0.0 if rounded else 0.0:.{digits}f}".replace("-", "−")
