"""The parts of a boat whose states the event follows, as switched parts of its circuit.

Followed are combining relays, contacts and solenoids that a coil holds, packs whose trip points are stated,
diodes of isolators, and regulated sources. Not followed, and reported by ``states_left``: converters and
their outputs; coils that move nothing of the circuit; contacts whose rest position joins other terminals or
whose closed contact is too short to be an element; packs' cut-offs without a stated time.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np

from server.boat.devices import TripPoint
from server.boat.parts import Battery, Combiner, Contact
from server.engine.arrays import Flags, Floats, Indices
from server.engine.figures import Figures, Level
from server.engine.netlist import Netlist
from server.engine.network import Network
from server.engine.operating_point import OperatingPoint
from server.engine.states import Regulation, States, lines
from server.engine.transient.coils import CoilAt, coils
from server.engine.transient.draw import Draw, at
from server.engine.transient.switched import Amps, Arc, Border, Clock, Line, State, Switched, Volts
from server.units import Volt

if TYPE_CHECKING:
    from server.engine.transient.model import BoatModel

Kind = Literal["combiner", "contact", "solenoid", "pack", "diode", "source", "switch"]
PASSED_V: Volt = 1e-6
"""A diode's or source's border is passed by this much: more than rounding, and no more than milliamperes."""
CLOSED, OPEN = 0, 1
REGULATES, LIMITS, BLOCKS, STANDS = 0, 1, 2, 3
SOURCE_STATES = {Regulation.REGULATING: REGULATES, Regulation.LIMITING: LIMITS, Regulation.BLOCKED: BLOCKS}


@dataclass(frozen=True, slots=True)
class Followed:
    """A switched part of the circuit, and what it is on the boat."""

    element: str
    kind: Kind
    switched: Switched


def standby_rows(net: Netlist, before: OperatingPoint, fed: Flags, starting: Indices) -> Indices:
    """Diodes and sources that block or start later, relays that stand open: they may come in, if fed."""
    network, states = net.network, before.states
    outputs = np.isin(np.arange(len(network.limited)), network.converters.output)
    waits = np.zeros(network.size, bool)
    waits[network.spans["diodes"]] = ~states.diodes
    waits[network.spans["relays"]] = ~states.relays
    waits[network.spans["limited"]] = (states.limited == Regulation.BLOCKED) & ~outputs
    gone = np.zeros(network.size, bool) if before.absent is None else before.absent
    waits &= ~gone
    waits[starting] = True
    return np.flatnonzero(waits & fed[network.tail] & fed[network.head])


def standing_lines(network: Network, before: OperatingPoint, starting: Indices) -> tuple[Floats, Floats]:
    """Conductance and rise of every element before the press; of what waits, those it would come in with."""
    states = before.states
    at_work = States(
        limited=np.where(states.limited == Regulation.BLOCKED, np.int8(0), states.limited).astype(np.int8),
        diodes=np.ones_like(states.diodes),
        relays=np.ones_like(states.relays),
        starved=states.starved,
    )
    absent = np.zeros(network.size, bool) if before.absent is None else before.absent.copy()
    absent[starting] = False
    return lines(network, at_work, absent)


@dataclass(frozen=True, eq=False)
class Following:
    """Makes the switched parts of an event's circuit, at a draw of the uncertain figures."""

    model: "BoatModel"

    def parts(self, network: Network, arc: Arc, draw: Draw) -> tuple[Followed, ...]:
        """All of them: combining relays, contacts, solenoids, packs, diodes, sources."""
        return (
            *self._combiners(network, arc, draw),
            *self._contacts(arc, draw),
            *self._solenoids(arc, draw),
            *self._packs(draw),
            *self._diodes(network),
            *self._sources(network),
            *self._turned(arc),
        )

    @cached_property
    def _place(self) -> dict[int, int]:
        """The branch of every element that is one."""
        return {row: k for k, row in enumerate(self.model.rows.tolist())}

    def _node(self, node: int) -> int:
        return int(self.model.numbers[node])

    def _called(self, element: str) -> str:
        return self.model.solution.names.element(element)

    def _element(self, row: int) -> str:
        return self.model.net.labels[row].element

    def _combiners(self, network: Network, arc: Arc, draw: Draw) -> Iterator[Followed]:
        relays, start = network.relays, network.spans["relays"].start
        parts = {part.id: part for part in self.model.solution.boat.parts if isinstance(part, Combiner)}
        for number in range(len(relays)):
            branch = self._place.get(start + number)
            sides = (relays.sense[number], relays.other_sense[number])
            nodes = [self._node(int(node)) for node in sides]
            reference = self._node(int(relays.reference[number]))
            if branch is None or min(*nodes, reference) < 0:
                continue
            element = self._element(start + number)
            waits_s = at(combiner_delay(self.model.own, parts[element]), draw.own)
            reading = Volts(tuple((node, reference) for node in nodes))
            opens, closes = float(relays.open_v[number]), float(relays.close_v[number])
            starts = CLOSED if self.model.before.states.relays[number] else OPEN
            states = (
                State((Border(reading, opens, False, waits_s, OPEN),)),
                State((Border(reading, closes, True, waits_s, CLOSED),), is_open=True),
            )
            yield Followed(
                element, "combiner", Switched(self._called(element), (branch,), states, starts, arc)
            )

    def _contacts(self, arc: Arc, draw: Draw) -> Iterator[Followed]:
        """Contacts that a coil holds out of a normal position that joins nothing."""
        parts = {part.id: part for part in self.model.solution.boat.parts if isinstance(part, Contact)}
        for coil in coils(self.model.solution.boat, self.model.net):
            part = parts.get(coil.key[0])
            if part is None or part.latching:
                continue
            joins = next(one.closed for one in part.positions if one.id == part.normal)
            rows = self.model.net.rows_of.get(part.id, ())
            branches = tuple(self._place[row] for row in rows if row in self._place)
            states = self._coil_states(coil, draw)
            if states is not None and not joins and branches and len(branches) == len(rows):
                yield Followed(
                    part.id, "contact", Switched(self._called(part.id), branches, states, CLOSED, arc)
                )

    def _solenoids(self, arc: Arc, draw: Draw) -> Iterator[Followed]:
        """Coils of heavy loads that hold the load's own contact."""
        for coil in coils(self.model.solution.boat, self.model.net):
            part, presses = coil.key[0], self.model.schedule.presses
            motors = tuple(
                k for k, press in enumerate(presses) if press.key[0] == part and press.key != coil.key
            )
            states = self._coil_states(coil, draw)
            if motors and states is not None:
                yield Followed(
                    part, "solenoid", Switched(self._called(part), (), states, CLOSED, arc, motors)
                )

    def _coil_states(self, coil: CoilAt, draw: Draw) -> tuple[State, State] | None:
        """Pulled, and let go; None where the coil is not fed."""
        network, own, part = self.model.network, self.model.own, coil.key[0]
        plus, minus = self._node(int(network.tail[coil.row])), self._node(int(network.head[coil.row]))
        if min(plus, minus) < 0 or plus == minus:
            return None
        reading = Volts(((plus, minus),))
        hold, pull_in = at(hold_level(own, coil)[0], draw.own), at(pull_in_level(own, coil), draw.own)
        release_s = at(own.level("relay_release_time", part), draw.own)
        operate_s = at(own.level("relay_operate_time", part), draw.own)
        return (
            State((Border(reading, hold, False, release_s, OPEN),)),
            State((Border(reading, max(hold, pull_in), True, operate_s, CLOSED),), is_open=True),
        )

    def _packs(self, draw: Draw) -> Iterator[Followed]:
        """Packs with trip points: they switch off, and stay so."""
        for part in self.model.solution.boat.parts:
            if not isinstance(part, Battery) or part.pack is None or not part.pack.trips:
                continue
            branches = tuple(self._place[row] for row in self.model.net.rows_of[part.id])
            on = State(tuple(_trip(branches[0], trip) for trip in part.pack.trips))
            holds = self.model.own.level("pack_switch_voltage_ratio", part.id)
            volts = at(holds, draw.own) * self.model.solution.nominal_v(part)
            states = on, State(is_open=True)
            switched = Switched(self._called(part.id), branches, states, CLOSED, Arc(volts, 0.0))
            yield Followed(part.id, "pack", switched)

    def _diodes(self, network: Network) -> Iterator[Followed]:
        diodes, start = network.diodes, network.spans["diodes"].start
        for number in range(len(diodes)):
            branch = self._place.get(start + number)
            if branch is None:
                continue
            ends = self._node(int(diodes.tail[number])), self._node(int(diodes.head[number]))
            reading, drop = Volts((ends,)), float(diodes.drop_v[number])
            states = (
                State((Border(reading, drop - PASSED_V, False, 0.0, OPEN),)),
                State((Border(reading, drop + PASSED_V, True, 0.0, CLOSED),), is_open=True),
            )
            starts = CLOSED if self.model.before.states.diodes[number] else OPEN
            element = self._element(start + number)
            yield Followed(
                element, "diode", Switched(self._called(element), (branch,), states, starts, follows=True)
            )

    def _sources(self, network: Network) -> Iterator[Followed]:
        """Regulated sources but the outputs of converters, whose inputs would have to follow."""
        limited, start = network.limited, network.spans["limited"].start
        for number in range(len(limited)):
            branch = self._place.get(start + number)
            if branch is None or number in network.converters.output:
                continue
            ends = self._node(int(limited.head[number])), self._node(int(limited.tail[number]))
            reading, setpoint = Volts((ends,)), float(limited.setpoint_v[number])
            knee = setpoint - float(limited.ohm[number] * limited.limit_a[number])
            regulates, limits = _source_lines(network, number)
            states: tuple[State, ...] = (
                State(
                    (
                        Border(reading, knee - PASSED_V, False, 0.0, LIMITS),
                        Border(reading, setpoint + PASSED_V, True, 0.0, BLOCKS),
                    ),
                    line=regulates,
                ),
                State((Border(reading, knee + PASSED_V, True, 0.0, REGULATES),), line=limits),
                State((Border(reading, setpoint - PASSED_V, False, 0.0, REGULATES),), is_open=True),
            )
            starts = SOURCE_STATES[Regulation(int(self.model.before.states.limited[number]))]
            at_s = self.model.timed.starts.get(start + number)
            if at_s is not None:
                states += (State((Border(Clock(), at_s, True, 0.0, BLOCKS),), is_open=True),)
                starts = STANDS
            element = self._element(start + number)
            yield Followed(
                element, "source", Switched(self._called(element), (branch,), states, starts, follows=True)
            )

    def _turned(self, arc: Arc) -> Iterator[Followed]:
        """Contacts that a step turns into a position which opens some of their pairs."""
        for part, turned in self.model.timed.turned.items():
            branches = tuple(self._place[row] for row in turned.rows if row in self._place)
            if branches:
                closed = State((Border(Clock(), turned.at_s, True, 0.0, OPEN),))
                switched = Switched(self._called(part), branches, (closed, State(is_open=True)), CLOSED, arc)
                yield Followed(part, "switch", switched)


