"""One instant of an event: what flows in every element and stands across every load."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from server.engine.transient.event_in_time import EventInTime
from server.units import Ampere, Second, Volt


@dataclass(frozen=True, slots=True)
class InstantAnswer:
    """An event at an instant, counted from the first press.

    ``current_a`` has every conductor, contact, device and source, from tail to head; ``input_v`` every load
    that is on and fed, and ``heavy_a`` every load that the event starts, both by ``part.input``.
    """

    at_s: Second
    current_a: Mapping[str, Ampere]
    input_v: Mapping[str, Volt]
    heavy_a: Mapping[str, Ampere]


def at_instant(event: EventInTime, at_s: Second) -> InstantAnswer:
    """A solved event at an instant; at a switching, right after it.

    Raises:
        ValueError: the instant lies outside of the event.
    """
    waves = event.waves
    if not waves.start_s <= at_s <= waves.end_s:
        raise ValueError(f"The event runs from {waves.start_s:g} s to {waves.end_s:g} s.")
    volts = waves.at_times(event.pairs, np.array([at_s]))[:, 0].tolist()
    heavy: dict[str, float] = {}
    for number, press in enumerate(event.model.schedule.presses):
        key = f"{press.key[0]}.{press.key[1]}"
        heavy[key] = heavy.get(key, 0.0) + waves.motor_current_at(number, at_s)
    return InstantAnswer(
        at_s=at_s,
        current_a=_by_element(event, at_s),
        input_v={point.key: volt for point, volt in zip(event.points, volts, strict=True)},
        heavy_a=heavy,
    )


def _by_element(event: EventInTime, at_s: Second) -> dict[str, Ampere]:
    """The current of every element but the loads; of one in several pieces, the largest."""
    net, element = event.solved.net, event.waves.circuit.branch_element
    stands_for = element >= 0
    of_branches = np.nan_to_num(event.waves.branch_currents_at(at_s))
    rows = np.zeros(net.network.size)
    np.add.at(rows, element[stands_for], of_branches[stands_for])
    found, loads = rows.tolist(), {*net.inputs.values(), *net.stalled.values()}
    return {
        name: max((found[row] for row in pieces), key=abs)
        for name, pieces in net.rows_of.items()
        if loads.isdisjoint(pieces)
    }
