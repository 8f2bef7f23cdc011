"""Steps of an event beside its heavy loads: sources that start, contacts that are turned and open."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from server.boat.modes import EventStep, Mode
from server.boat.parts import AnyPart, Contact
from server.engine.arrays import Indices
from server.engine.netlist import Netlist
from server.engine.transient.schedule import Schedule
from server.units import Second

FOLLOWED = "only heavy loads, sources and contacts without a coil"
MODE_INSTEAD = "put it into the mode as it is before, or make an event of its own for it"


@dataclass(frozen=True, slots=True)
class Turned:
    """A contact that is turned: when, and the elements that open."""

    at_s: Second
    rows: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Timed:
    """What is followed: the elements of sources that start, contacts that open; and what is left out, why."""

    starts: Mapping[int, Second]
    turned: Mapping[str, Turned]
    left_out: tuple[tuple[EventStep, str], ...]

    @property
    def starting(self) -> Indices:
        """The elements of the sources that start."""
        return np.array(list(self.starts), np.intp)

    @property
    def last_s(self) -> Second:
        """When the last of it happens; zero where nothing does."""
        return max([0.0, *self.starts.values(), *(one.at_s for one in self.turned.values())])


def timed(schedule: Schedule, parts: Mapping[str, AnyPart], net: Netlist, mode: Mode) -> Timed:
    """The steps that are no presses or releases of a heavy load."""
    starts: dict[int, Second] = {}
    turned: dict[str, Turned] = {}
    left_out: list[tuple[EventStep, str]] = []
    for step in schedule.others:
        at_s, part = schedule.at_s(step), parts[step.part]
        rows = tuple(_source_rows(net, step.part))
        if at_s < 0:
            left_out.append((step, f"it comes before the first press; {MODE_INSTEAD}"))
        elif step.action == "start" and rows and all(net.off[row] for row in rows):
            starts |= dict.fromkeys(rows, at_s)
        elif step.action == "start":
            left_out.append((step, "the mode lists it as on already"))
        elif step.action == "switch" and isinstance(part, Contact) and part.coil is None:
            opened = _opened(part, step, net, mode)
            if opened is None:
                left_out.append((step, f"what another position joins is not followed; {MODE_INSTEAD}"))
            else:
                turned[part.id] = Turned(at_s, opened)
        else:
            left_out.append((step, f"{FOLLOWED} are followed; {MODE_INSTEAD}"))
    return Timed(starts, turned, tuple(left_out))


def _source_rows(net: Netlist, part: str) -> Iterator[int]:
    span = net.network.spans["limited"]
    outputs = set((span.start + net.network.converters.output).tolist())
    for row in net.rows_of.get(part, ()):
        if span.start <= row < span.stop and row not in outputs:
            yield row


def _opened(part: Contact, step: EventStep, net: Netlist, mode: Mode) -> tuple[int, ...] | None:
    """The elements that the new position opens; None where it joins what is apart now."""
    positions = {position.id: position.closed for position in part.positions}
    now = next((one.position for one in mode.positions if one.part == part.id), part.normal)
    before = [frozenset(pair) for pair in positions[now]]
    after = {frozenset(pair) for pair in positions[step.position or part.normal]}
    rows = [row for row in net.rows_of.get(part.id, ()) if net.labels[row].kind == part.kind]
    if not after <= set(before):
        return None
    return tuple(row for row, pair in zip(rows, before, strict=True) if pair not in after)
