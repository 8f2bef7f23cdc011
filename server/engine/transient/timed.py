"""Steps of an event beside its heavy loads: sources that start, contacts that are turned, loads turned on."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from server.boat.modes import EventStep
from server.boat.parts import AnyPart, Contact
from server.engine.arrays import Indices
from server.engine.netlist import Netlist
from server.engine.netlist_rows import Terminal
from server.engine.transient.schedule import Schedule
from server.units import Second

FOLLOWED = "only loads, sources and contacts"
MODE_INSTEAD = "put it into the mode as it is before, or make an event of its own for it"


@dataclass(frozen=True, slots=True)
class Turn:
    """A contact that is turned: when, and into which position."""

    at_s: Second
    position: str


@dataclass(frozen=True, slots=True)
class Timed:
    """What is followed: elements of sources that start, contacts turned, loads turned on or off in turn.

    ``left_out`` are steps that are not, and why.
    """

    starts: Mapping[int, Second]
    turns: Mapping[str, tuple[Turn, ...]]
    uses: Mapping[Terminal, tuple[Second, ...]]
    left_out: tuple[tuple[EventStep, str], ...]

    @property
    def starting(self) -> Indices:
        """The elements of the sources that start."""
        return np.array(list(self.starts), np.intp)

    @property
    def last_s(self) -> Second:
        """When the last of it happens; zero where nothing does."""
        turned = (turn.at_s for turns in self.turns.values() for turn in turns)
        used = (at_s for times in self.uses.values() for at_s in times)
        return max([0.0, *self.starts.values(), *turned, *used])


def timed(schedule: Schedule, parts: Mapping[str, AnyPart], net: Netlist) -> Timed:
    """The steps that are no presses or releases of a heavy load."""
    found = _Found(schedule, parts, net)
    left_out = [(step, why) for step in schedule.others if (why := found.take(step)) is not None]
    turns = {part: tuple(own) for part, own in found.turns.items()}
    uses = {key: tuple(own) for key, own in found.uses.items()}
    return Timed(found.starts, turns, uses, tuple(left_out))


@dataclass(eq=False)
class _Found:
    schedule: Schedule
    parts: Mapping[str, AnyPart]
    net: Netlist
    starts: dict[int, Second] = field(default_factory=dict)
    turns: dict[str, list[Turn]] = field(default_factory=dict)
    uses: dict[Terminal, list[Second]] = field(default_factory=dict)

    def take(self, step: EventStep) -> str | None:
        """Take a step in, or say why not."""
        if self.schedule.at_s(step) < 0:
            return f"it comes before the first press; {MODE_INSTEAD}"
        match step.action:
            case "start":
                return self._starts(step)
            case "switch":
                return self._turns(step)
            case _:
                return self._uses(step)

    def _starts(self, step: EventStep) -> str | None:
        rows = _source_rows(self.net, step.part)
        if not (rows and all(self.net.off[row] for row in rows)):
            return "the mode lists it as on already"
        self.starts |= dict.fromkeys(rows, self.schedule.at_s(step))
        return None

    def _turns(self, step: EventStep) -> str | None:
        part = self.parts[step.part]
        if not isinstance(part, Contact):
            return f"{FOLLOWED} are followed; {MODE_INSTEAD}"
        turn = Turn(self.schedule.at_s(step), step.position or part.normal)
        self.turns.setdefault(part.id, []).append(turn)
        return None

    def _uses(self, step: EventStep) -> str | None:
        keys = [key for key in self.net.inputs if key[0] == step.part and step.input in {None, key[1]}]
        if len(keys) != 1:
            several = "it has several inputs, and the step names none" if keys else f"{FOLLOWED} are followed"
            return f"{several}; {MODE_INSTEAD}"
        times = self.uses.get(keys[0], [])
        is_on = bool(self.net.off[self.net.inputs[keys[0]]]) is bool(len(times) % 2)
        if is_on is (step.action == "press"):
            return f"it is {'on' if is_on else 'off'} already"
        self.uses[keys[0]] = [*times, self.schedule.at_s(step)]
        return None


def _source_rows(net: Netlist, part: str) -> tuple[int, ...]:
    span = net.network.spans["limited"]
    own = set(range(span.start, span.stop)) - set((span.start + net.network.converters.output).tolist())
    return tuple(row for row in net.rows_of.get(part, ()) if row in own)
