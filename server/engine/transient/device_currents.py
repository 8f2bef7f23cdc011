"""The currents of fuses and breakers through an event in time, for judging whether they open for nothing."""

from collections.abc import Iterator

import numpy as np

from server.engine.transient.answer import DeviceCurrent
from server.engine.transient.event_in_time import EventInTime
from server.units import Ampere

MOVED_A: Ampere = 1.0
"""A device whose current the first instant of the event changes by less is not on its way: our own bound."""
KINDS = frozenset({"fuse", "breaker"})


def device_currents(event: EventInTime) -> Iterator[DeviceCurrent]:
    """Every fuse and breaker that the event runs through, from the first press to the end."""
    solved, waves = event.solved, event.waves
    change_a = np.abs(np.nan_to_num(solved.present.current_a) - np.nan_to_num(solved.absent.current_a))
    stands_for = waves.circuit.branch_element
    for branch, row in enumerate(stands_for.tolist()):
        if row >= 0 and change_a[row] > MOVED_A and solved.net.labels[row].kind in KINDS:
            times, amps = waves.branch_current(branch)
            during = times >= 0
            yield DeviceCurrent(
                solved.net.labels[row].element, times[during], np.nan_to_num(np.abs(amps[during]))
            )
