"""Steady voltage drop of every load of a mode, as designed and by the handbook formula.

Design drop: design current times Σ R_e a_e², where a_e is the share of the load's current in each element of
its way out and back (in a tree all ones). Batteries are left out. In meshes this is the drop the load causes
alone.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from server.boat.value import nominal
from server.engine.answer import Drop, DropVerdict
from server.engine.arrays import Flags, Floats, Indices
from server.engine.drop import (
    SHARE_OF_NOTHING,
    design_current,
    drop_rule,
    lead_rows,
    lossy_ohm,
    return_terminal,
    unknown_on_way,
    up_to_panel,
)
from server.engine.netlist import Netlist
from server.engine.netlist_rows import Terminal
from server.engine.shared_path import offered_v
from server.engine.solution import Solution
from server.engine.unit_ways import UnitWays
from server.practice.drop_limits import circular_mil_drop, metric_drop
from server.practice.profiles import profile
from server.units import Ratio


@dataclass(frozen=True, eq=False)
class Drops:
    """The drops of a mode; what all loads have in common is worked out once for all of them."""

    solution: Solution

    def of(self, column: int) -> Drop | None:
        """The drop of an input, by its place among the inputs; None where no source feeds it."""
        solution, key = self.solution, self.solution.inputs[column]
        if self._unfed[column]:
            return None
        part, element = solution.parts[key[0]], solution.net.inputs[key]
        nominal_v = solution.nominal_v(part)
        current, basis = design_current(part, key[1], nominal_v)
        behind_panel = self._behind_panel(key)
        at = self._fed_at[column]
        whole = self._whole[:, at]
        beyond = None if behind_panel is None else self._ways.squares_among(self._weights, behind_panel, at)
        counted: Literal["battery", "panelboard"] = solution.boat.practice.drop_counts_from
        judged_by, judged_rows = whole, None
        if counted == "panelboard" and beyond is not None:
            judged_by, judged_rows = beyond, behind_panel
        judged, low, high, conductors, _, _ = map(float, current * judged_by)
        unknown = unknown_on_way(self.net, lambda: self._ways.unit(at), judged_rows)
        limit, source = drop_rule(solution.boat, part)
        is_on = not self.net.off[element]
        volts = float(solution.steady.element_v[element])
        handbook, untold = float(whole[4]), float(whole[5])
        return Drop(
            design_current_a=current,
            current_basis=basis,
            from_battery_v=current * float(whole[0]),
            from_panelboard_v=None if beyond is None else current * float(beyond[0]),
            counted_from="battery" if beyond is None else counted,
            judged_v=judged,
            judged_fraction=judged / nominal_v,
            limit_fraction=limit,
            limit_source=source,
            in_circuit_v=float(self._at_posts_v[at]) - volts if is_on else None,
            handbook_v=current * handbook if untold < SHARE_OF_NOTHING**2 else None,
            verdict=_verdict(low / nominal_v, judged / nominal_v, limit, whole=not unknown),
            judged_low_fraction=low / nominal_v,
            judged_high_fraction=high / nominal_v,
            conductors_v=conductors,
            unknown=tuple(solution.names.element(self.net.labels[row].element) for row in unknown),
        )

    @property
    def net(self) -> Netlist:
        """The mode's netlist."""
        return self.solution.net

    @cached_property
    def _unfed(self) -> Flags:
        return ~self.solution.source_network.reaches(self.solution.elements)

    @cached_property
    def _fed_at(self) -> Indices:
        """For each input its place among those that are fed."""
        at: Indices = np.cumsum(~self._unfed) - 1
        return at

    @cached_property
    def _ways(self) -> UnitWays:
        return UnitWays(self.solution.source_network, self.solution.elements[~self._unfed])

    @cached_property
    def _weights(self) -> Floats:
        """What an ampere squared loses in every element, by four resistances and by the handbook.

        The rows: value, low end, high end, wire without joints, handbook formula, one where that is not told.
        """
        low, high = self._ohm_band
        wire, handbook, untold = (np.zeros_like(self._ohm) for _ in range(3))
        wire[self._wires] = self.net.split_ohm[self._wires, 0]
        volts = self._handbook_v_per_ampere
        handbook[self._wires] = np.nan_to_num(volts)
        untold[self._wires] = np.isnan(volts)
        return np.stack([self._ohm, low, high, wire, handbook, untold])

    @cached_property
    def _whole(self) -> Floats:
        """Volts for one ampere over the whole way of each fed input (column), by each of the weights."""
        return self._ways.squares_over(self._weights)

    @cached_property
    def _ohm(self) -> Floats:
        """Resistance of everything between batteries and loads; zero elsewhere."""
        return lossy_ohm(self.net, self.solution.steady)

    @cached_property
    def _ohm_band(self) -> tuple[Floats, Floats]:
        """The same with every uncertain figure at its low end, and at its high end."""
        net = self.net
        here = self._ohm > 0
        low, high = self._ohm.copy(), self._ohm.copy()
        levels = net.figures.levels
        below = np.array([level.low - level.value for level in levels])[net.figure_number]
        above = np.array([level.high - level.value for level in levels])[net.figure_number]
        resistors = net.network.spans["resistors"]
        low[resistors] += (net.coefficient * below).sum(axis=1)
        high[resistors] += (net.coefficient * above).sum(axis=1)
        for row, figure, level in net.bands:
            if figure == "ohm":
                low[row] += level.low - level.value
                high[row] += level.high - level.value
        return np.where(here, np.maximum(low, 0.0), 0.0), np.where(here, high, 0.0)

    @cached_property
    def _wires(self) -> Indices:
        """The elements that are wires."""
        return np.array([row for row, label in enumerate(self.net.labels) if label.kind == "wire"], np.intp)

    @cached_property
    def _at_posts_v(self) -> Floats:
        """What the posts of the batteries that feed each input offer it, with the whole mode on."""
        sources = self.net.network.spans["sources"]
        return offered_v(self.solution.steady, self._ways.at(sources))

    @cached_property
    def _handbook_v_per_ampere(self) -> Floats:
        """The circular-mil formula (or the metric one) for each wire; nan where it cannot be told."""
        formula = circular_mil_drop
        if profile(self.solution.boat.practice.profile).handbook_formula == "metric":
            formula = metric_drop
        wires = [self.solution.names.conductors[self.net.labels[row].element] for row in self._wires.tolist()]
        return np.array(
            [
                np.nan
                if wire.size is None or wire.length_m is None
                else formula(1.0, nominal(wire.length_m), wire.size.area_mm2)
                for wire in wires
            ],
            np.float64,
        )

    def _behind_panel(self, key: Terminal) -> list[int] | None:
        """The elements between the panelboard that feeds a load and the load; None where no panelboard does.

        On the positive side everything up to the panel's bar; on the negative side the load's lead.
        """
        solution = self.solution
        start = int(self.net.network.tail[self.net.inputs[key]])
        found = up_to_panel(solution.topology, start)
        if found is None:
            return None
        back = solution.places.leads[key[0], return_terminal(solution.parts[key[0]], key[1])]
        return sorted(found.union(lead_rows(self.net, back)))


def _verdict(low: Ratio, likeliest: Ratio, limit: Ratio | None, *, whole: bool) -> DropVerdict:
    """Fail only with the low end above the limit, pass only with the likeliest figure at or below it.

    A way of which a part is unknown loses more still, so that it can fail but not pass.
    """
    if limit is None:
        return "cannot-tell"
    if low > limit:
        return "fail"
    return "pass" if whole and likeliest <= limit else "cannot-tell"
