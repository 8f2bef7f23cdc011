"""Pick up a lead: what would come of landing it at each place, ranked.

An answer at a place is by definition the analysis of the boat that the move edit would produce: the moved
conductor comes from the edit's own function, its length rule included.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.edit_values import MoveLead
from server.boat.edit_wiring import move_lead, moved_conductor
from server.boat.leads import End, Lead, lead
from server.boat.lengths import Allowance
from server.boat.parts import Breaker, Busbar, Charger, EngineBlock, Fuse, Load, Panel, Post
from server.boat.value import Place, TerminalRef, nominal
from server.engine.answer import Band, Break, Mark, OthersEffect, PickUp, TapAnswer, Verdict
from server.engine.arrays import Floats, Indices
from server.engine.drop import design_current, lead_rows, return_terminal, up_to_panel
from server.engine.linearised import Linearised
from server.engine.naming import Names
from server.engine.needs import VERDICT_ORDER, Need, verdict
from server.engine.netlist import Netlist
from server.engine.netlist_conductors import conductor_figures
from server.engine.netlist_rows import Rows, Terminal
from server.engine.operating_point import OperatingPoint
from server.engine.outcome import Outcome, is_heavy
from server.engine.places import MOST_LUGS, Places
from server.engine.ranking import merged, ranked, reranked
from server.engine.solution import EventSolution, Solution, UnknownModeError
from server.engine.tap_numbers import EventNumbers, SourceNumbers, held_ohm
from server.engine.topology import Topology
from server.engine.what_if import Moves, moved_voltages
from server.units import Volt

OTHER_VOLTAGE = 0.3
"""A place whose voltage is off the load's nominal one by more than this share belongs to another system."""
ROUGH_BAND = (0.8, 1.25)
"""A what-if's band keeps the loads' slopes of the base; it is taken as good to this factor."""
BETTER_V: Volt = 0.05
"""A change smaller than half of the 0.1 V to which sag is shown is no change."""


class NoLeadError(LookupError):
    """No lead that could be moved begins at this terminal; the message says why."""


def pick_up(boat: Boat, part: str, terminal: str, mode_id: str, event_id: str | None) -> PickUp:
    """Every place a lead could land, with what would come of it, ranked; the inadmissible last.

    Raises:
        UnknownModeError: the boat has no such mode, event or part.
        NoLeadError: no lead begins there.
    """
    solution = Solution.of(boat, mode_id)
    if part not in solution.parts:
        raise UnknownModeError(f"no part “{part}”")
    places = Places(boat)
    held = lead(boat, part, terminal, places.landings)
    if held.last is None or held.far is None:
        raise NoLeadError(held.reason or "no lead begins there")
    if held.tap is None:
        return _pick_up_loose(boat, held, mode_id, event_id)
    solved = None if event_id is None else solution.event(event_id)
    return _Held(solution, solved, places, held).answer()


def _pick_up_loose(boat: Boat, held: Lead, mode_id: str, event_id: str | None) -> PickUp:
    """A lead that hangs loose: landed anywhere first, so that there is a lead to move; it has no present place."""
    loose = _Held(Solution.of(boat, mode_id), None, Places(boat), held)
    first = next(iter(loose.places_to_land()), None)
    if first is None:
        return PickUp(
            part=held.part,
            terminal=held.terminal,
            name=loose.names.element(held.part),
            polarity=held.polarity,
            mode=mode_id,
            event=event_id,
            present=None,
            taps=(),
        )
    to = TerminalRef(part=first.terminal[0], terminal=first.terminal[1])
    landed = move_lead(boat, MoveLead(part=held.part, terminal=held.terminal, to=to))
    found = pick_up(landed, held.part, held.terminal, mode_id, event_id)
    taps = tuple(replace(one, present=False) for one in found.taps)
    return replace(found, present=None, taps=reranked(taps))


@dataclass(frozen=True, eq=False)
class _Place:
    """One target: the terminal to land on, others of the same node, the lead's new length and resistance."""

    terminal: Terminal
    same: tuple[Terminal, ...]
    node: int
    present: bool
    breaks: tuple[Break, ...]
    length_m: float | None
    length_basis: str
    conductor: Conductor
    figures: tuple[tuple[int, float], ...]


