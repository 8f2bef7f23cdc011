"""Conductor by size on two boats, and the parts that come and go."""

from dataclasses import dataclass

from server.actions.comparing_copper import Copper, Laid, density_words
from server.actions.comparing_work import metres_words
from server.actions.part_words import trade_name


@dataclass(frozen=True)
class SizeRowView:
    """One size on both boats."""

    size: str
    before: str
    after: str
    more: str
    kg: str


@dataclass(frozen=True)
class CopperView:
    """Conductor by size and the parts that come and go."""

    rows: tuple[SizeRowView, ...]
    total: SizeRowView
    source: str
    bought: tuple[str, ...]
    added: tuple[str, ...]
    removed: tuple[str, ...]


def copper_view(of: Copper) -> CopperView:
    """Metres and kilograms by size; what came and went."""
    return CopperView(
        rows=tuple(_size(one.label, one.before, one.after) for one in of.sizes),
        total=_size("In all", of.before, of.after),
        source=f"Copper alone, as area × length × {density_words()}; insulation, lay and waste are left out.",
        bought=tuple(f"{metres_words(one.length_m)} of {one.label}" for one in of.bought),
        added=tuple(f"{one.name} ({trade_name(one)})" for one in of.added),
        removed=tuple(f"{one.name} ({trade_name(one)})" for one in of.removed),
    )


def _size(label: str, before: Laid, after: Laid) -> SizeRowView:
    more_m, more_kg = after.length_m - before.length_m, after.copper_kg - before.copper_kg
    return SizeRowView(
        size=label,
        before=_metres(before),
        after=_metres(after),
        more="–" if round(more_m, 1) == 0 else f"{signed(more_m, 1)} m",
        kg=_mass(after) + ("" if round(more_kg, 2) == 0 else f" ({signed(more_kg, 2)})"),
    )


def _mass(one: Laid) -> str:
    """Kilograms, as a bound where some of it cannot be weighed."""
    if one.unweighed and not one.copper_kg:
        return "not known"
    return f"{'at least ' if one.unweighed else ''}{one.copper_kg:.2f} kg"


def _metres(one: Laid) -> str:
    return f"{one.length_m:.1f}\u00a0m" + (f" and {one.unknown} of unknown length" if one.unknown else "")


def signed(value: float, digits: int) -> str:
    """A figure with its sign, the minus as it is printed.

    >>> signed(1.25, 1), signed(-0.5, 2)
    ('+1.2', '−0.50')
    """
    return f"{value:+.{digits}f}".replace("-", "−")
