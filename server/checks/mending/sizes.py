"""Thicker conductors: the next sizes one can buy, of the same system as the one that is there."""

from collections.abc import Iterable, Iterator

from server.boat.conductors import Conductor, Size
from server.boat.edits import SetSize
from server.boat.finding import Mend
from server.checks.mending.patient import Patient
from server.checks.words import conductor_words, listed
from server.practice.sizes import ConductorSize, UnknownSizeError, size, sizes
from server.units import SquareMillimetre

THICKEST = 6.0
"""A mend has at most so many times the copper that is there: beyond, another route is the better job."""
MOST_TOGETHER = 12


def thicker(patient: Patient, names: Iterable[str], least_mm2: SquareMillimetre = 0.0) -> Iterator[Mend]:
    """Each next size in turn for the thinnest of some conductors, and for those that are thinner than it."""
    wires = [one for name in names if (one := patient.conductors.get(name)) is not None and _known(one)]
    if not wires or len(wires) > MOST_TOGETHER:
        return
    thinnest = min(wires, key=_area)
    for bought in _steps(thinnest, least_mm2):
        thin = [one for one in wires if _area(one) < bought.area_mm2]
        yield Mend(label=_label(patient, thin, bought), edits=tuple(_edit(one, bought) for one in thin))


def thinnest_mm2(patient: Patient, names: Iterable[str]) -> SquareMillimetre:
    """The area of the thinnest of some conductors whose size is known; 0 where none is."""
    return min((_area(one) for name in names if _known(one := patient.conductors[name])), default=0.0)


def _steps(wire: Conductor, least_mm2: SquareMillimetre) -> Iterator[ConductorSize]:
    if (now := _known(wire)) is None:
        return
    for one in sizes():
        is_like = one.system == now.system and one.area_mm2 >= least_mm2
        if is_like and now.area_mm2 < one.area_mm2 <= THICKEST * now.area_mm2:
            yield one


def _known(wire: Conductor) -> ConductorSize | None:
    """The size of a wire as bought; None where it is none of the tables."""
    if wire.kind != "wire" or wire.size is None:
        return None
    try:
        return size(wire.size.label)
    except UnknownSizeError:
        return None


def _area(wire: Conductor) -> SquareMillimetre:
    known = _known(wire)
    return 0.0 if known is None else known.area_mm2


def _edit(wire: Conductor, bought: ConductorSize) -> SetSize:
    ohm = bought.plain_ohm_per_m if wire.material == "copper" else bought.ohm_per_m
    new = Size(label=bought.label, area_mm2=bought.area_mm2, resistance_ohm_per_m=ohm, source=bought.source)
    return SetSize(conductor=wire.id, size=new)


def _label(patient: Patient, wires: list[Conductor], bought: ConductorSize) -> str:
    now = list(dict.fromkeys(one.size.label for one in wires if one.size is not None))
    words = dict.fromkeys(conductor_words(patient.boat, one) for one in wires)
    told = listed(list(words)[:3]) + (f" and {len(words) - 3} more" if len(words) > 3 else "")  # noqa: PLR2004
    return f"{bought.label} instead of {' and '.join(now)}: {told}"