@dataclass(frozen=True, eq=False)
class _Held:
    """A lead in the hand."""

    solution: Solution
    solved: EventSolution | None
    places: Places
    held: Lead

    @cached_property
    def net(self) -> Netlist:
        return self.solution.net

    @cached_property
    def topology(self) -> Topology:
        return self.solution.topology

    @cached_property
    def names(self) -> Names:
        return Names(self.solution.boat)

    @cached_property
    def end(self) -> End:
        conductor = self.names.conductors[str(self.held.last)]
        return End(conductor, "tail" if self.held.far == "tail" else "head")

    @cached_property
    def row(self) -> int | None:
        rows = self.net.rows_of.get(str(self.held.last))
        return rows[0] if rows else None

    @cached_property
    def kept_node(self) -> int | None:
        kept = self.end.other.terminal
        return None if kept is None else self.net.node(kept.part, kept.terminal)

    @cached_property
    def own_rows(self) -> set[int]:
        return lead_rows(self.net, self.held)

    @cached_property
    def other_terminal(self) -> str:
        """The terminal of the part's other pole."""
        part, terminal = self.solution.parts[self.held.part], self.held.terminal
        if self.held.polarity == "positive":
            return return_terminal(part, terminal)
        if self.inputs:
            return self.inputs[0][1]
        return "output-1" if isinstance(part, Charger) else "positive"

    @cached_property
    def other_node(self) -> int:
        """The node of the part's other pole."""
        return self.net.node(self.held.part, self.other_terminal)

    def behind_panel(self, tap: int) -> set[int] | None:
        """The elements from a panelboard to the load with the lead at a tap, the held lead left out."""
        if self.held.polarity == "positive":
            found = up_to_panel(self.topology, tap, self.own_rows)
        else:
            found = up_to_panel(self.topology, self.other_node)
        if found is None:
            return None
        other = lead(self.solution.boat, self.held.part, self.other_terminal, self.places.landings)
        return (found | lead_rows(self.net, other)) - self.own_rows

    @cached_property
    def has_device(self) -> bool:
        return any(isinstance(self.solution.parts[name], (Fuse, Breaker)) for name in self.held.inline)

    @cached_property
    def inputs(self) -> tuple[Terminal, ...]:
        """The inputs whose current the lead carries."""
        part = self.solution.parts[self.held.part]
        if isinstance(part, Load):
            return tuple(
                (part.id, one.id) for one in part.inputs if self.held.terminal in {one.id, one.returns_to}
            )
        return tuple(key for key in self.net.inputs if key[0] == part.id)

    # -- the places ---------------------------------------------------------------------------------------

    def places_to_land(self) -> list[_Place]:
        """All targets, one for each node of each part."""
        groups: dict[tuple[str, int], list[Terminal]] = {}
        tap = self.held.tap
        present = None if tap is None else (tap.part, tap.terminal)
        candidates = list(self.places.candidates(self.held))
        if present is not None and present not in candidates:
            candidates.append(present)
        for terminal in candidates:
            node = self.net.node(*terminal)
            if terminal == present or self._is_admissible(node):
                groups.setdefault((terminal[0], node), []).append(terminal)
        return [self._place(node, terminals, present) for (_, node), terminals in groups.items()]

    def _is_admissible(self, node: int) -> bool:
        """Joined by copper and closed switches to a post of the lead's polarity."""
        piece = int(self.topology.metal[node])
        pieces = self._negative_pieces if self.held.polarity == "negative" else self._positive_pieces
        return piece in pieces

    @cached_property
    def _source_pieces(self) -> tuple[set[int], set[int]]:
        network, metal = self.net.network, self.topology.metal
        spans = [network.spans[kind] for kind in ("sources", "limited")]
        plus = {int(piece) for span in spans for piece in metal[network.head[span]]}
        minus = {int(piece) for span in spans for piece in metal[network.tail[span]]}
        return plus, minus

    @cached_property
    def _positive_pieces(self) -> set[int]:
        return self._source_pieces[0] - {self.topology.ground_piece}

    @cached_property
    def _negative_pieces(self) -> set[int]:
        plus, minus = self._source_pieces
        return (minus - plus) | {self.topology.ground_piece}

    def _place(self, node: int, terminals: list[Terminal], present: Terminal | None) -> _Place:
        """The target of one node: the present tap, else the terminal with the most room."""
        here = (
            present if present in terminals else min(terminals, key=lambda t: self.places.lugs(t, self.held))
        )
        same = tuple(terminal for terminal in terminals if terminal != here)
        old = self.end.conductor
        if here == present:
            moved = old
        else:
            moved = moved_conductor(
                self.end,
                TerminalRef(part=here[0], terminal=here[1]),
                (self._place_of_kept, self.solution.parts[here[0]].place),
                Allowance.of(self.solution.boat),
            )
        return _Place(
            terminal=here,
            same=same,
            node=node,
            present=here == present,
            breaks=tuple(self._breaks(here, node)),
            length_m=None if moved.length_m is None else nominal(moved.length_m),
            length_basis=moved.length_basis or "not stated",
            conductor=moved,
            figures=self.figures_of(moved, self.net),
        )

    @cached_property
    def _place_of_kept(self) -> Place | None:
        kept = self.end.other.terminal
        return None if kept is None else self.solution.parts[kept.part].place

    def figures_of(self, conductor: Conductor, net: Netlist) -> tuple[tuple[int, float], ...]:
        """What a conductor's resistance is made of, in the numbers of a netlist."""
        boat = self.solution.boat
        scratch = Rows(boat, self.solution.mode, None, net.figures, frozenset())
        per_m = next((cable.ohm_per_m for cable in boat.cables if cable.id == conductor.cable), None)
        blocks = frozenset(part.id for part in boat.parts if isinstance(part, EngineBlock))
        return conductor_figures(scratch, conductor, per_m, blocks)

    def _breaks(self, terminal: Terminal, node: int) -> Iterator[Break]:
        part = self.solution.parts[self.held.part]
        topology = self.topology
        if self.held.polarity == "positive":
            starter = isinstance(part, Load) and part.role == "starter"
            if not (self.has_device or starter or topology.is_protected(node)):
                yield "unprotected"
            excused = getattr(part, "bypasses_switch", None) is not None
            if not excused and not starter and topology.is_alive_when_off(node):
                yield "always-live"
            if self._is_other_voltage(node):
                yield "other-voltage"
        elif not is_heavy(part) and topology.is_uncounted(node):
            yield "uncounted"
        if self.places.lugs(terminal, self.held) >= MOST_LUGS:
            yield "stud-full"

    def _is_other_voltage(self, node: int) -> bool:
        """Whether the place stands at another system voltage than the load is made for."""
        v = self.solution.steady.node_v
        negative = np.flatnonzero(self.topology.negative_nodes)
        if not len(negative) or np.isnan(v[node]) or np.isnan(v[negative[0]]):
            return False
        nominal_v = self.solution.nominal_v(self.solution.parts[self.held.part])
        return bool(abs(v[node] - v[negative[0]] - nominal_v) > OTHER_VOLTAGE * nominal_v)

    # -- the answers ---------------------------------------------------------------------------------------

    def answer(self) -> PickUp:
        """All targets ranked."""
        targets = self.places_to_land()
        answers = self._answers(targets)
        kinds = (Busbar, Post, Panel, EngineBlock)
        bars = frozenset(part.id for part in self.solution.boat.parts if isinstance(part, kinds))
        taps = ranked(merged(answers), bars)
        return PickUp(
            part=self.held.part,
            terminal=self.held.terminal,
            name=self.names.input(*self.inputs[0]) if self.inputs else self.names.element(self.held.part),
            polarity=self.held.polarity,
            mode=self.solution.mode.id,
            event=None if self.solved is None else self.solved.event.id,
            present=next((one for one in taps if one.present), None),
            taps=tuple(taps),
        )

    def _answers(self, targets: list[_Place]) -> list[TapAnswer]:
        numbers = _Numbers(self, targets)
        return [
            TapAnswer(
                terminal=TerminalRef(part=one.terminal[0], terminal=one.terminal[1]),
                same_as=tuple(TerminalRef(part=part, terminal=name) for part, name in one.same),
                place=self.names.terminal(TerminalRef(part=one.terminal[0], terminal=one.terminal[1])),
                present=one.present,
                rank=None,
                mark=numbers.mark(at),
                breaks=one.breaks,
                lowest=numbers.lowest[at],
                need_v=None if numbers.need is None else numbers.need.value_v,
                verdict=numbers.verdicts[at],
                steady_v=numbers.steady_v(at),
                drop_v=numbers.drop_v(at),
                drop_fraction=numbers.drop_fraction(at),
                shared_ohm=numbers.shared_ohm(at),
                length_m=one.length_m,
                length_basis=one.length_basis,
                counted_fraction=numbers.counted_fraction(at),
                protected=self.held.polarity == "negative" or "unprotected" not in one.breaks,
                others=numbers.others(at),
            )
            for at, one in enumerate(targets)
        ]


