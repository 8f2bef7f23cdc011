"""The cable that an edit asks to be bought, by size."""

from collections import defaultdict
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.value import nominal
from server.practice.materials import DENSITY
from server.units import Metre

GRAM_PER_KG = 1000.0
REACHES_M: Metre = 0.05
"""Half of the 0.1 m to which lengths are shown: within it the cable that is there reaches."""


@dataclass(frozen=True, slots=True)
class Bought:
    """So much new cable of one size; the mass is that of its copper."""

    label: str
    length_m: Metre
    copper_kg: float


def bought(before: Boat, after: Boat) -> tuple[Bought, ...]:
    """The cable of each size that an edit asks for, as far as lengths are known.

    A conductor that no longer reaches, or is of another size, is a new cable of its whole length. What is
    cut off a cable or taken out is laid again where a conductor of the same size is put in.
    """
    had, has, areas = _cables(before), _cables(after), _areas(after)
    new, added = defaultdict[str, Metre](float), defaultdict[str, Metre](float)
    left: dict[str, Metre] = defaultdict(float)
    for name, (label, length) in has.items():
        old_label, old_length = had.get(name, (label, 0.0))
        if name not in had:
            added[label] += length
        elif label != old_label or length > old_length + REACHES_M:
            new[label] += length
        else:
            left[label] += max(0.0, old_length - length)
    for name in had.keys() - has.keys():
        label, length = had[name]
        left[label] += length
    wanted = {label: new[label] + max(0.0, added[label] - left[label]) for label in areas}
    return tuple(
        Bought(label, length, areas[label] * length * DENSITY.value / GRAM_PER_KG)
        for label, exact in wanted.items()
        if (length := round(exact, 3)) > 0
    )


def _cables(boat: Boat) -> dict[str, tuple[str, Metre]]:
    """Size and length of each conductor that has both, by its id."""
    return {
        one.id: (one.size.label, nominal(one.length_m))
        for one in boat.conductors
        if one.size is not None and one.length_m is not None
    }


def _areas(boat: Boat) -> dict[str, float]:
    return {one.size.label: one.size.area_mm2 for one in boat.conductors if one.size is not None}
