"""Whether the electronics of a lithium pack would switch it off during an event: by current or by volts.

The pack is computed as staying on; where its own figures say that it would not, the answer says so.
"""

from collections.abc import Iterator

import numpy as np

from server.boat.devices import Pack, TripPoint
from server.boat.parts import Battery
from server.engine.answer import Trouble
from server.engine.transient.model import BoatModel
from server.engine.transient.solution import TransientSolution
from server.engine.transient.verdict import after_the_press, duration
from server.engine.transient.waves import Wave
from server.units import Second, Volt


def packs_off(model: BoatModel, solution: TransientSolution) -> Iterator[Trouble]:
    """A trouble for every pack whose electronics would switch it off, or may."""
    branches = solution.circuit.branches
    for part in model.solution.boat.parts:
        if isinstance(part, Battery) and part.pack is not None:
            own = np.isin(solution.circuit.branch_element, model.net.rows_of[part.id])
            row = int(np.flatnonzero(own)[0])
            amps = Wave(*solution.branch_current(row))
            volts = Wave(*solution.between(int(branches.head[row]), int(branches.tail[row])))
            for words in (_by_current(part.pack, amps), _by_volts(part.pack.low_cut_off_v, volts)):
                if words is not None:
                    yield _off(part, words)


def _by_current(pack: Pack, amps: Wave) -> str | None:
    """The first trip point that the current it gives passes for its time, in words."""
    given = Wave(amps.time_s, -amps.values)
    passed = [(at_s + trip.time_s, trip) for trip in pack.trips if (at_s := _since(given, trip)) is not None]
    if passed:
        at_s, trip = min(passed, key=lambda one: one[0])
        long = f"for {duration(trip.time_s)} " if trip.time_s > 0 else ""
        return (
            f"switch it off {after_the_press(at_s)}: it gives more than {trip.current_a:g} A {long}by then."
        )
    limit_a, most_a = pack.discharge_limit_a, float(amps.values.max())
    if not pack.trips and limit_a is not None and most_a > limit_a:
        return (
            f"may switch it off: it gives up to {most_a:.0f} A and may give {limit_a:g} A; no time is stated "
            "for more."
        )
    return None


def _since(given: Wave, trip: TripPoint) -> Second | None:
    """When a current begins that lasts as long as a trip point asks."""
    return given.first_below(-trip.current_a, trip.time_s)


def _by_volts(low_cut_off_v: Volt | None, volts: Wave) -> str | None:
    at_s = None if low_cut_off_v is None else volts.first_below(low_cut_off_v)
    if at_s is None:
        return None
    lowest_v = float(volts.values.min())
    return (
        f"may switch it off {after_the_press(at_s)}: its posts fall to {lowest_v:.1f} V, below the "
        f"{low_cut_off_v:.1f} V at which it cuts off; how fast it does is not stated."
    )


def _off(part: Battery, words: str) -> Trouble:
    message = f"The electronics of {part.name} {words} It is computed as staying on throughout."
    return Trouble("drops-out", (part.id,), message)