class _Numbers:
    """The figures of every target; the present one is read from the base itself."""

    def __init__(self, held: _Held, targets: list[_Place]) -> None:
        self.held, self.targets = held, targets
        self.solution, self.solved = held.solution, held.solved
        self.base = next((at for at, one in enumerate(targets) if one.present), None)
        self.moving = [at for at, one in enumerate(targets) if not one.present]
        self.slot = {at: slot for slot, at in enumerate(self.moving)}
        self.outcome = None if self.solved is None else Outcome.of(self.solution, self.solved)
        self.observed_key = self._observed_key()
        self.need = self._need()
        self.lowest = [self._lowest(at) for at in range(len(targets))]
        self.verdicts = [self._verdict(band) for band in self.lowest]

    def _moves(self, net: Netlist) -> Moves:
        held = self.held
        levels = net.figures.levels
        figures = [self._figures(at, net) for at in self.moving]
        return Moves(
            row=np.full(len(self.moving), held.row, np.intp),
            kept=np.full(len(self.moving), held.kept_node, np.intp),
            tap=np.array([self.targets[at].node for at in self.moving], np.intp),
            ohm=np.array([held_ohm(levels, one) for one in figures], np.float64),
        )

    def _figures(self, at: int, net: Netlist) -> tuple[tuple[int, float], ...]:
        """The moved conductor's resistance in a netlist's own numbers."""
        return self.held.figures_of(self.targets[at].conductor, net)

    # -- the event -----------------------------------------------------------------------------------------

    def _observed_key(self) -> Terminal | None:
        """The input with the least to spare on this lead; for the event's heavy load, itself."""
        if self.solved is None or self.outcome is None:
            return None
        spare = [
            (
                self.solved.lowest[self.solved.inputs.index(key)].value
                - (self.outcome.needs[key].value_v or 0.0),
                key,
            )
            for key in self.held.inputs
            if key in self.outcome.needs
        ]
        return min(spare)[1] if spare else None

    def _need(self) -> Need | None:
        return (
            None
            if self.observed_key is None or self.outcome is None
            else self.outcome.needs[self.observed_key]
        )

    @cached_property
    def observed(self) -> int | None:
        """The element whose lowest voltage is shown."""
        if self.solved is None:
            return None
        if self.observed_key is not None:
            return self.solved.net.inputs[self.observed_key]
        return self.solved.heavy_element if self.solved.heavy[0] == self.held.held.part else None

    @cached_property
    def event(self) -> EventNumbers | None:
        """Voltages in the event after every move."""
        if self.solved is None or not self.moving:
            return None
        net = self.solved.net
        figures = tuple(self._figures(at, net) for at in self.moving)
        anything = self.observed if self.observed is not None else self.solved.heavy_element
        return EventNumbers(self.solved, self._moves(net), anything, figures)

    def _lowest(self, at: int) -> Band | None:
        if self.solved is None or self.observed is None or (self.event is None and at != self.base):
            return None
        if self.event is None or at == self.base:
            if self.observed_key is not None:
                return self.solved.lowest[self.solved.inputs.index(self.observed_key)]
            volts = float(self.solved.present.element_v[self.observed])
            return None if np.isnan(volts) else Band(volts, volts, volts)
        band = self.event.lowest(self.slot[at])
        if np.isnan(band.value):
            return None
        return self.event.exact_lowest(self.slot[at]) if self._is_doubtful(band) else band

    def _is_doubtful(self, band: Band) -> bool:
        """Whether the slightly rough band of a what-if could turn the verdict."""
        if self.need is None:
            return False
        widths = ((band.value - band.low) * factor for factor in ROUGH_BAND)
        heights = ((band.high - band.value) * factor for factor in ROUGH_BAND)
        bands = [
            Band(band.value - w, band.value, band.value + h) for w, h in zip(widths, heights, strict=True)
        ]
        return len({verdict(one, self.need) for one in bands}) > 1

    def _verdict(self, lowest: Band | None) -> Verdict:
        if lowest is None or self.need is None:
            return "limit-not-known"
        return verdict(lowest, self.need)

    def others(self, at: int) -> OthersEffect:
        """What becomes of everybody else."""
        if self.solved is None or self.outcome is None:
            return OthersEffect(None, None, None, 0, 0, 0, 0, 0)
        return _others(self, self.solved, self.outcome, at)

    def after_v(self, at: int, element: int) -> Volt:
        """Voltage of an element at the first instant with the lead at a target."""
        if self.solved is None:
            return float("nan")
        if at == self.base or self.event is None:
            return float(self.solved.present.element_v[element])
        return float(self.event.points.voltage_v[self.slot[at], element])

    # -- the steady state ----------------------------------------------------------------------------------

    @cached_property
    def _steady(self) -> Floats:
        solution = self.solution
        moves = self._moves(solution.net)
        moved = moved_voltages(Linearised(solution.steady), moves, relays_held=False)
        first = len(solution.net.network.resistors)
        full = np.full((len(moves), solution.net.network.size), np.nan)
        full[:, first:] = moved.voltage_v
        return full

    @cached_property
    def _steady_element(self) -> int | None:
        net = self.solution.net
        key = self.observed_key or next(iter(self.held.inputs), None)
        if key is None or net.off[net.inputs[key]]:
            return None
        return net.inputs[key]

    def steady_v(self, at: int) -> Volt | None:
        """Steady voltage of the load with its lead at a target."""
        if self._steady_element is None:
            return None
        if at == self.base:
            volts = float(self.solution.steady.element_v[self._steady_element])
        else:
            volts = float(self._steady[self.slot[at], self._steady_element])
        return None if np.isnan(volts) else volts

    # -- the network between sources and loads -------------------------------------------------------------

    @cached_property
    def _held_ohm(self) -> Floats:
        """Resistance of the whole lead at each target."""
        net = self.solution.net
        chain = sum(
            float(net.network.resistors.ohm[row]) for row in self.held.own_rows if row != self.held.row
        )
        levels = net.figures.levels
        return np.array([chain + held_ohm(levels, one.figures) for one in self.targets])

    def _source_numbers(self, point: OperatingPoint, net: Netlist) -> SourceNumbers:
        nodes = np.array([one.node for one in self.targets], np.intp)
        into_tap = self.held.held.polarity == "negative"
        return SourceNumbers(point, net, nodes, self.held.other_node, self._held_ohm, into_tap)

    @cached_property
    def _steady_numbers(self) -> SourceNumbers:
        return self._source_numbers(self.solution.steady, self.solution.net)

    @cached_property
    def _shunts(self) -> Indices:
        labels = self.solution.net.labels
        return np.array([row for row, label in enumerate(labels) if label.kind == "measuring-shunt"], np.intp)

    @cached_property
    def _counted(self) -> Floats:
        return self._steady_numbers.counted_fraction(self._shunts)

    def counted_fraction(self, at: int) -> float:
        """Share of the load's current that the shunt counts."""
        counted = float(self._counted[at])
        return 0.0 if np.isnan(counted) else counted

    @cached_property
    def _shared(self) -> Floats | None:
        if self.solved is None or self.solved.heavy[0] == self.held.held.part:
            return None
        network = self.solved.net.network
        element = self.solved.heavy_element
        numbers = self._source_numbers(self.solved.absent, self.solved.net)
        return numbers.shared_ohm(int(network.tail[element]), int(network.head[element]))

    def shared_ohm(self, at: int) -> float | None:
        """Transfer resistance with the heavy load."""
        return None if self._shared is None else float(self._shared[at])

    @cached_property
    def _drops(self) -> Floats | None:
        if not self.held.inputs:
            return None
        part = self.solution.parts[self.held.held.part]
        nominal_v = self.solution.nominal_v(part)
        current, _ = design_current(part, self.held.inputs[0][1], nominal_v)
        numbers = self._steady_numbers
        drops = numbers.loop_ohm()
        if self.solution.boat.practice.drop_counts_from == "panelboard":
            for at, one in enumerate(self.targets):
                behind = self.held.behind_panel(one.node)
                if behind is not None:
                    only = np.zeros(self.solution.net.network.size)
                    only[list(behind)] = 1.0
                    drops[at] = numbers.loop_ohm(only)[at]
        return current * drops

    def drop_v(self, at: int) -> Volt | None:
        """Design drop with the lead at a target, counted as the boat's practice counts."""
        if self._drops is None or np.isnan(self._drops[at]):
            return None
        return float(self._drops[at])

    def drop_fraction(self, at: int) -> float | None:
        """The same as a share of nominal voltage."""
        drop = self.drop_v(at)
        part = self.solution.parts[self.held.held.part]
        return None if drop is None else drop / self.solution.nominal_v(part)

    def mark(self, at: int) -> Mark:
        """The one sign for a target."""
        if self.targets[at].breaks and at != self.base:
            return "breaks"
        if self.base is None or at == self.base:
            return "same"
        others = self.others(at)
        before, after = self.lowest[self.base], self.lowest[at]
        if others.restarts_after > others.restarts_before:
            return "worse"
        if self.need is not None and self.need.can_restart:
            old, new = VERDICT_ORDER[self.verdicts[self.base]], VERDICT_ORDER[self.verdicts[at]]
            if new == 0 and old > 0:
                return "clears"
            if new != old:
                return "better" if new < old else "worse"
        gain = 0.0 if before is None or after is None else after.value - before.value
        if abs(gain) < BETTER_V:
            return "same"
        return "better" if gain > 0 else "worse"


