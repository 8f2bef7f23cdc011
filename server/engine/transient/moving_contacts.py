"""Contacts that a coil or a step moves, and loads that a step turns on or off, as switched parts."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from server.boat.parts import Contact
from server.engine.netlist_rows import Terminal
from server.engine.transient.coils import CoilAt, coil_of, hold_level, pull_in_level
from server.engine.transient.draw import Draw, at
from server.engine.transient.followed_part import CLOSED, OPEN, Followed, Says
from server.engine.transient.pairs import Ends, closed_in, position_now, pulled_position, wakes
from server.engine.transient.switched import Arc, Border, Clock, State, Switched, Volts
from server.units import Second

if TYPE_CHECKING:
    from server.engine.transient.model import BoatModel

TURNED_ON = Says("", "is turned on")
TURNED_OFF = Says("", "is turned off")
PULLED = Says("pulls in", "")
AWAKE = Says("lets go", "has its coil switched on")
ASLEEP = Says("", "has its coil switched off and lets go")
Rows = tuple[int, ...]


@dataclass(frozen=True, eq=False)
class MovingContacts:
    """Makes them at a draw of the uncertain figures; ``arc`` is what they draw when they open."""

    model: "BoatModel"
    arc: Arc
    draw: Draw

    @cached_property
    def _contacts(self) -> Sequence[Contact]:
        return [part for part in self.model.solution.boat.parts if isinstance(part, Contact)]

    def _called(self, element: str) -> str:
        return self.model.solution.names.element(element)

    def by_coils(self) -> Iterator[Followed]:
        """Contacts that a coil holds out of their normal position, or will once it has supply."""
        for part in self._contacts:
            pulled, start = self._pulled(part)
            if part.coil is None or pulled is None or part.id in self.model.timed.turns:
                continue
            held, resting = self._branches(part, pulled), self._branches(part, part.normal)
            coil = coil_of(part, part.coil, self.model.net)
            lets_go = _without(held, resting) if resting else None
            states = self.coil_states(coil, CLOSED, _without(resting, held), lets_go)
            if states is not None and held and resting is not None:
                rows = tuple(dict.fromkeys((*held.values(), *resting.values())))
                switched = Switched(self._called(part.id), rows, states, start, self.arc)
                yield Followed(part.id, "contact", switched)

    def _pulled(self, part: Contact) -> tuple[str | None, int]:
        """The position that a contact's coil holds it in, and whether it does so at first."""
        if part.latching:
            return None, OPEN
        now = position_now(part, self.model.solution.mode)
        if now != part.normal:
            return now, CLOSED
        return wakes(part, self.model.net, self.model.solution.mode, self.model.before), OPEN

    def _branches(self, part: Contact, position: str) -> Mapping[Ends, int] | None:
        """The branches of the pairs that a position joins; None where one is too short to be an element."""
        found = {}
        for ends in closed_in(part, position):
            branch = self.model.pair_branch(part, ends)
            if branch is None:
                return None
            found[ends] = branch
        return found

    def coil_states(
        self, coil: CoilAt, first: int, opens_pulled: Rows, opens_let_go: Rows | None
    ) -> tuple[State, State] | None:
        """Pulled, and let go, as states ``first`` and the next; None where the coil is not in the circuit.

        ``opens_…`` are the branches that are open then; without any, letting go opens all.
        """
        network, own, part = self.model.network, self.model.own, coil.key[0]
        plus, minus = (int(self.model.numbers[ends[coil.row]]) for ends in (network.tail, network.head))
        if min(plus, minus) < 0 or plus == minus:
            return None
        reading = Volts(((plus, minus),))
        hold, pull_in = (
            at(hold_level(own, coil)[0], self.draw.own),
            at(pull_in_level(own, coil), self.draw.own),
        )
        release_s, operate_s = self._takes_s(part)
        return (
            State((Border(reading, hold, False, release_s, first + 1),), opens=opens_pulled),
            State(
                (Border(reading, max(hold, pull_in), True, operate_s, first),),
                is_open=opens_let_go is None,
                opens=opens_let_go or (),
            ),
        )

    def _takes_s(self, part: str) -> tuple[Second, Second]:
        """How long a coil takes to let go, and to pull in."""
        own = self.model.own
        levels = own.level("relay_release_time", part), own.level("relay_operate_time", part)
        release_s, operate_s = (at(level, self.draw.own) for level in levels)
        return release_s, operate_s

    def turned(self) -> Iterator[Followed]:
        """Contacts that steps turn: by hand at once, or by switching their coil on and off."""
        for part in self._contacts:
            turns = self.model.timed.turns.get(part.id, ())
            positions = [position_now(part, self.model.solution.mode), *(turn.position for turn in turns)]
            branches = [self._branches(part, position) for position in positions]
            if not turns or any(one is None for one in branches):
                continue
            known = [one for one in branches if one is not None]
            rows = tuple(dict.fromkeys(row for one in known for row in one.values()))
            if not rows or all(set(one.values()) == set(rows) for one in known):
                continue
            yield self._by_its_coil(part, positions, rows) or self._by_hand(part, positions, rows)

    def _by_hand(self, part: Contact, positions: Sequence[str], rows: Rows) -> Followed:
        """One state for each position, left at the instant of the next turn."""
        turns, states, says = self.model.timed.turns[part.id], [], []
        for k, position in enumerate(positions):
            borders = tuple(Border(Clock(), turn.at_s, True, 0.0, k + 1) for turn in turns[k : k + 1])
            opens = self._open(part, position, rows)
            is_open = len(opens) == len(rows)
            states.append(State(borders, is_open=is_open, opens=() if is_open else opens))
            says.append(TURNED_OFF if is_open else self._turned_to(part, position))
        switched = Switched(self._called(part.id), rows, tuple(states), 0, self.arc)
        return Followed(part.id, "switch", switched, tuple(says))

    def _open(self, part: Contact, position: str, rows: Rows) -> Rows:
        """Those of its branches that a position leaves open."""
        closed = (self._branches(part, position) or {}).values()
        return tuple(row for row in rows if row not in closed)

    @staticmethod
    def _turned_to(part: Contact, position: str) -> Says:
        name = next(one.name for one in part.positions if one.id == position)
        return TURNED_ON if pulled_position(part) is not None else Says("", f"is turned to “{name}”")

    def _by_its_coil(self, part: Contact, positions: Sequence[str], rows: Rows) -> Followed | None:
        """Asleep, or awake and then pulled in or let go by the coil's volts; None without a coil to read."""
        if part.coil is None or part.latching or len({*positions} - {part.normal}) != 1:
            return None
        coil, turns = coil_of(part, part.coil, self.model.net), self.model.timed.turns[part.id]
        own = self.model.place.get(coil.row)
        rows = rows if own is None or not self.model.net.off[coil.row] else (*rows, own)
        asleep = self._open(part, part.normal, rows)
        states: list[State] = []
        says: list[Says] = []
        for k, (position, later) in enumerate(zip(positions, [*positions[1:], part.normal], strict=True)):
            next_s = [turn.at_s for turn in turns[k : k + 1]]
            here, wakes_next = len(states), later != part.normal
            if position == part.normal:
                states.append(State(self._switched_over(next_s, here + 1 + wakes_next), opens=asleep))
                says.append(ASLEEP)
                continue
            held = self._open(part, position, rows)
            held = tuple(row for row in held if row != own)
            resting = tuple(row for row in asleep if row != own)
            both = self.coil_states(coil, here, held, resting)
            if both is None:
                return None
            lasts_s = 0.0 if wakes_next else self._takes_s(part.id)[0]
            leaves = self._switched_over([at_s + lasts_s for at_s in next_s], here + 2 + wakes_next)
            pulled, let_go = both
            states += [
                State((*pulled.borders, *leaves), opens=held),
                State((*let_go.borders, *leaves), opens=resting),
            ]
            says += [PULLED, AWAKE]
        switched = Switched(self._called(part.id), rows, tuple(states), 0, self.arc)
        awake = tuple(k for k, one in enumerate(says) if one is AWAKE)
        return Followed(part.id, "contact", switched, tuple(says), awake)

    @staticmethod
    def _switched_over(at_s: Sequence[Second], to: int) -> tuple[Border, ...]:
        return tuple(Border(Clock(), instant, True, 0.0, to) for instant in at_s)

    def used(self) -> Iterator[Followed]:
        """Loads that steps turn on and off."""
        for key in self.model.extent.uses:
            branch = self._branch_of(key)
            times = self.model.timed.uses[key]
            is_off = bool(self.model.net.off[self.model.net.inputs[key]])
            states, says = [], []
            for k in range(len(times) + 1):
                borders = tuple(Border(Clock(), at_s, True, 0.0, k + 1) for at_s in times[k : k + 1])
                states.append(State(borders, is_open=is_off))
                says.append(TURNED_OFF if is_off else TURNED_ON)
                is_off = not is_off
            name = self.model.solution.names.input(*key)
            switched = Switched(name, (branch,), tuple(states), 0, self.arc)
            yield Followed(key[0], "load", switched, tuple(says))

    def _branch_of(self, key: Terminal) -> int:
        """A load's own contact, or the load where it is on a line itself."""
        return self.model.place.get(self.model.net.inputs[key], self.model.own_contact.get(key, -1))


def _without(some: Mapping[Ends, int] | None, others: Mapping[Ends, int] | None) -> Rows:
    """The branches of some pairs that are not among the others."""
    kept = (others or {}).values()
    return tuple(row for row in (some or {}).values() if row not in kept)
