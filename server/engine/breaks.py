"""What a lead would break at a place: its protection, the switch, the count, the voltage, the stud."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.conductors import Conductor
from server.boat.leads import Lead
from server.boat.parts import AnyPart, Breaker, Contact, Converter, Fuse, Load, Outboard, Panel
from server.boat.terminals import section_terminals
from server.boat.value import nominal
from server.engine.answer import Break
from server.engine.arrays import Flags
from server.engine.outcome import is_heavy
from server.engine.places import MOST_LUGS
from server.engine.solution import Solution
from server.practice.profiles import profile
from server.practice.protection import location_limit
from server.units import Metre, Volt

OTHER_VOLTAGE = 0.3
"""A place whose voltage is off the load's nominal one by more than this share belongs to another system."""


@dataclass(frozen=True, eq=False)
class Breaking:
    """What one lead would break at each place; ``takes_current`` is false for the leads of sources."""

    solution: Solution
    held: Lead
    takes_current: bool

    def at(self, node: int, lugs: int, moved: Callable[[], Conductor]) -> Iterator[Break]:
        """What the lead breaks on a node, beside so many lugs, its last conductor being ``moved``."""
        if self.held.polarity == "positive":
            if not self._is_starter and not self._protected_nodes[node] and not self._is_near_device(moved):
                yield "unprotected"
            yield from self._switching(node)
            if self._other_voltage[node]:
                yield "other-voltage"
        elif not is_heavy(self._part) and self.solution.topology.uncounted_nodes[node]:
            yield "uncounted"
        if lugs >= MOST_LUGS:
            yield "stud-full"

    @cached_property
    def _part(self) -> AnyPart:
        return self.solution.parts[self.held.part]

    @cached_property
    def _is_starter(self) -> bool:
        part = self._part
        return isinstance(part, Outboard) or (isinstance(part, Load) and part.role == "starter")

    @cached_property
    def _protected_nodes(self) -> Flags:
        """Nodes behind a device; for a source's lead, from all sources but that one."""
        topology = self.solution.topology
        if self.takes_current:
            return topology.protected_nodes
        return topology.protected_from_others(self.held.part, self.held.conductors)

    def _is_near_device(self, moved: Callable[[], Conductor]) -> bool:
        """Whether the lead's own fuse or breaker is within the rule's distance of the tap.

        A conductor whose length is not known is not taken to be short.
        """
        if self._behind is None:
            return False
        run = (moved(), *self._behind)
        sheathed = all(one.sheathed == "yes" for one in run if one.kind == "wire")
        standard = profile(self.solution.boat.practice.profile).standard
        limit = location_limit(standard, on_battery=False, sheathed=sheathed)
        return limit is None or sum(_length(one) for one in run) <= limit.value

    @cached_property
    def _behind(self) -> tuple[Conductor, ...] | None:
        """The conductors between the last one and the lead's first own device; None without a device."""
        run = list[Conductor]()
        for part, conductor in zip(
            reversed(self.held.inline), reversed(self.held.conductors[:-1]), strict=True
        ):
            if isinstance(self.solution.parts[part], (Fuse, Breaker)):
                return tuple(run)
            run.append(self.solution.names.conductors[conductor])
        return None

    def _switching(self, node: int) -> Iterator[Break]:
        """What stays alive with the battery switch off, and what does not, stay so."""
        if not self._is_switched:
            return
        alive = self.solution.topology.alive_nodes
        if alive[node] and not self._is_meant_alive:
            yield "always-live"
        tap = self.held.tap
        is_alive_today = tap is not None and bool(alive[self.solution.net.node(tap.part, tap.terminal)])
        if not alive[node] and is_alive_today and self._is_meant_alive:
            yield "wrong-switching"

    @cached_property
    def _is_switched(self) -> bool:
        """Whether the battery switch is for this lead to be behind: not a starter's, nor one with its own."""
        inline = (self.solution.parts[name] for name in self.held.inline)
        own = any(isinstance(part, Contact) and part.is_battery_switch for part in inline)
        is_subject = self.takes_current and not self._is_starter and not own
        return is_subject and self.solution.topology.has_battery_switch

    @cached_property
    def _is_meant_alive(self) -> bool:
        """Whether a reason is stated to bypass the switch, or an always-live panel section feeds the lead."""
        if getattr(self._part, "bypasses_switch", None) is not None:
            return True
        tap = self.held.tap
        fed_by = None if tap is None else self.solution.parts[tap.part]
        return isinstance(fed_by, Panel) and any(
            section.always_live and tap is not None and tap.terminal in section_terminals(section)
            for section in fed_by.sections
        )

    @cached_property
    def _other_voltage(self) -> Flags:
        """Nodes that stand at another system voltage than the load is made for."""
        v = self.solution.steady.node_v
        negative = np.flatnonzero(self.solution.topology.negative_nodes)
        ground_v = v[negative[0]] if len(negative) else np.nan
        nominal_v = self._nominal_v
        other: Flags = np.abs(v - ground_v - nominal_v) > OTHER_VOLTAGE * nominal_v
        return other

    @cached_property
    def _nominal_v(self) -> Volt:
        """Nominal voltage at this terminal; nan where nothing states it, as at a converter's input."""
        if isinstance(self._part, Converter):
            return self._part.output_v if self.held.terminal == "output" else np.nan
        return self.solution.nominal_v(self._part)


def _length(conductor: Conductor) -> Metre:
    """Length along a conductor; a link is metal on metal."""
    if conductor.kind == "link":
        return 0.0
    return np.inf if conductor.length_m is None else nominal(conductor.length_m)
