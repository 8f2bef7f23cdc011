"""Whether what an event does not follow could have stayed as it was: coils, relays.

What the event follows (see ``followed``) is left out here, but where only an end of a band would move it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.parts import Combiner, Contact
from server.engine.answer import Trouble
from server.engine.figures import Level
from server.engine.transient.coils import CoilAt, coils, hold_level
from server.engine.transient.followed import combiner_delay
from server.engine.transient.model import NOWHERE, BoatModel
from server.engine.transient.packs import packs_off
from server.engine.transient.solution import TransientSolution
from server.engine.transient.states_changed import changed
from server.engine.transient.verdict import after_the_press, duration
from server.engine.transient.waves import Wave
from server.units import Second, Volt

REGULATOR_S: Second = 1e-3
"""A regulator does not answer faster than this (common practice, no source)."""
TOLERANCE = 0.01
"""A border counts as passed by this share of the source's limit, or of a volt."""


def states_left(model: BoatModel, solution: TransientSolution) -> tuple[Trouble, ...]:
    """A trouble for everything that would not have kept its state, or might not have, during the event."""
    check = _Check(model, solution)
    return (
        *check.relays(),
        *check.coils(),
        *packs_off(model, solution),
    )


@dataclass(frozen=True, eq=False)
class _Check:
    model: BoatModel
    solution: TransientSolution

    def _wave(self, tail: int, head: int) -> Wave | None:
        """The waveform between two nodes of the network; None where they are not in the circuit."""
        a, b = int(self.model.numbers[tail]), int(self.model.numbers[head])
        return None if NOWHERE in {a, b} else Wave(*self.solution.between(a, b))

    def relays(self) -> Iterator[Trouble]:
        """Combining relays that stay closed, but would open if they waited as short as may be."""
        network, states = self.model.network, self.model.before.states.relays
        start, relays = network.spans["relays"].start, network.relays
        combiners = {part.id: part for part in self.model.solution.boat.parts if isinstance(part, Combiner)}
        for number in np.flatnonzero(states).tolist():
            element = self.model.net.labels[start + number].element
            if element in self._changed:
                continue
            waits = combiner_delay(self.model.own, combiners[element])
            opens_v = float(relays.open_v[number])
            sides = relays.sense[number], relays.other_sense[number]
            higher = self._higher([int(node) for node in sides], int(relays.reference[number]))
            at_s = higher.first_below(opens_v, waits.low)
            if at_s is not None:
                yield self._may_open(element, at_s, opens_v, waits)

    @cached_property
    def _changed(self) -> frozenset[str]:
        return changed(self.model, self.solution)

    def _higher(self, nodes: list[int], reference: int) -> Wave:
        """What a closed relay measures: the higher of its two sides."""
        numbers = self.model.numbers
        pairs = [(int(numbers[node]), int(numbers[reference])) for node in nodes]
        times, volts = self.solution.voltages(pairs)
        return Wave(times, volts.max(axis=0))

    def _may_open(self, element: str, at_s: Second, opens_v: Volt, waits: Level) -> Trouble:
        name = self.model.solution.names.element(element)
        message = (
            f"{name} may open: from {after_the_press(at_s)} on it measures less than the {opens_v:.1f} V at "
            f"which it lets go, and it may wait as short as {duration(waits.low)} (assumed). "
            "It is computed as closed throughout."
        )
        return Trouble("drops-out", (element,), message)

    def coils(self) -> Iterator[Trouble]:
        """Coils below their hold voltage, of which none has moved a contact of the circuit."""
        network = self.model.network
        for coil in coils(self.model.solution.boat, self.model.net):
            part = self.model.solution.parts[coil.key[0]]
            if part.id in self._changed or (isinstance(part, Contact) and part.latching):
                continue
            wave = self._wave(int(network.tail[coil.row]), int(network.head[coil.row]))
            if wave is not None:
                yield from self._let_go(coil, wave)

    def _let_go(self, found: CoilAt, wave: Wave) -> Iterator[Trouble]:
        part, coil = found.key[0], found.coil
        hold, assumed = hold_level(self.model.own, found)
        is_followed = any(one.element == part for one in self.model.followed)
        takes_s = self.model.own.level("relay_release_time", part).low if is_followed else REGULATOR_S
        at_s = wave.first_below(hold.high, takes_s)
        if at_s is None:
            return
        name = self.model.solution.names.parts[part].name
        sure = not is_followed and wave.first_below(hold.low, takes_s) is not None
        held = f"{hold.value:.1f} V{' (assumed)' if assumed else ''}"
        message = (
            f"The coil of {name} {'lets go' if sure else 'may let go'} {after_the_press(at_s)}: at lowest "
            f"{float(wave.values.min()):.1f} V against the {held} that hold it"
            f"{'' if coil.pull_in_v is None else ', and it may chatter'}. "
            "It is computed as pulled throughout."
        )
        yield Trouble("drops-out", (part,), message)
