"""Load dump: which switch positions and turns leave an alternator that runs without a battery.

A question to the graph alone. What voltage comes of it depends on the alternator's field and its current, so
it is never computed: the published range stands beside each answer, see ``server.practice.load_dump``.
Combining relays and diode isolators count as a way to a battery.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import permutations
from typing import Literal

import numpy as np

from server.boat.boat import Boat
from server.boat.modes import Mode, PositionSetting
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
    found = [one for alternator in _alternators(boat) for one in _of_one(boat, mode, alternator)]
    return tuple(found)


def _alternators(boat: Boat) -> Iterator[Alternator | Outboard]:
    for part in boat.parts:
        if isinstance(part, Alternator) or (isinstance(part, Outboard) and part.charging_a is not None):
            yield part


def _of_one(boat: Boat, mode: Mode, alternator: Alternator | Outboard) -> Iterator[LostBattery]:
    now = _Wired(boat, netlist(boat, mode), alternator)
    if not now.has_battery:
        yield now.lost("already")
        return
    for part in boat.parts:
        if isinstance(part, Contact):
            yield from _by_switch(boat, mode, alternator, part)
        elif isinstance(part, Fuse | Breaker):
            wired = _Wired(boat, netlist(boat, _set(mode, part.id, "off")), alternator)
            if not wired.has_battery:
                yield wired.lost("device", part.id)


def _by_switch(
    boat: Boat, mode: Mode, alternator: Alternator | Outboard, switch: Contact
) -> Iterator[LostBattery]:
    wired = {
        position.id: _Wired(boat, netlist(boat, _set(mode, switch.id, position.id)), alternator)
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
            between = _Wired(boat, netlist(_with_only(boat, switch, joined[a] & joined[b]), mode), alternator)
            if not between.has_battery:
                certain = switch.order == "break-before-make"
                yield between.lost("turn", switch.id, names[a], names[b], certain=certain, field_opens=leads)


def _set(mode: Mode, part: str, position: str) -> Mode:
    kept = tuple(one for one in mode.positions if one.part != part)
    chosen = PositionSetting(part=part, position=position)
    return mode.model_copy(update={"positions": (*kept, chosen)})


def _with_only(boat: Boat, switch: Contact, closed: Iterable[tuple[str, str]]) -> Boat:
    """The boat with a switch that joins only these pairs, in whatever position it is."""
    pairs = tuple(sorted(closed))
    positions = tuple(one.model_copy(update={"closed": pairs}) for one in switch.positions)
    between = switch.model_copy(update={"positions": positions})
    parts = tuple(between if part.id == switch.id else part for part in boat.parts)
    return boat.model_copy(update={"parts": parts})


@dataclass(frozen=True, eq=False)
class _Wired:
    """An alternator in a wiring."""

    boat: Boat
    net: Netlist
    alternator: Alternator | Outboard

    @property
    def _joined(self) -> Indices:
        """Pieces of copper, closed switches, relays and diodes."""
        network = self.net.network
        rows = np.concatenate(
            [np.arange(network.size)[network.spans[kind]] for kind in ("resistors", "diodes", "relays")]
        )
        return pieces(network.nodes, network.tail[rows], network.head[rows])

    def _side(self, terminal: str) -> int:
        return int(self._joined[self.net.node(self.alternator.id, terminal)])

    @property
    def has_battery(self) -> bool:
        """Whether some battery has its posts on both of the alternator's sides."""
        joined = self._joined
        plus, minus = self._side("positive"), self._side("negative")
        positives = {int(joined[self.net.node(part, "positive")]) for part in self._batteries}
        negatives = {int(joined[self.net.node(part, "negative")]) for part in self._batteries}
        return plus in positives and minus in negatives

    @property
    def _batteries(self) -> list[str]:
        return [part.id for part in self.boat.parts if isinstance(part, Battery)]

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
        joined, plus = self._joined, self._side("positive")
        sharing = dict.fromkeys(
            part.name
            for part in self.boat.parts
            if isinstance(part, Load)
            for one in part.inputs
            if int(joined[self.net.node(part.id, one.id)]) == plus
        )
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
