"""The figures of every target of a held lead; those of its present place are read from the base itself."""

from functools import cached_property

import numpy as np

from server.engine.answer import Band, BankAnswer, Mark, OthersEffect, Verdict
from server.engine.arrays import Floats, Indices
from server.engine.bands import LeadOhm
from server.engine.bank_numbers import BankNumbers, gives
from server.engine.drop import SMALLEST_UNKNOWN, design_current
from server.engine.effects import Effects, others_after
from server.engine.held_lead import HeldLead, Target
from server.engine.lead_update import Moves
from server.engine.needs import Need, verdict
from server.engine.netlist import Netlist
from server.engine.netlist_conductors import is_unknown
from server.engine.netlist_rows import Terminal
from server.engine.outcome import Outcome
from server.engine.ranking import charge_sign, sign
from server.engine.shared_path import SourceNetwork
from server.engine.tap_numbers import EventNumbers, SourceNumbers
from server.engine.what_if import moved_voltages
from server.units import Volt


class TargetNumbers:
    """The figures of every target; the present one is read from the base itself."""

    def __init__(self, held: HeldLead, targets: list[Target]) -> None:
        self.held, self.targets = held, targets
        self.solution, self.solved = held.solution, held.solved
        self.base = next((at for at, one in enumerate(targets) if one.present), None)
        self.moving = [at for at, one in enumerate(targets) if not one.present]
        self.slot = {at: slot for slot, at in enumerate(self.moving)}
        self.outcome = None if self.solved is None else Outcome.of(self.solution, self.solved)
        self.observed_key = self._observed_key()
        self.need = self._need()
        self.lowest = [self._lowest(at) for at in range(len(targets))]
        self.verdicts = [self._verdict(at) for at in range(len(targets))]

    def _moves(self, net: Netlist) -> Moves:
        held = self.held
        return Moves(
            row=np.full(len(self.moving), held.row, np.intp),
            kept=np.full(len(self.moving), held.kept_node, np.intp),
            tap=np.array([self.targets[at].node for at in self.moving], np.intp),
            ohm=np.array([self._ohm_at(at, net).ohm for at in self.moving], np.float64),
        )

    def _ohm_at(self, at: int, net: Netlist) -> LeadOhm:
        """The moved conductor's resistance in a netlist's own numbers."""
        return self.held.ohm_of(self.targets[at].conductor, net)

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
        leads = tuple(self._ohm_at(at, net) for at in self.moving)
        return EventNumbers(self.solved, self._moves(net), leads)

    @cached_property
    def _bands(self) -> list[Band]:
        """The observed voltage with its band after every move; nan where it is fed no longer."""
        event, observed = self.event, self.observed
        return [] if event is None or observed is None else event.bands(observed)

    def _lowest(self, at: int) -> Band | None:
        if self.observed is None or self.solved is None:
            return None
        if at != self.base:
            band = self._bands[self.slot[at]]
        elif self.observed_key is not None:
            band = self.solved.lowest[self.solved.inputs.index(self.observed_key)]
        else:
            volts = float(self.solved.present.element_v[self.observed])
            band = Band(volts, volts, volts)
        return None if np.isnan(band.value) else band

    def _verdict(self, at: int) -> Verdict:
        lowest = self.lowest[at]
        if lowest is None or self.need is None:
            return "limit-not-known"
        return verdict(lowest, self.need, at_best=bool(self.unknown(at)))

    def unknown(self, at: int) -> tuple[str, ...]:
        """The wires of unknown resistance on the load's way with the lead at a target, by id."""
        held, net = self.held, self.solution.net
        wires, moved = net.unknown_wires, self.targets[at].conductor
        own = is_unknown(moved, held.places.cable_ohm_per_m.get(moved.cable or ""))
        found = {moved.id} if own else set()
        if len(wires):
            unit = np.abs(np.nan_to_num(self._steady_numbers.unit_currents[at, wires])) > SMALLEST_UNKNOWN
            on_way = [row for row in wires[unit].tolist() if row not in held.own_rows]
            chain = [row for row in wires.tolist() if row in held.own_rows and row != held.row]
            found |= {net.labels[row].element for row in (*on_way, *chain)}
        return tuple(sorted(found))

    @cached_property
    def _effects(self) -> Effects | None:
        if self.solved is None or self.outcome is None:
            return None
        return Effects.of(self.solution, self.solved, self.outcome).but(self.held.held.part)

    def others(self, at: int) -> OthersEffect:
        """What becomes of everybody else."""
        return self._others[self.slot.get(at, -1)]

    @cached_property
    def _others(self) -> list[OthersEffect]:
        """After every move, and last as they are now."""
        effects = self._effects
        if effects is None:
            return [OthersEffect(None, None, None, 0, 0, 0, 0, 0)] * (len(self.moving) + 1)
        seen = [effects.now]
        if self.event is not None:
            seen.insert(0, others_after(effects, self.event))
        return [one for rows in seen for one in effects.after(rows, self.held.names)]

    # -- the steady state ----------------------------------------------------------------------------------

    @cached_property
    def _steady(self) -> Floats:
        """The steady voltage of the observed input after every move."""
        solution = self.solution
        at = np.array([self._steady_element], np.intp)
        moved = moved_voltages(solution.steady_linear, self._moves(solution.net), at, relays_held=False)
        return moved.voltage_v[:, 0]

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
            volts = float(self._steady[self.slot[at]])
        return None if np.isnan(volts) else volts

    # -- the network between sources and loads -------------------------------------------------------------

    @cached_property
    def _held_ohm(self) -> Floats:
        """Resistance of the whole lead at each target."""
        net = self.solution.net
        chain = sum(
            float(net.network.resistors.ohm[row]) for row in self.held.own_rows if row != self.held.row
        )
        return np.array([chain + self._ohm_at(at, net).ohm for at in range(len(self.targets))])

    def _source_numbers(self, source: SourceNetwork, net: Netlist) -> SourceNumbers:
        nodes = np.array([one.node for one in self.targets], np.intp)
        into_tap = self.held.held.polarity == "negative"
        return SourceNumbers(source, net, nodes, self.held.other_node, self._held_ohm, into_tap)

    @cached_property
    def _steady_numbers(self) -> SourceNumbers:
        return self._source_numbers(self.solution.source_network, self.solution.net)

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
        numbers = self._source_numbers(self.solved.source_network, self.solved.net)
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
                    drops[at] = numbers.partial_ohm(at, np.array(sorted(behind), np.intp))
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

    def mark(self, at: int, others: OthersEffect) -> Mark:
        """The one sign for a target."""
        if self.targets[at].breaks and at != self.base:
            return "breaks"
        if self.base is None or at == self.base:
            return "same"
        banks = self.banks(at)
        if banks and others.restarts_after <= others.restarts_before:
            return charge_sign(banks)
        restarts = (others.restarts_before, others.restarts_after)
        return sign(self._seen(self.base), self._seen(at), restarts)

    def banks(self, at: int) -> tuple[BankAnswer, ...]:
        """What every bank has and takes with the lead of a source at a target."""
        if self._bank_numbers is None:
            return ()
        return self._bank_numbers.at(self.slot.get(at, -1), self.targets[at].node)

    @cached_property
    def _bank_numbers(self) -> BankNumbers | None:
        return BankNumbers(self.held, self._moves(self.solution.net)) if gives(self.held) else None

    def _seen(self, at: int) -> tuple[Volt | None, Verdict]:
        lowest = self.lowest[at]
        return None if lowest is None else lowest.value, self.verdicts[at]
