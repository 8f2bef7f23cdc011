"""The cable that an edit asks for beyond what is there, by size."""

from collections import defaultdict
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.value import nominal
from server.practice.materials import DENSITY
from server.units import Metre

GRAM_PER_KG = 1000.0


@dataclass(frozen=True, slots=True)
class Bought:
    """So much more cable of one size; the mass is that of its copper."""

    label: str
    length_m: Metre
    copper_kg: float


def bought(before: Boat, after: Boat) -> tuple[Bought, ...]:
    """The cable of each size that the boat has more of after an edit, as far as lengths are known."""
    had, has, areas = _lengths(before), _lengths(after), _areas(after)
    return tuple(
        Bought(label, more, areas[label] * more * DENSITY.value / GRAM_PER_KG)
        for label, length in has.items()
        if (more := round(length - had.get(label, 0.0), 3)) > 0
    )


def _lengths(boat: Boat) -> dict[str, Metre]:
    found: dict[str, Metre] = defaultdict(float)
    for one in boat.conductors:
        if one.size is not None and one.length_m is not None:
            found[one.size.label] += nominal(one.length_m)
    return found


def _areas(boat: Boat) -> dict[str, float]:
    return {one.size.label: one.size.area_mm2 for one in boat.conductors if one.size is not None}