def _others(numbers: _Numbers, solved: EventSolution, outcome: Outcome, at: int) -> OthersEffect:
    better = worse = unchanged = before_restarts = after_restarts = 0
    margins: list[tuple[float, Terminal, Volt, Volt]] = []
    for key, band in zip(solved.inputs, solved.lowest, strict=True):
        if key[0] == numbers.held.held.part or is_heavy(numbers.solution.parts[key[0]]):
            continue
        need = outcome.needs[key]
        after = numbers.after_v(at, solved.net.inputs[key])
        change = after - band.value
        moved = Band(band.low + change, after, band.high + change)
        old, new = VERDICT_ORDER[verdict(band, need)], VERDICT_ORDER[verdict(moved, need)]
        before_restarts += old == VERDICT_ORDER["restarts"]
        after_restarts += new == VERDICT_ORDER["restarts"]
        if np.isnan(after) or new > old or (new == old and change <= -BETTER_V):
            worse += 1
        elif new < old or change >= BETTER_V:
            better += 1
        else:
            unchanged += 1
        if need.can_restart:
            margins.append((after - (need.value_v or 0.0), key, band.value, after))
    if not margins:
        return OthersEffect(None, None, None, before_restarts, after_restarts, better, worse, unchanged)
    _, key, before_v, after_v = min(margins)
    name = numbers.held.names.input(*key)
    return OthersEffect(name, before_v, after_v, before_restarts, after_restarts, better, worse, unchanged)
