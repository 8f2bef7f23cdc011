"""Load dump: which switch positions and turns leave an alternator that runs without a battery.

A question to the graph alone. What voltage comes of it depends on the alternator's field and its current, so
it is never computed: the published range stands beside each answer, see ``server.practice.load_dump``.
Combining relays and diode isolators count as a way to a battery.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import permutations
from typing import Literal

import numpy as np

from server.boat.boat import Boat
from server.boat.modes import Mode
from server.boat.parts import Alternator, Battery, Breaker, Contact, Fuse, Load, Outboard
from server.engine.arrays import Indices
from server.engine.islands import pieces
from server.engine.netlist import Netlist, netlist

How = Literal["position", "turn", "device", "already"]


@dataclass(frozen=True, slots=True)
class LostBattery:
    """One way for an alternator to lose its battery.

    ``how``: a switch in this position; a switch turned between two positions that both have a battery, with
    an instant of none between them (``certain`` only where the switch is known to break before it makes); a
    fuse or breaker that opens; or ``already``, with nothing changed in the mode.
    ``sharing`` names the loads that then hang on the alternator alone. ``field_opens`` says that an auxiliary
    contact of the switch opens first, as one for the field does.
    """

    alternator: str
    how: How
    switch: str | None
    before: str | None
    after: str | None
    certain: bool
    field_opens: bool
    suppressed: bool
    sharing: tuple[str, ...]


def lost_batteries(boat: Boat, mode: Mode) -> tuple[LostBattery, ...]:
    """Every way in which one switch or device, from a mode, takes all batteries off an alternator.

    A boat's alternators are all looked at, whether the mode lists them as running or not.
    """
    copper = _Copper(boat, netlist(boat, mode))
    found = [one for alternator in _alternators(boat) for one in _of_one(copper, alternator)]
    return tuple(found)


def _alternators(boat: Boat) -> Iterator[Alternator | Outboard]:
    for part in boat.parts:
        if isinstance(part, Alternator) or (isinstance(part, Outboard) and part.charging_a is not None):
            yield part


def _of_one(copper: "_Copper", alternator: Alternator | Outboard) -> Iterator[LostBattery]:
    now = _Wired(copper, alternator, copper.as_it_stands)
    if not now.has_battery:
        yield now.lost("already")
        return
    for part in copper.boat.parts:
        if isinstance(part, Contact):
            yield from _by_switch(copper, alternator, part)
        elif isinstance(part, Fuse | Breaker):
            wired = _Wired(copper, alternator, copper.with_only(part.id, ()))
            if not wired.has_battery:
                yield wired.lost("device", part.id)


def _by_switch(
    copper: "_Copper", alternator: Alternator | Outboard, switch: Contact
) -> Iterator[LostBattery]:
    wired = {
        position.id: _Wired(copper, alternator, copper.with_only(switch.id, position.closed))
        for position in switch.positions
    }
    names = {position.id: position.name for position in switch.positions}
    leads = any(contact.leads_main == "yes" for contact in switch.auxiliary)
    for position, then in wired.items():
        if not then.has_battery:
            yield then.lost("position", switch.id, None, names[position], field_opens=leads)
    if switch.order == "make-before-break":
        return
    joined = {position.id: frozenset(position.closed) for position in switch.positions}
    for a, b in permutations(wired, 2):
        if wired[a].has_battery and wired[b].has_battery and joined[a] != joined[b]:
            between = _Wired(copper, alternator, copper.with_only(switch.id, joined[a] & joined[b]))
            if not between.has_battery:
                certain = switch.order == "break-before-make"
                yield between.lost("turn", switch.id, names[a], names[b], certain=certain, field_opens=leads)


@dataclass(frozen=True, eq=False)
class _Copper:
    """What joins the nodes of a mode: copper, closed switches and devices, relays, diodes."""

    boat: Boat
    net: Netlist

    @cached_property
    def rows(self) -> Indices:
        """The elements that join."""
        network = self.net.network
        kinds = ("resistors", "diodes", "relays")
        return np.concatenate([np.arange(network.size)[network.spans[kind]] for kind in kinds])

    @cached_property
    def as_it_stands(self) -> Indices:
        """The piece of every node."""
        return self._pieces(self.rows, ())

    def with_only(self, part: str, closed: Iterable[tuple[str, str]]) -> Indices:
        """The piece of every node while a switch or device joins only these pairs of its terminals."""
        own = np.array(self.net.rows_of.get(part, ()), np.intp)
        return self._pieces(self.rows[~np.isin(self.rows, own)], closed, part)

    def _pieces(self, rows: Indices, closed: Iterable[tuple[str, str]], part: str = "") -> Indices:
        network = self.net.network
        ends = np.array([[self.net.node(part, one) for one in pair] for pair in closed], np.intp)
        tail, head = ends.reshape(-1, 2).T
        return pieces(
            network.nodes,
            np.concatenate([network.tail[rows], tail]),
            np.concatenate([network.head[rows], head]),
        )

    @cached_property
    def batteries(self) -> Indices:
        """The nodes of every battery's posts: positive, negative."""
        found = [part.id for part in self.boat.parts if isinstance(part, Battery)]
        nodes = [[self.net.node(one, "positive"), self.net.node(one, "negative")] for one in found]
        return np.array(nodes, np.intp).reshape(-1, 2)

    @cached_property
    def loads(self) -> tuple[tuple[str, int], ...]:
        """The name of the load and the node of every input."""
        return tuple(
            (part.name, self.net.node(part.id, one.id))
            for part in self.boat.parts
            if isinstance(part, Load)
            for one in part.inputs
        )


@dataclass(frozen=True, eq=False)
class _Wired:
    """An alternator in a wiring: the piece of every node."""

    copper: _Copper
    alternator: Alternator | Outboard
    joined: Indices

    def _side(self, terminal: str) -> int:
        return int(self.joined[self.copper.net.node(self.alternator.id, terminal)])

    @property
    def has_battery(self) -> bool:
        """Whether batteries have their posts on both of the alternator's sides."""
        positives, negatives = self.joined[self.copper.batteries].T
        return bool(
            (positives == self._side("positive")).any() and (negatives == self._side("negative")).any()
        )

    def lost(  # noqa: PLR0913 - each names one thing of the answer
        self,
        how: How,
        switch: str | None = None,
        before: str | None = None,
        after: str | None = None,
        *,
        certain: bool = True,
        field_opens: bool = False,
    ) -> LostBattery:
        """The answer for this wiring."""
        plus = self._side("positive")
        sharing = dict.fromkeys(name for name, node in self.copper.loads if int(self.joined[node]) == plus)
        suppressed = isinstance(self.alternator, Alternator) and self.alternator.suppressor == "yes"
        return LostBattery(
            alternator=self.alternator.id,
            how=how,
            switch=switch,
            before=before,
            after=after,
            certain=certain,
            field_opens=field_opens,
            suppressed=suppressed,
            sharing=tuple(sharing),
        )
