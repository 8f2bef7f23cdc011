"""Whether the electronics of a lithium pack may switch it off where no time for it is stated.

Trip points with their times are followed in the event (see ``followed``); a limit or a cut-off alone does not
say how long it is let pass, so the pack is computed as staying on, and the answer says so.
"""

from collections.abc import Iterator

import numpy as np

from server.boat.devices import Pack
from server.boat.parts import Battery
from server.engine.answer import Trouble
from server.engine.transient.model import BoatModel
from server.engine.transient.solution import TransientSolution
from server.engine.transient.states_changed import changed
from server.engine.transient.verdict import after_the_press
from server.engine.transient.waves import Wave
from server.units import Volt


def packs_off(model: BoatModel, solution: TransientSolution) -> Iterator[Trouble]:
    """A trouble for every pack whose electronics may switch it off, and did not by a trip point."""
    branches, gone = solution.circuit.branches, changed(model, solution)
    for part in model.solution.boat.parts:
        if isinstance(part, Battery) and part.pack is not None and part.id not in gone:
            own = np.isin(solution.circuit.branch_element, model.net.rows_of[part.id])
            row = int(np.flatnonzero(own)[0])
            amps = Wave(*solution.branch_current(row))
            volts = Wave(*solution.between(int(branches.head[row]), int(branches.tail[row])))
            for words in (_by_current(part.pack, amps), _by_volts(part.pack.low_cut_off_v, volts)):
                if words is not None:
                    yield _off(part, words)


def _by_current(pack: Pack, amps: Wave) -> str | None:
    """More than it may give, where no trip point says for how long, in words."""
    limit_a, most_a = pack.discharge_limit_a, float(amps.values.max())
    if not pack.trips and limit_a is not None and most_a > limit_a:
        return (
            f"may switch it off: it gives up to {most_a:.0f} A and may give {limit_a:g} A; no time is stated "
            "for more."
        )
    return None


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
