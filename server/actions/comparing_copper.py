"""The copper of two boats by size, the cable to be bought, and the parts that come and go."""

from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.parts import AnyPart
from server.boat.value import nominal
from server.checks.copper import GRAM_PER_KG, Bought, bought
from server.practice.materials import DENSITY
from server.practice.sourced import mark
from server.units import Metre, SquareMillimetre

SIZE_UNKNOWN = "size not known"


@dataclass(frozen=True)
class Laid:
    """So much conductor of one size.

    ``unknown`` counts those whose length nobody knows, ``unweighed`` those whose mass follows from nothing.
    """

    length_m: Metre = 0.0
    copper_kg: float = 0.0
    unknown: int = 0
    unweighed: int = 0


@dataclass(frozen=True)
class SizePair:
    """One size on both boats."""

    label: str
    before: Laid
    after: Laid


@dataclass(frozen=True)
class Copper:
    """Conductor by size, what has to be bought of it, and the parts that are only on one of the boats."""

    sizes: tuple[SizePair, ...]
    before: Laid
    after: Laid
    bought: tuple[Bought, ...]
    added: tuple[AnyPart, ...]
    removed: tuple[AnyPart, ...]


def copper_kg(area_mm2: SquareMillimetre, length_m: Metre) -> float:
    """The mass of a solid copper conductor, area × length × density; its lay and insulation left out.

    1 mm² is 1e-2 cm² and 1 m is 1e2 cm, so that mm² times m is cm³.

    >>> round(copper_kg(107.22, 304.8), 1)
    290.5
    """
    return area_mm2 * length_m * DENSITY.value / GRAM_PER_KG


def density_words() -> str:
    """The density that masses are worked out with, and where it is from."""
    figure = f"{DENSITY.value:g} g/cm³ at 20 °C ({DENSITY.source}"
    return f"{figure}; {mark(DENSITY.status)})" if mark(DENSITY.status) else f"{figure})"


def laid(boat: Boat) -> dict[str, Laid]:
    """The conductor of each size, links left out."""
    found: dict[str, Laid] = {}
    for one in boat.conductors:
        if one.kind == "wire":
            label = SIZE_UNKNOWN if one.size is None else one.size.label
            so_far = found.get(label, Laid())
            length = None if one.length_m is None else nominal(one.length_m)
            mass = None if one.size is None or length is None else copper_kg(one.size.area_mm2, length)
            found[label] = Laid(
                so_far.length_m + (length or 0.0),
                so_far.copper_kg + (mass or 0.0),
                so_far.unknown + (length is None),
                so_far.unweighed + (mass is None),
            )
    return found


def copper(before: Boat, after: Boat) -> Copper:
    """The copper of both boats; sizes in the order of their area."""
    had, has = laid(before), laid(after)
    areas = {
        one.size.label: one.size.area_mm2
        for one in (*before.conductors, *after.conductors)
        if one.size is not None
    }
    labels = sorted(had.keys() | has.keys(), key=lambda label: (label == SIZE_UNKNOWN, areas.get(label, 0.0)))
    was, now = {one.id for one in before.parts}, {one.id for one in after.parts}
    return Copper(
        sizes=tuple(SizePair(label, had.get(label, Laid()), has.get(label, Laid())) for label in labels),
        before=_total(had),
        after=_total(has),
        bought=bought(before, after),
        added=tuple(one for one in after.parts if one.id not in was),
        removed=tuple(one for one in before.parts if one.id not in now),
    )


def _total(found: dict[str, Laid]) -> Laid:
    return Laid(
        sum(one.length_m for one in found.values()),
        sum(one.copper_kg for one in found.values()),
        sum(one.unknown for one in found.values()),
        sum(one.unweighed for one in found.values()),
    )
