"""Where a start's volts go: each stretch as a meter showed it, against what sound copper would take.

A hand meter that is watched while the engine cranks shows the mean of the run; the first instant is past by
then. All else that is on adds what it took before. All stretches carry the starter's current, so their drops
stand to each other as their resistances do, and nothing can take less than sound copper at its best: the
stretch that shows least of what is expected bounds the current, and one that shows more than that current and
copper at its worst can explain is suspect.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from server.actions.complaint_states import BATTERY, PROBES, START, STARTER, STARTING, Word
from server.boat.boat import Boat
from server.boat.constructors import at
from server.boat.devices import Motor
from server.boat.parts import Battery, Load
from server.boat.value import Span, TerminalRef, bounds, nominal
from server.units import Ampere, Ohm, Ratio, Volt

if TYPE_CHECKING:
    from server.engine.answer import LoopStep
    from server.engine.solution import EventSolution
    from server.engine.transient.answer import EventRun, PointPair

STATED_SPREAD: tuple[Ratio, Ratio] = (0.8, 1.25)
"""What a starter may draw against its stated current; common practice, no source."""
LEAST_A: Ampere = 1.0
"""A starter that draws less does not turn."""
Side = Literal["positive", "negative"]
LEGS: tuple[Side, ...] = ("positive", "negative")


class BrokenWayError(ValueError):
    """The boat was changed so far that its complaint cannot be answered from the readings any more."""


@dataclass(frozen=True)
class Ohms:
    """A resistance with the ends that the assumptions allow."""

    low: Ohm
    value: Ohm
    high: Ohm

    def plus(self, other: "Ohms") -> "Ohms":
        """Both in a row."""
        return Ohms(self.low + other.low, self.value + other.value, self.high + other.high)


@dataclass(frozen=True)
class Leg:
    """One stretch of the starter's way: measured, and what it would take if it were sound.

    ``others_v`` is what all else that is on takes, ``rest_v`` what the battery has at rest, ``elements`` are
    the ids of what lies there.
    """

    word: Word
    measured_v: Volt | None
    sound_v: Volt
    low_v: Volt
    high_v: Volt
    others_v: Volt
    rest_v: Volt
    elements: tuple[str, ...] = ()
    names: tuple[str, ...] = ()

    @property
    def is_suspect(self) -> bool:
        """Whether it takes more than sound copper, or a sound battery, can explain."""
        return self.measured_v is not None and self.measured_v > self.high_v

    @property
    def is_open(self) -> bool:
        """Whether so little is entered of it that it might take all the battery has, and be sound."""
        return self.high_v >= self.rest_v

    @property
    def excess_v(self) -> Volt:
        """What is measured beyond what is likeliest of a sound one."""
        return 0.0 if self.measured_v is None else self.measured_v - self.sound_v


@dataclass(frozen=True)
class Cranking:
    """The current while the engine cranks: likeliest, between which ends, and whether a clamp showed it."""

    low_a: Ampere
    value_a: Ampere
    high_a: Ampere
    is_measured: bool


@dataclass(frozen=True)
class Legs:
    """The battery and both sides of the starter's way, with the current that they share."""

    current: Cranking
    battery: Leg
    positive: Leg
    negative: Leg
    ohms: Mapping[str, Ohms]

    @property
    def all(self) -> tuple[Leg, Leg, Leg]:
        """All three, the battery first."""
        return self.battery, self.positive, self.negative

    @property
    def suspect(self) -> Leg | None:
        """The stretch that takes most beyond what is sound; None where none is suspect."""
        return max((one for one in self.all if one.is_suspect), key=lambda one: one.excess_v, default=None)

    @property
    def total_v(self) -> Volt | None:
        """What all three take by the meter; None where one of them was not measured."""
        found = [one.measured_v for one in self.all if one.measured_v is not None]
        return sum(found) if len(found) == len(self.all) else None

    @property
    def left_v(self) -> Volt | None:
        """What the readings leave the starter; None where one of them is missing."""
        return None if self.total_v is None else self.battery.rest_v - self.total_v


def legs(boat: Boat) -> Legs:
    """The stretches of a sound boat's starter, against its readings.

    Raises:
        TransientError: its start cannot be followed.
        BrokenWayError: the starter's way is not whole.
    """
    from server.engine.loop import loop
    from server.engine.solution import Solution
    from server.engine.transient.event_run import event_run

    run = event_run(boat, STARTING, START, _pairs(boat))
    solved = Solution.of(boat, STARTING).event(START)
    steps = loop(boat, STARTER, "motor", STARTING, START)
    ways = {side: tuple(_between(boat, steps, side)) for side in LEGS}
    if not all(ways.values()):
        raise BrokenWayError("the starter's way from battery + to battery − is not whole")
    ohms = {step.element: _ohms(solved, step.element) for way in ways.values() for step in way}
    sums = {side: in_a_row(ohms[step.element] for step in ways[side]) for side in LEGS}
    means, cranking_a = _means(run)
    if cranking_a < LEAST_A:
        raise BrokenWayError("with what is entered the starter does not turn")
    readings = {one.id.removeprefix("reading-"): one for one in boat.readings}
    volts = {side: found.volts_v for side in LEGS if (found := readings.get(side)) is not None}
    others = {
        word: float(point.before_v) for word, point in zip(PAIRS, run.points[-len(PAIRS) :], strict=True)
    }
    per_a = {side: (means[side] - others[side]) / cranking_a for side in LEGS}
    best = {side: per_a[side] * sums[side].low / sums[side].value for side in LEGS}
    clamped = next((one.amps_a for one in readings.values() if one.amps_a is not None), None)
    starter_v = {side: volts[side] - others[side] for side in volts}
    current = clamped_or_bounded(clamped, _stated(boat, cranking_a), starter_v, best)

    sag_ohm = (others["battery"] - means["battery"]) / cranking_a
    battery = _battery(boat, solved, others["battery"], sag_ohm, current)

    def leg(side: Side) -> Leg:
        ohm = sums[side]
        return Leg(
            side,
            volts.get(side),
            others[side] + per_a[side] * current.value_a,
            others[side] + best[side] * current.low_a,
            others[side] + per_a[side] * ohm.high / ohm.value * current.high_a,
            others[side],
            battery.rest_v,
            tuple(step.element for step in ways[side]),
            tuple(step.name for step in ways[side]),
        )

    return Legs(current, battery, leg("positive"), leg("negative"), ohms)