def _trip(branch: int, trip: TripPoint) -> Border:
    return Border(Amps(branch), trip.current_a, True, trip.time_s, OPEN)


def _source_lines(network: Network, number: int) -> tuple[Line, Line]:
    """A limited source's line while it regulates, and while it is at its limit."""
    found = []
    for state in (Regulation.REGULATING, Regulation.LIMITING):
        states = States(
            limited=np.full(len(network.limited), np.int8(state)),
            diodes=np.ones(len(network.diodes), bool),
            relays=np.ones(len(network.relays), bool),
            starved=np.zeros(len(network.loads), bool),
        )
        g, e = lines(network, states, None)
        row = network.spans["limited"].start + number
        found.append(Line(float(1 / g[row]), float(e[row])))
    return found[0], found[1]


def combiner_delay(own: Figures, part: Combiner) -> Level:
    """How long a combining relay waits before it moves."""
    if part.delay_s is not None:
        return Level(part.delay_s, part.delay_s, part.delay_s)
    return own.level("combiner_delay", part.id)


def hold_level(own: Figures, found: CoilAt) -> tuple[Level, bool]:
    """The voltage that holds a coil: as entered, else a share of its rated voltage; and whether assumed."""
    if found.coil.hold_v is not None:
        return own.given(found.coil.hold_v, found.key[0], "hold voltage"), False
    share = own.level("coil_hold_share", found.key[0])
    return share.scaled(found.coil.rated_voltage_v), True


def pull_in_level(own: Figures, found: CoilAt) -> Level:
    """The voltage that pulls a coil in: as entered, else a share of its rated voltage."""
    if found.coil.pull_in_v is not None:
        return own.given(found.coil.pull_in_v, found.key[0], "pull-in voltage")
    return own.level("coil_pull_in_share", found.key[0]).scaled(found.coil.rated_voltage_v)
