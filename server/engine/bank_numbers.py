"""What each bank of batteries has and takes while a charging source gives, with its lead at every place."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.parts import Alternator, Battery, Charger, Converter, Solar
from server.engine.answer import BankAnswer
from server.engine.arrays import Floats, Indices
from server.engine.held_lead import HeldLead
from server.engine.lead_update import Moves
from server.engine.solution import Solution
from server.engine.what_if import moved_voltages


def gives(held: HeldLead) -> bool:
    """Whether the lead is that of a charging source that is on in the mode."""
    part, net = held.solution.parts[held.held.part], held.net
    if not isinstance(part, Alternator | Charger | Solar | Converter):
        return False
    rows = range(net.network.size)[net.network.spans["limited"]]
    return any(net.labels[row].element == part.id and not net.off[row] for row in rows)


@dataclass(frozen=True, eq=False)
class BankNumbers:
    """The banks in the steady state, after every move and as they are now."""

    held: HeldLead
    moves: Moves

    @property
    def _solution(self) -> Solution:
        return self.held.solution

    @cached_property
    def _rows(self) -> Mapping[str, int]:
        """The element of every battery that is in the circuit."""
        net = self.held.net
        return {net.labels[row].element: row for row in range(net.network.size)[net.network.spans["sources"]]}

    @cached_property
    def _elements(self) -> Indices:
        return np.array(list(self._rows.values()), np.intp)

    @cached_property
    def _column(self) -> Mapping[str, int]:
        return {name: column for column, name in enumerate(self._rows)}

    @cached_property
    def _post_v(self) -> Floats:
        """Volts between the posts of every battery (columns) after every move, and last as they are now."""
        linear, steady = self._solution.steady_linear, self._solution.steady
        moved = moved_voltages(linear, self.moves, self._elements, relays_held=False).voltage_v
        volts: Floats = -np.vstack([moved, steady.element_v[self._elements]])
        return volts

    @cached_property
    def _taken_a(self) -> Floats:
        """What every battery takes; I = (U - E) / R, as a battery is a rest voltage behind a resistance."""
        steady = self._solution.steady
        emf_v, conductance = steady.rise_v[self._elements], steady.conductance[self._elements]
        taken: Floats = np.nan_to_num(conductance * (self._post_v - emf_v))
        return taken

    @cached_property
    def _banks(self) -> Mapping[str, list[Battery]]:
        found: dict[str, list[Battery]] = {}
        for part in self._solution.boat.parts:
            if isinstance(part, Battery) and part.id in self._rows:
                found.setdefault(part.bank or part.name, []).append(part)
        return found

    def at(self, slot: int, landing: int) -> tuple[BankAnswer, ...]:
        """The banks with the lead at a place: ``slot`` is its move (-1: as it lies), ``landing`` its node."""
        return tuple(self._bank(name, part, slot, landing) for name, part in self._banks.items())

    def _bank(self, name: str, batteries: list[Battery], slot: int, landing: int) -> BankAnswer:
        """One bank: the mean of its strings' volts, and the sum of what they take.

        Every battery counts by its share of the bank's nominal voltage, so that two of 6 V in a row have
        together what one of 12 V has, and take what one takes.
        """
        at = np.array([self._column[part.id] for part in batteries], np.intp)
        share = np.array([part.nominal_voltage_v for part in batteries])
        share /= np.array([self._solution.nominal_v(part) for part in batteries])
        volts, taken = self._post_v[:, at] / share, self._taken_a[:, at] * share
        weight = share / share.sum()
        return BankAnswer(
            name=name,
            before_v=_known(float(volts[-1] @ weight)),
            after_v=_known(float(volts[slot] @ weight)),
            current_before_a=float(taken[-1].sum()),
            current_after_a=float(taken[slot].sum()),
            counted=self._is_counted(batteries, landing),
        )

    def _is_counted(self, batteries: list[Battery], landing: int) -> bool | None:
        """Whether the source's current comes back to a bank through its shunt; None where it has none."""
        topology, net = self.held.topology, self.held.net
        counted = set(topology.counted_posts.tolist())
        posts = [net.node(part.id, "negative") for part in batteries]
        monitored = [node for node in posts if node in counted]
        if not monitored:
            return None
        returned = landing if self.held.held.polarity == "negative" else self.held.other_node
        return not topology.among(topology.without_shunts, returned, np.array(monitored, np.intp))


def _known(volts: float) -> float | None:
    return None if np.isnan(volts) else volts
