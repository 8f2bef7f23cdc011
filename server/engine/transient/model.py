"""From a boat and an event to a circuit in time, on the very network of the steady answers.

Resistances, set points and demands are those of ``server.engine.netlist``. What has states there begins in
that of the operating point before the press, and is followed from then on (see ``followed``).
Loads of constant power or current are draws across their input capacitors; converters draw what they give.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from server.boat.modes import Conditions
from server.boat.parts import AnyPart, Contact, Inverter
from server.engine.answer import AssumedValue
from server.engine.arrays import Flags, Floats, Indices
from server.engine.figures import Figures
from server.engine.linearised import Linearised
from server.engine.netlist import Netlist
from server.engine.netlist_rows import Terminal
from server.engine.network import Loads, Network
from server.engine.operating_point import OperatingPoint, operating_point
from server.engine.solution import EventSolution, Solution, event_states
from server.engine.transient.branches import element_henries
from server.engine.transient.capacitors import InputCapacitors, input_capacitor
from server.engine.transient.circuit import (
    Branches,
    Capacitors,
    Conversion,
    MotorDrive,
    TransientCircuit,
    TransientError,
)
from server.engine.transient.drained import Drained
from server.engine.transient.draw import NOMINAL, Draw, Levels, network_at
from server.engine.transient.drives import (
    Contacts,
    Drive,
    HeavyMotor,
    derived_figures,
    heavy_motor,
    hold_after,
    motor_drive,
    motor_of,
    running_a,
    surge_drive,
)
from server.engine.transient.extent import Extent, standing_lines
from server.engine.transient.followed import Following
from server.engine.transient.followed_part import Followed
from server.engine.transient.joints import Joints
from server.engine.transient.pairs import Ends, pair_ohms, pairs_to_come, standing_rows
from server.engine.transient.preheat import Preheat, preheat
from server.engine.transient.schedule import Press, Schedule, schedule
from server.engine.transient.timed import Timed, timed
from server.units import Ampere, Ratio, Second, Volt, Watt

AFTERWARDS_S: Second = 0.25
"""How long the event is followed after the last release."""
AFTER_A_STEP_S: Second = 1.0
"""The same after a source has started or a contact was turned."""
NOWHERE = -1


@dataclass(frozen=True, eq=False)
class BoatModel:
    """A boat's event as a circuit in time, for any draw of its uncertain figures."""

    solution: Solution
    solved: EventSolution

    @property
    def net(self) -> Netlist:
        """The steady network in the event's conditions."""
        return self.solved.net

    @property
    def network(self) -> Network:
        """Its elements."""
        return self.solved.net.network

    @cached_property
    def own(self) -> Figures:
        """The assumptions that only the event in time makes; the steady network's are ``net.figures``."""
        return Figures.of(self.solution.boat)

    @cached_property
    def conditions(self) -> tuple[Conditions, ...]:
        """The conditions that hold, those of the event first."""
        both = (self.solved.event.conditions, self.solution.mode.conditions)
        return tuple(one for one in both if one is not None)

    @cached_property
    def schedule(self) -> Schedule:
        """What is pressed and released, and when."""
        return schedule(self.solved.event, frozenset(self.net.stalled), self._hold_s)

    def _hold_s(self, key: Terminal) -> Second:
        heavy = self._motors.get(key)
        if heavy is None:
            return self.own.level("hold_after_run_up", key[0]).value
        return hold_after(heavy.run_up, self.own, key[0])

    @cached_property
    def _motors(self) -> Mapping[Terminal, HeavyMotor]:
        """The heavy inputs that are motors, all of the boat."""
        found = {}
        for key in self.net.stalled:
            part = self._part(key)
            motor = motor_of(part, key[1])
            if motor is not None:
                found[key] = heavy_motor(
                    part, motor, self.solution.nominal_v(part), self.own, self.conditions
                )
        return found

    def _part(self, key: Terminal) -> AnyPart:
        return self.solution.parts[key[0]]

    @cached_property
    def before(self) -> OperatingPoint:
        """The operating point before the press: no load that the event starts is running."""
        pressed = {press.key for press in self.schedule.presses}
        if pressed == {self.solved.heavy}:
            return self.solved.absent
        without = self.solved.absent.absent
        out = np.zeros(self.network.size, bool) if without is None else without.copy()
        for key in pressed:
            out |= event_states(self.net, key)[0] & ~self.net.off
        return operating_point(self.network, out)

    @cached_property
    def timed(self) -> Timed:
        """What happens beside the heavy loads, at stated times."""
        return timed(self.schedule, self.solution.parts, self.net)

    @cached_property
    def extent(self) -> Extent:
        """What takes part."""
        boat, mode = self.solution.boat, self.solution.mode
        pairs = pairs_to_come(boat.parts, self.net, mode, self.timed, self.before)
        return Extent(self.net, self.before, self.timed, pairs)

    @cached_property
    def rows(self) -> Indices:
        """The elements of the network that are branches."""
        return self.extent.rows

    @cached_property
    def draw_rows(self) -> Indices:
        """The loads that are draws: those that run, then or later, and heavy electronics."""
        idle = [self.net.inputs[key] for key in self._surging]
        return np.concatenate([self.extent.draws(self._runs), np.array(idle, np.intp)])

    @cached_property
    def _runs(self) -> Flags:
        """Which loads run before the press."""
        runs: Flags = Linearised(self.before).loads.running & (
            self.network.loads.amount + self._converter_w > 0
        )
        return runs

    @cached_property
    def _surging(self) -> tuple[Terminal, ...]:
        keys = dict.fromkeys(press.key for press in self.schedule.presses)
        return tuple(key for key in keys if isinstance(self._part(key), Inverter))

    @cached_property
    def _converter_w(self) -> Floats:
        """What each converter draws before the press; zero for all other loads."""
        network, point = self.network, self.before
        power = np.zeros(len(network.loads))
        rows = network.spans["loads"].start + network.converters.load
        drawn = point.current_a[rows] * np.nan_to_num(point.element_v[rows])
        power[network.converters.load] = drawn
        return power

    @cached_property
    def capacitors(self) -> InputCapacitors:
        """The input capacitor of every draw."""
        keys = {row: key for key, row in self.net.inputs.items()}
        found = []
        for row in self.draw_rows.tolist():
            label = self.net.labels[row]
            key = keys.get(row, (label.element, ""))
            part = self.solution.parts[label.element]
            volts = self.solution.nominal_v(part)
            found.append(input_capacitor(part, key[1], self._amps(row), volts, self.own))
        return InputCapacitors.of(found)

    def _amps(self, row: int) -> Ampere:
        """What an input draws before the press; a converter's at its rated output."""
        loads, at = self.network.loads, row - self.network.spans["loads"].start
        nominal_v = self.solution.nominal_v(self.solution.parts[self.net.labels[row].element])
        if at in self._rated_w:
            return self._rated_w[at] / nominal_v
        if self._runs[at]:
            return float(self.before.current_a[row])
        return float(loads.amount[at]) / (nominal_v if loads.is_power[at] else 1.0)

    @cached_property
    def _rated_w(self) -> Mapping[int, Watt]:
        """What the inputs of the followed converters draw at their rated output, by their number as loads."""
        converters, limited = self.network.converters, self.network.limited
        return {
            int(converters.load[k]): float(
                limited.setpoint_v[number] * limited.limit_a[number] / converters.efficiency[k]
            )
            for k in self.extent.converters.tolist()
            for number in [int(converters.output[k])]
        }

    @cached_property
    def _henries(self) -> Levels:
        return element_henries(self.solution.boat, self.net, self.own)

    @cached_property
    def _contacts(self) -> Contacts:
        return Contacts.of(self.own)

    @cached_property
    def preheat(self) -> Preheat:
        """What preheating adds while the engine is started."""
        return preheat(self.solution, self.net, self.before, self.solved.heavy, self.conditions)

    @cached_property
    def drained(self) -> Drained:
        """What preheating and earlier attempts took before the press."""
        is_again = any((one.attempt or 1) > 1 for one in self.conditions)
        heavy = self._motors.get(self.solved.heavy) if is_again else None
        amps = None if heavy is None else running_a(heavy.motor)
        press = next(one for one in self.schedule.presses if one.key == self.solved.heavy)
        return Drained(self.solution, self.solved, self.conditions, amps, press.release_s - press.press_s)

    @cached_property
    def numbers(self) -> Indices:
        """Number of every node of the network in the circuit, ``NOWHERE`` where it is not in it."""
        network = self.network
        motors = [self.net.stalled[press.key] for press in self.schedule.presses]
        rows = np.concatenate([self.rows, self.draw_rows, np.array(motors, np.intp)])
        pairs = np.array([(pair.tail, pair.head) for pair in self.extent.joined], np.intp).reshape(-1)
        used = np.unique(
            np.concatenate([network.solved_tail[rows], network.solved_head[rows], network.node_of[pairs]])
        )
        numbers = np.full(network.nodes, NOWHERE)
        numbers[used] = np.arange(len(used))
        return numbers[network.node_of]

    @cached_property
    def nodes(self) -> Mapping[Terminal, int]:
        """The circuit's node of every terminal that is in it."""
        found = ((key, int(self.numbers[node])) for key, node in self.net.nodes.items())
        return {key: node for key, node in found if node != NOWHERE}

    @cached_property
    def place(self) -> Mapping[int, int]:
        """The branch of every element that is one."""
        return {row: k for k, row in enumerate(self.rows.tolist())}

    @cached_property
    def joints(self) -> Joints:
        """The branches beside the network's elements."""
        network, numbers, pairs = self.network, self.numbers, self.extent.joined
        own = tuple(key for key in self.extent.uses if self.net.inputs[key] not in self.place)
        supplies = [self.net.inputs[key] for key in own]
        outputs = self.extent.outputs
        return Joints(
            pairs=pairs,
            own=own,
            pair_ends=numbers[np.array([(pair.tail, pair.head) for pair in pairs], np.intp).reshape(-1, 2).T],
            supplies=numbers[network.tail[supplies]],
            outputs=numbers[network.head[outputs]],
            sources=np.array([self.place[row] for row in outputs.tolist()], np.intp),
            first=len(self.rows) + (self.preheat.ends is not None),
            nodes=int(numbers.max()) + 1,
        )

    @cached_property
    def own_contact(self) -> Mapping[Terminal, int]:
        """The branch of the contact of every load that steps turn on or off and that is no branch itself."""
        return self.joints.own_contact

    def pair_branch(self, part: Contact, ends: Ends) -> int | None:
        """The branch of a pair of a contact; None where it is none, as one without resistance."""
        row = standing_rows(part, self.net, self.solution.mode).get(ends)
        return self.joints.of_pair.get((part.id, ends)) if row is None else self.place.get(row)

    @cached_property
    def unopened(self) -> tuple[str, ...]:
        """The contacts that a step turns and that cannot open: their sides are one node."""
        merged, mode = self.network.merged, self.solution.mode
        own = (part for part in self.solution.boat.parts if part.id in self.timed.turns)
        return tuple(
            part.id
            for part in own
            if isinstance(part, Contact) and any(merged[list(standing_rows(part, self.net, mode).values())])
        )

    def circuit(self, draw: Draw = NOMINAL) -> TransientCircuit:
        """The circuit at a draw of the uncertain figures.

        Raises:
            TransientError: a heavy load is not fed, or what was entered for it contradicts itself.
        """
        network, rows, numbers = network_at(self.net, draw), self.rows, self.numbers
        g, e = standing_lines(network, self.before, self.extent.coming)
        e = self.drained.taken_off(e)
        ends = numbers[self.network.tail[rows]], numbers[self.network.head[rows]]
        branches = Branches(*ends, 1 / g[rows], self._henries.at(draw.own)[rows], e[rows])
        branches = self.preheat.added_to(branches, numbers)
        presses = self.schedule.presses
        return TransientCircuit(
            nodes=self.joints.nodes + self.joints.new_nodes,
            branches=self.joints.added_to(branches, pair_ohms(self.net, self.extent.joined, draw)),
            capacitors=self._capacitors(draw),
            draws=self._draws(network),
            motors=tuple(
                replace(self._drive(press, network, draw), continues=self._earlier(number))
                for number, press in enumerate(presses)
            ),
            end_s=self._end_s,
            branch_element=self.joints.element_added_to(self.preheat.element_added_to(rows)),
            switched=tuple(one.switched.within(self._end_s) for one in self._followed(network, draw)),
            converters=tuple(self._conversions()),
        )

    def _conversions(self) -> Iterator[Conversion]:
        """The converters that are followed; their outputs' capacitors come after all others."""
        converters, first = self.network.converters, self.network.spans["loads"].start
        draws = {row: k for k, row in enumerate(self.draw_rows.tolist())}
        for k, number in enumerate(self.extent.converters.tolist()):
            yield Conversion(
                draw=draws[first + int(converters.load[number])],
                output=len(draws) + k,
                source=int(self.joints.sources[k]),
                switch=int(self.joints.switches[k]),
                efficiency=float(converters.efficiency[number]),
                idle_w=float(converters.idle_w[number]),
            )

    @property
    def _end_s(self) -> Second:
        presses = [press.release_s + self._afterwards_s(press.key) for press in self.schedule.presses]
        last_s = self.timed.last_s
        return max([*presses, last_s + AFTER_A_STEP_S if last_s > 0 else 0.0])

    def _followed(self, network: Network, draw: Draw) -> tuple[Followed, ...]:
        return Following(self).parts(network, self._contacts.arc(draw), draw)

    @cached_property
    def followed(self) -> tuple[Followed, ...]:
        """The parts whose states the event follows, in the order of the circuit's switched parts."""
        return self._followed(self.network, NOMINAL)

    def _earlier(self, number: int) -> int | None:
        """The last press before of the same motor, which may still turn."""
        presses = self.schedule.presses
        key = presses[number].key
        same = [n for n in range(number) if presses[n].key == key and key in self._motors]
        return same[-1] if same else None

    def _afterwards_s(self, key: Terminal) -> Second:
        """How long to look on after a release: not at all where electronics end their surge as they like."""
        is_switched = key in self._motors or self.net.stalled[key] < self.network.spans["resistive"].stop
        return AFTERWARDS_S if is_switched else 0.0

    def _capacitors(self, draw: Draw) -> Capacitors:
        inputs = Capacitors(*self._draw_ends, *self.capacitors.at(draw.own))
        return inputs.followed_by(Capacitors(*self._output_ends, *self._output_capacitors.at(draw.own)))

    @cached_property
    def _output_ends(self) -> tuple[Indices, Indices]:
        rows = self.extent.outputs
        return self.numbers[self.network.head[rows]], self.numbers[self.network.tail[rows]]

    @cached_property
    def _output_capacitors(self) -> InputCapacitors:
        """What stands across the output of every converter: assumed as for an input of its current."""
        found = []
        for row in self.extent.outputs.tolist():
            part = self.solution.parts[self.net.labels[row].element]
            number = row - self.network.spans["limited"].start
            amps, volts = (
                float(self.network.limited.limit_a[number]),
                float(self.network.limited.setpoint_v[number]),
            )
            found.append(input_capacitor(part, "output", amps, volts, self.own))
        return InputCapacitors.of(found)

    @cached_property
    def _draw_ends(self) -> tuple[Indices, Indices]:
        """Where the draws stand: one that steps turn on or off, behind a contact of its own."""
        rows = self.draw_rows
        tail = self.numbers[self.network.tail[rows]]
        for key, node in zip(self.joints.own, self.joints.behind_contacts.tolist(), strict=True):
            tail[rows == self.net.inputs[key]] = node
        return tail, self.numbers[self.network.head[rows]]

    def _draws(self, network: Network) -> Loads:
        at = self.draw_rows - network.spans["loads"].start
        amount = np.where(self._converter_w > 0, self._converter_w, network.loads.amount)[at]
        amount[len(at) - len(self._surging) :] = 0.0
        inputs = Loads(*self._draw_ends, amount, network.loads.is_power[at], network.loads.cut_out_v[at])
        nothing = np.zeros(len(self.extent.outputs))
        return inputs.followed_by(Loads(*self._output_ends, nothing, nothing, nothing))

    def _drive(self, press: Press, network: Network, draw: Draw) -> MotorDrive:
        key = press.key
        row, name = self.net.stalled[key], self.solution.names.input(*key)
        if not self.extent.reaches(np.array([row]))[0]:
            raise TransientError(f"{name} is not fed: a switch on its way is off, or it is not connected.")
        tail, head = int(self.numbers[network.tail[row]]), int(self.numbers[network.head[row]])
        heavy = self._motors.get(key)
        resistive, loads = network.spans["resistive"], network.spans["loads"]
        if row < resistive.stop:
            ohm = float(network.resistive.ohm[row - resistive.start])
        else:
            ohm = self._surge_ohm(row, network, row - loads.start)
        if heavy is None:
            return surge_drive(Drive(name, tail, head, ohm, 0.0), press, self._contacts, draw)
        running = self.net.inputs[key]
        drawn = running_a(heavy.motor)
        if self.net.labels[running].kind == "load":
            drawn = float(network.loads.amount[running - loads.start])
        return motor_drive(Drive(name, tail, head, ohm, drawn), heavy, press, self._contacts, draw)

    def _surge_ohm(self, row: int, network: Network, at: int) -> float:
        """The resistance that takes a heavy load's surge at the voltage of its first instant."""
        is_main = row == self.solved.heavy_element
        point = self.solved.present if is_main else self.before
        volts: Volt = float(point.element_v[row])
        amount, cut_out_v = float(network.loads.amount[at]), float(network.loads.cut_out_v[at])
        across_v = max(volts, cut_out_v)
        return across_v**2 / amount if network.loads.is_power[at] else across_v / amount

    @cached_property
    def derived(self) -> tuple[AssumedValue, ...]:
        """The figures of the motors that were worked out."""
        found = dict[Terminal, list[AssumedValue]]()
        for press, drive in zip(self.schedule.presses, self.circuit().motors, strict=True):
            heavy = self._motors.get(press.key)
            if heavy is not None:
                found[press.key] = derived_figures(drive.name, press.key[0], heavy, drive)
        return (*self.drained.derived, *(one for figures in found.values() for one in figures))

    @cached_property
    def stretch(self) -> tuple[Ratio, Ratio]:
        """How much shorter and longer the starts may last than computed, by their run-up times' bands."""
        levels = [
            self._motors[press.key].run_up for press in self.schedule.presses if press.key in self._motors
        ]
        shortest = min((one.low / one.value for one in levels if one.value > 0), default=1.0)
        longest = max((one.high / one.value for one in levels if one.value > 0), default=1.0)
        return shortest, longest

    @cached_property
    def surges(self) -> tuple[str, ...]:
        """Names of the started loads that are no motors."""
        keys = dict.fromkeys(press.key for press in self.schedule.presses if press.key not in self._motors)
        return tuple(self.solution.names.input(*key) for key in keys)


def circuit_of(solution: Solution, solved: EventSolution) -> TransientCircuit:
    """The circuit in time of an event, every figure at its value.

    Raises:
        TransientError: a heavy load is not fed, or what was entered for it contradicts itself.
    """
    return BoatModel(solution, solved).circuit()
