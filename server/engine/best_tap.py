"""The best place for a lead of every load in an event: how much the wiring could give it.

For each load both its leads are tried on every place that breaks nothing, all in one batch. Many loads on a
large boat make too many places: those that fare worst come first, and which were not searched is told.
"""

from collections.abc import Callable, Container, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.leads import Lead
from server.boat.value import TerminalRef
from server.engine.arrays import Flags, Floats
from server.engine.drop import return_terminal
from server.engine.effects import Effects
from server.engine.held_lead import HeldLead, Target
from server.engine.lead_update import Moves
from server.engine.netlist_rows import Terminal
from server.engine.outcome import Outcome, is_heavy
from server.engine.ranking import SAME_V
from server.engine.solution import EventSolution, Solution
from server.engine.tap_numbers import relays_doubtful, solved_after
from server.engine.what_if import quick_voltages
from server.units import Metre, Volt

IsAllowed = Callable[[Lead, Terminal, Metre | None], bool]
"""Whether a lead may be advised to land on a terminal, its last conductor so long."""

MOST_MOVES = 600
"""Places tried in one event; a load whose places would go beyond is not searched."""
MOST_IN_FULL = 24
"""Places of one event that may be solved in full, where sources or relays change their state."""


@dataclass(frozen=True, slots=True)
class BestTap:
    """A place that breaks nothing, and the lowest voltage that the load would have there."""

    tap: TerminalRef
    lowest_v: Volt


@dataclass(frozen=True, eq=False)
class BestTaps:
    """The best place for either lead of each load in an event, or of those among ``only``."""

    solution: Solution
    solved: EventSolution
    outcome: Outcome
    only: Container[Terminal] | None = None
    is_allowed: IsAllowed | None = None
    """What judges the places besides what the engine sees; None lets all of them pass."""

    def of(self, key: Terminal) -> BestTap | None:
        """The best place for a load, where it lies now included; None where none is, or none was searched."""
        return self._found.get(key)

    @property
    def unsearched(self) -> int:
        """How many loads were not searched."""
        return len(self._keys) - len(self._found)

    @cached_property
    def _keys(self) -> tuple[Terminal, ...]:
        """The loads that are not heavy themselves, those with the least to spare first."""
        spare = {
            key: band.value - (self.outcome.needs[key].value_v or 0.0)
            for key, band in zip(self.solved.inputs, self.solved.lowest, strict=True)
            if not is_heavy(self.solution.parts[key[0]]) and (self.only is None or key in self.only)
        }
        able = self.outcome.needs
        return tuple(sorted(spare, key=lambda key: (not able[key].can_restart, spare[key], key)))

    @cached_property
    def _searched(self) -> tuple["_Leads", ...]:
        """As many of the loads as the places allow, in order."""
        found, room = list[_Leads](), MOST_MOVES
        for key in self._keys:
            leads = _Leads.of(self.solution, self.solved, key, self.is_allowed)
            room -= len(leads.moves)
            if room < 0:
                break
            found.append(leads)
        return tuple(found)

    @cached_property
    def _found(self) -> Mapping[Terminal, BestTap | None]:
        searched, bars = self._searched, self.solution.places.bars
        if not any(one.moves for one in searched):
            return {one.key: one.best(np.zeros(0), bars) for one in searched}
        volts, told = self._voltages()
        found, start = dict[Terminal, BestTap | None](), 0
        for one in searched:
            at = slice(start, start + len(one.moves))
            if told[at].all():
                found[one.key] = one.best(volts[at], bars)
            start = at.stop
        return found

    def _voltages(self) -> tuple[Floats, Flags]:
        """The load's lowest voltage after each move, and which of them are told."""
        solved = self.solved
        rows = [move for one in self._searched for move in one.moves]
        moves = Moves(
            row=np.array([held.row for held, _ in rows], np.intp),
            kept=np.array([held.kept_node for held, _ in rows], np.intp),
            tap=np.array([target.node for _, target in rows], np.intp),
            ohm=np.array([held.ohm_of(target.conductor, solved.net).ohm for held, target in rows]),
        )
        quick = quick_voltages(solved.linear, moves, relays_held=True)
        each = [solved.net.inputs[one.key] for one in self._searched for _ in one.moves]
        first = int(quick.elements[0])
        volts: Floats = quick.voltage_v[np.arange(len(each)), np.array(each, np.intp) - first]
        parts = [one.key[0] for one in self._searched for _ in one.moves]
        volts[self._harms(quick.voltage_v, first, parts)] = np.nan
        wanted = quick.in_full | relays_doubtful(solved, moves)
        told = ~wanted
        for move in np.flatnonzero(wanted)[:MOST_IN_FULL].tolist():
            after = solved_after(solved, moves, move).present.element_v
            harms = self._harms(after[None, first:], first, [parts[move]])
            volts[move] = np.nan if harms[0] else after[each[move]]
            told[move] = True
        return volts, told

    def _harms(self, voltage_v: Floats, first: int, parts: list[str]) -> Flags:
        """Whether anything but the moved part might come to restart by each move."""
        everybody = self._everybody
        restarts = everybody.might_restart(voltage_v[:, everybody.elements - first])
        others = np.array([key[0] for key in everybody.keys])[None, :] != np.array(parts)[:, None]
        harms: Flags = (restarts & others).any(axis=1)
        return harms

    @cached_property
    def _everybody(self) -> Effects:
        return Effects.of(self.solution, self.solved, self.outcome)


@dataclass(frozen=True, eq=False)
class _Leads:
    """The leads of one load: where they lie now, where each could be moved to, breaking nothing."""

    key: Terminal
    lowest_v: Volt
    present: tuple[Target, ...]
    moves: tuple[tuple[HeldLead, Target], ...]

    @classmethod
    def of(
        cls, solution: Solution, solved: EventSolution, key: Terminal, is_allowed: IsAllowed | None
    ) -> "_Leads":
        """The places of both leads of a load."""
        lowest_v = solved.lowest[solved.inputs.index(key)].value
        targets = [
            (hand, target)
            for hand, target in _targets(solution, solved, key)
            if is_allowed is None or is_allowed(hand.held, target.terminal, target.length_m)
        ]
        return cls(
            key=key,
            lowest_v=lowest_v,
            present=tuple(target for _, target in targets if target.present),
            moves=tuple((held, target) for held, target in targets if not target.present),
        )

    def best(self, volts: Floats, bars: frozenset[str]) -> BestTap | None:
        """The place with the highest voltage; of those within 10 mV where a lead lies now, then a bar."""
        found = [(self.lowest_v, target) for target in self.present]
        moved = zip(volts.tolist(), (target for _, target in self.moves), strict=True)
        found += [(v, target) for v, target in moved if not np.isnan(v)]
        if not found:
            return None
        highest_v = max(v for v, _ in found)
        equal = [one for one in found if one[0] >= highest_v - SAME_V]
        lowest_v, target = max(equal, key=lambda one: (one[1].present, one[1].terminal[0] in bars, one[0]))
        return BestTap(TerminalRef(part=target.terminal[0], terminal=target.terminal[1]), lowest_v)


def _targets(solution: Solution, solved: EventSolution, key: Terminal) -> Iterator[tuple[HeldLead, Target]]:
    """The admissible places of a load's positive and negative lead."""
    part = solution.parts[key[0]]
    for terminal in (key[1], return_terminal(part, key[1])):
        held = solution.places.leads[key[0], terminal]
        if held.tap is not None and held.last is not None:
            hand = HeldLead(solution, solved, solution.places, held)
            yield from ((hand, one) for one in hand.admissible_places())