def clamped_or_bounded(
    clamped_a: Ampere | None, stated: Cranking, volts: Mapping[Side, Volt], best: Mapping[Side, Ohm]
) -> Cranking:
    """The current of all stretches: by a clamp, else as stated, and no more than sound copper lets through.

    ``best`` is the least resistance that each stretch can have.
    """
    if clamped_a is not None:
        return Cranking(clamped_a, clamped_a, clamped_a, is_measured=True)
    most = min((volts[side] / best[side] for side in volts), default=stated.high_a)
    high = min(stated.high_a, most)
    return Cranking(min(stated.low_a, high), min(stated.value_a, high), high, is_measured=False)


PAIRS: tuple[Word, ...] = ("battery", "positive", "negative")


def _pairs(boat: Boat) -> "tuple[PointPair, ...]":
    """The probes of the three stretches, where the boat still has their terminals."""
    from server.boat.terminals import terminals
    from server.engine.transient.answer import PointPair

    known = {(part.id, name) for part in boat.parts for name in terminals(part)}
    pairs = [tuple(at(spot) for spot in PROBES[word][1:]) for word in PAIRS]
    if any((end.part, end.terminal) not in known for pair in pairs for end in pair):
        raise BrokenWayError("the battery, the starter or the engine block is not there any more")
    return tuple(PointPair(plus, minus) for plus, minus in pairs)


def _means(run: "EventRun") -> tuple[dict[Word, Volt], Ampere]:
    """What a hand meter shows at each pair, and a clamp, while the engine cranks: the means of the run."""
    from server.engine.transient.waves import Wave

    phase = next(one for one in run.phases if one.name == "run")
    *volts, amps = (
        Wave(wave.time_s, wave.values).mean(phase.start_s, phase.end_s)
        for wave in run.waveforms[-len(PAIRS) - 1 :]
    )
    return dict(zip(PAIRS, volts, strict=True)), amps


def _between(boat: Boat, steps: "Sequence[LoopStep]", side: Side) -> "Iterator[LoopStep]":
    """The elements of a side between a reading's probes: not the joint of the starter with its block."""
    own = {
        one.id
        for one in boat.conductors
        if TerminalRef(part=STARTER, terminal="negative") in {one.tail, one.head}
    }
    yield from (step for step in steps if step.side == side and step.element not in own)


def _ohms(solved: "EventSolution", element: str) -> Ohms:
    """The resistance of a conductor or part, with its ends."""
    net = solved.net
    rows = net.rows_of[element]
    levels, total = net.figures.levels, Ohms(0.0, 0.0, 0.0)
    for row in rows:
        pairs = zip(net.figure_number[row].tolist(), net.coefficient[row].tolist(), strict=True)
        for number, factor in pairs:
            level = levels[number].scaled(factor)
            total = total.plus(Ohms(level.low, level.value, level.high))
    own = (level for row, figure, level in net.bands if row in rows and figure == "ohm")
    for level in own:
        total = total.plus(Ohms(level.low - level.value, 0.0, level.high - level.value))
    return total


def in_a_row(found: Iterable[Ohms]) -> Ohms:
    """Resistances one after another."""
    total = Ohms(0.0, 0.0, 0.0)
    for one in found:
        total = total.plus(one)
    return total


def _stated(boat: Boat, cranking_a: Ampere) -> Cranking:
    """The starter's current as the boat states it: a range, or a figure with what starters stray from it."""
    starter = next(one for one in boat.parts if one.id == STARTER)
    demand = starter.inputs[0].demand if isinstance(starter, Load) else None
    if not isinstance(demand, Motor):
        raise BrokenWayError("the starter is no motor any more")
    low, high = bounds(demand.running_current_a)
    value = nominal(demand.running_current_a)
    if not isinstance(demand.running_current_a, Span):
        low, high = value * STATED_SPREAD[0], value * STATED_SPREAD[1]
    return Cranking(cranking_a * low / value, cranking_a, cranking_a * high / value, is_measured=False)


def _battery(boat: Boat, solved: "EventSolution", before_v: Volt, sag_ohm: Ohm, current: Cranking) -> Leg:
    """What the battery gives way by, from its volts at rest to its posts while the engine cranks."""
    number, part = next((n, one) for n, one in enumerate(_batteries(boat)) if one.id == BATTERY)
    inner = solved.net.batteries[number].inner
    reading = next((one.volts_v for one in boat.readings if one.id == "reading-battery"), None)
    rest_v = before_v if part.rest_voltage_v is None else part.rest_voltage_v
    return Leg(
        "battery",
        None if reading is None else rest_v - reading,
        sag_ohm * current.value_a,
        sag_ohm * current.low_a * math.prod(one.low / one.value for one in inner),
        sag_ohm * current.high_a * math.prod(one.high / one.value for one in inner),
        0.0,
        rest_v,
        (BATTERY,),
        (part.name,),
    )


def _batteries(boat: Boat) -> tuple[Battery, ...]:
    return tuple(one for one in boat.parts if isinstance(one, Battery))
