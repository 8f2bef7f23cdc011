"""Panel ways and plain loads as elements, worked out as columns: the many parts of a boat that are alike."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import compress

import numpy as np

from server.boat.devices import BLADES, Overcurrent
from server.boat.points import Draws, PlainLoads, Terminal, WayDevice, Ways
from server.engine.arrays import Flags, Floats, Indices
from server.engine.figures import GIVEN, Figures
from server.engine.netlist_rows import LEAST, Label, Note, Row
from server.engine.network import Loads, Resistors

UNKNOWN_RATING = "rating of this device is not known: taken as a small switch"

_NOTHING, _OHM_RANGE, _UNRATED = int(WayDevice.NOTHING), int(WayDevice.OHM_RANGE), int(WayDevice.UNRATED)
_WATTS, _WATTS_AT_RATED_V = int(Draws.WATTS), int(Draws.WATTS_AT_RATED_V)
"""Plain whole numbers: arrays compare themselves with members of an enumeration slowly."""

_KEYS = {
    WayDevice.UNRATED: "panel_switch_resistance",
    WayDevice.BREAKER_A: "breaker_drop_at_rating",
    WayDevice.BLADE_FUSE_A: "blade_fuse_drop_at_rating",
    WayDevice.FUSE_A: "fuse_drop_at_rating",
}


def device_figure(figures: Figures, device: Overcurrent | None, kind: str, subject: str) -> tuple[int, float]:
    """Resistance of a protective device: given, else its drop at its rating over the rating."""
    if device is not None and device.resistance_ohm is not None:
        return figures.given_number(device.resistance_ohm, subject, "resistance")
    if device is None or device.rating_a is None:
        return figures.number(_KEYS[WayDevice.UNRATED], subject), 1.0
    if kind == "breaker":
        key = _KEYS[WayDevice.BREAKER_A]
    else:
        key = _KEYS[WayDevice.BLADE_FUSE_A if device.device_class in BLADES else WayDevice.FUSE_A]
    return figures.number(key, subject), 1 / device.rating_a


@dataclass(frozen=True, eq=False)
class WayRows:
    """Panel ways: resistors where a device stands before them, joins with their bar where none does."""

    ways: Ways
    is_join: Flags
    bar: Indices
    way: Indices
    figure_number: Indices
    """Of each way; of a join it means nothing."""
    coefficient: Floats

    @classmethod
    def of(cls, ways: Ways, figures: Figures) -> "WayRows":
        """The rows of a boat's ways."""
        kind, coefficient = np.array(ways.kind, np.intp), np.array(ways.figure, np.float64)
        number_of, present = np.full(len(WayDevice), GIVEN), set(ways.kind)
        for device, key in _KEYS.items():
            if device in present:
                number_of[device] = figures.number(key, "")
        number = number_of[kind]
        np.divide(1.0, coefficient, out=coefficient, where=kind > _UNRATED)
        coefficient[kind == _UNRATED] = 1.0
        for at in _one_by_one(ways, kind, figures):
            subject = ways.terminal[at][0]
            number[at], coefficient[at] = device_figure(figures, ways.device[at], ways.label[at], subject)
        ends = np.array(ways.bar, np.intp), np.array(ways.point, np.intp)
        return cls(ways, kind == _NOTHING, *ends, number, coefficient)

    @cached_property
    def has_device(self) -> Flags:
        """The ways that are resistors."""
        return ~self.is_join

    @cached_property
    def labels(self) -> tuple[Label, ...]:
        """What every way is on the boat."""
        named = zip(self.ways.terminal, self.ways.label, strict=True)
        return tuple(Label(".".join(terminal), kind) for terminal, kind in named)

    def rows(self, resistors_before: int) -> list[Row]:
        """The row of every way, with so many resistors before the first."""
        joins, devices = np.cumsum(self.is_join) - 1, np.cumsum(self.has_device) - 1 + resistors_before
        return [
            ("joins", join) if is_join else ("resistors", device)
            for is_join, join, device in zip(
                self.is_join.tolist(), joins.tolist(), devices.tolist(), strict=True
            )
        ]

    def notes(self, rows: Sequence[Row]) -> Iterator[Note]:
        """What is not known of the devices, which have these rows."""
        for at, kind in enumerate(self.ways.kind):
            if kind == _UNRATED:
                yield Note(self.ways.terminal[at][0], UNKNOWN_RATING, rows[at])


def _one_by_one(ways: Ways, kind: Indices, figures: Figures) -> Iterator[int]:
    """The ways whose devices are given as ranges or have assumptions of their own."""
    subjects = figures.subjects
    for at in np.flatnonzero(kind != _NOTHING).tolist() if subjects else ():
        if ways.terminal[at][0] in subjects or kind[at] == _OHM_RANGE:
            yield at
    if not subjects:
        yield from np.flatnonzero(kind == _OHM_RANGE).tolist()


@dataclass(frozen=True, eq=False)
class PlainRows:
    """Plain loads: those that follow their voltage as resistors, the others as loads."""

    plain: PlainLoads
    is_resistive: Flags
    resistive: Resistors
    loads: Loads

    @classmethod
    def of(cls, plain: PlainLoads, cut_out_v: Floats) -> "PlainRows":
        """The rows of a boat's plain loads; each would cut out at its own of ``cut_out_v``."""
        kind, figure = np.array(plain.kind, np.int8), np.array(plain.figure, np.float64)
        tail, head = np.array(plain.positive, np.intp), np.array(plain.negative, np.intp)
        hot = kind == _WATTS_AT_RATED_V
        ohm = np.array(plain.rated_v, np.float64)[hot] ** 2 / np.maximum(figure[hot], LEAST)
        cold = ~hot
        is_power = (kind[cold] == _WATTS).astype(np.float64)
        return cls(
            plain,
            hot,
            Resistors(tail[hot], head[hot], ohm),
            Loads(tail[cold], head[cold], figure[cold], is_power, cut_out_v[cold]),
        )

    def terminals(self, kind: str) -> Iterator[Terminal]:
        """The inputs of those that are of a kind of element."""
        of_kind = self.is_resistive if kind == "resistive" else ~self.is_resistive
        return compress(self.plain.terminal, of_kind.tolist())
