"""The parts of a boat whose states the event follows, as switched parts of its circuit.

Followed are combining relays, contacts and solenoids that a coil holds or wakes or that steps move, packs
whose trip points are stated, diodes of isolators, regulated sources, converters, loads that steps turn on.
Not followed, and reported by ``states_left``: coils that move nothing of the circuit; contacts whose closed
contact is too short to be an element; packs' cut-offs without a stated time.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from server.boat.devices import TripPoint
from server.boat.parts import Battery, Combiner, Converter
from server.engine.figures import Figures, Level
from server.engine.network import Network
from server.engine.states import Regulation, States, lines
from server.engine.transient.coils import coils
from server.engine.transient.draw import Draw, at
from server.engine.transient.followed_part import CLOSED, OPEN, Followed
from server.engine.transient.joints import without_switch
from server.engine.transient.moving_contacts import MovingContacts
from server.engine.transient.switched import Amps, Arc, Border, Clock, Line, State, Switched, Volts
from server.units import Volt

if TYPE_CHECKING:
    from server.engine.transient.model import BoatModel

PASSED_V: Volt = 1e-6
"""A diode's or source's border is passed by this much: more than rounding, and no more than milliamperes."""
REGULATES, LIMITS, BLOCKS, STANDS = 0, 1, 2, 3
SOURCE_STATES = {Regulation.REGULATING: REGULATES, Regulation.LIMITING: LIMITS, Regulation.BLOCKED: BLOCKS}


@dataclass(frozen=True, eq=False)
class Following:
    """Makes the switched parts of an event's circuit, at a draw of the uncertain figures."""

    model: "BoatModel"

    def parts(self, network: Network, arc: Arc, draw: Draw) -> tuple[Followed, ...]:
        """All of them: combining relays, contacts, solenoids, packs, diodes, sources, loads."""
        moving = MovingContacts(self.model, arc, draw)
        return (
            *self._combiners(network, arc, draw),
            *moving.by_coils(),
            *self._solenoids(moving, arc),
            *self._packs(draw),
            *self._diodes(network),
            *self._sources(network),
            *self._converters(network, draw),
            *moving.turned(),
            *moving.used(),
        )

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
            branch = self.model.place.get(start + number)
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

    def _solenoids(self, moving: MovingContacts, arc: Arc) -> Iterator[Followed]:
        """Coils of heavy loads that hold the load's own contact."""
        for coil in coils(self.model.solution.boat, self.model.net):
            part, presses = coil.key[0], self.model.schedule.presses
            motors = tuple(
                k for k, press in enumerate(presses) if press.key[0] == part and press.key != coil.key
            )
            states = moving.coil_states(coil, CLOSED, (), None)
            if motors and states is not None:
                yield Followed(
                    part, "solenoid", Switched(self._called(part), (), states, CLOSED, arc, motors)
                )

    def _packs(self, draw: Draw) -> Iterator[Followed]:
        """Packs with trip points: they switch off, and stay so."""
        for part in self.model.solution.boat.parts:
            if not isinstance(part, Battery) or part.pack is None or not part.pack.trips:
                continue
            branches = tuple(self.model.place[row] for row in self.model.net.rows_of[part.id])
            on = State(tuple(_trip(branches[0], trip) for trip in part.pack.trips))
            holds = self.model.own.level("pack_switch_voltage_ratio", part.id)
            volts = at(holds, draw.own) * self.model.solution.nominal_v(part)
            states = on, State(is_open=True)
            switched = Switched(self._called(part.id), branches, states, CLOSED, Arc(volts, 0.0))
            yield Followed(part.id, "pack", switched)

    def _diodes(self, network: Network) -> Iterator[Followed]:
        diodes, start = network.diodes, network.spans["diodes"].start
        for number in range(len(diodes)):
            branch = self.model.place.get(start + number)
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
        """Regulated sources; the outputs of converters are read before their switches."""
        limited, start = network.limited, network.spans["limited"].start
        for number in range(len(limited)):
            branch = self.model.place.get(start + number)
            if branch is None:
                continue
            within = self._within.get(branch)
            plus = self._node(int(limited.head[number])) if within is None else within
            ends = plus, self._node(int(limited.tail[number]))
            reading, setpoint = Volts((ends,)), float(limited.setpoint_v[number])
            lines = _source_lines(network, number)
            regulates, limits = lines if within is None else map(_before_switch, lines)
            knee = setpoint - regulates.ohm * float(limited.limit_a[number])
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

    @cached_property
    def _within(self) -> Mapping[int, int]:
        """The nodes behind the regulators of converters, by the branches of their outputs."""
        joints = self.model.joints
        return dict(zip(joints.sources.tolist(), joints.within.tolist(), strict=True))

    def _converters(self, network: Network, draw: Draw) -> Iterator[Followed]:
        """Switches of converters: off while the input is too low, on again once it has been high enough."""
        own, model, first = self.model.own, self.model, network.spans["loads"].start
        parts = {part.id: part for part in model.solution.boat.parts if isinstance(part, Converter)}
        switches = model.joints.switches.tolist()
        for number, branch in zip(model.extent.converters.tolist(), switches, strict=True):
            load = int(network.converters.load[number])
            element = self._element(first + load)
            ends = self._node(int(network.loads.tail[load])), self._node(int(network.loads.head[load]))
            reading, stops_v = Volts((ends,)), float(network.loads.cut_out_v[load])
            restarts_v = at(restart_level(own, parts[element], stops_v), draw.own)
            stop_s = at(own.level("converter_stop_time", element), draw.own)
            restart_s = at(restart_time(own, parts[element]), draw.own)
            runs = float(np.nan_to_num(model.before.element_v[first + load])) >= stops_v
            states = (
                State((Border(reading, stops_v, False, stop_s, OPEN),)),
                State((Border(reading, max(restarts_v, stops_v), True, restart_s, CLOSED),), is_open=True),
            )
            switched = Switched(self._called(element), (branch,), states, CLOSED if runs else OPEN)
            yield Followed(element, "converter", switched)


def restart_level(own: Figures, part: Converter, stops_v: Volt) -> Level:
    """The input voltage at which a converter runs again."""
    if part.restart_input_v is not None:
        return Level(part.restart_input_v, part.restart_input_v, part.restart_input_v)
    return own.level("converter_restart_ratio", part.id).scaled(stops_v)


def restart_time(own: Figures, part: Converter) -> Level:
    """How long the input must be high enough before it does."""
    if part.restart_after_s is not None:
        return Level(part.restart_after_s, part.restart_after_s, part.restart_after_s)
    return own.level("converter_restart_time", part.id)


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


def _before_switch(line: Line) -> Line:
    """The line of a converter's output before its switch."""
    return replace(line, ohm=float(without_switch(np.array(line.ohm))))


def combiner_delay(own: Figures, part: Combiner) -> Level:
    """How long a combining relay waits before it moves."""
    if part.delay_s is not None:
        return Level(part.delay_s, part.delay_s, part.delay_s)
    return own.level("combiner_delay", part.id)
