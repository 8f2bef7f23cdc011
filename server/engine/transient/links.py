"""Negative offset on data links: how far the negatives of linked parts come apart during an event."""

from collections.abc import Iterator

import numpy as np

from server.boat.boat import DataLink
from server.boat.parts import AnyPart, Load
from server.boat.terminals import terminals
from server.boat.value import bounds
from server.engine.arrays import Floats
from server.engine.transient.answer import Instant, LinkOffsetInTime
from server.engine.transient.model import BoatModel
from server.engine.transient.solution import TransientSolution
from server.units import Ampere, Second, Volt

LASTING_S: Second = 1e-3
"""What a link's negatives do for less is a spike of the copper between them, no offset: our own bound."""


def link_offsets(model: BoatModel, solution: TransientSolution) -> Iterator[LinkOffsetInTime]:
    """The largest offset on every data link that joins two parts of the circuit."""
    for link in model.solution.boat.links:
        ends = [(part, node) for part in link.parts if (node := _negative(model, part)) is not None]
        if len(ends) > 1:
            times, volts = solution.voltages([(node, ends[0][1]) for _, node in ends])
            joined = np.flatnonzero(~np.isnan(volts[:, 0]))
            if len(joined) > 1:
                parts = [ends[row][0] for row in joined.tolist()]
                yield _offset(model, link, parts, times, volts[joined])


def _negative(model: BoatModel, part_id: str) -> int | None:
    """The circuit's node of a part's first negative; None where it has none there."""
    part: AnyPart = model.solution.parts[part_id]
    names = part.negatives if isinstance(part, Load) else terminals(part)
    found = [name for name in names if isinstance(part, Load) or name == "negative"]
    return model.nodes.get((part_id, found[0])) if found else None


def _offset(
    model: BoatModel, link: DataLink, parts: list[str], times: Floats, volts: Floats
) -> LinkOffsetInTime:
    """The largest lasting offset; ``volts`` are those of the parts' negatives (rows) against one of them."""
    spread = volts.max(axis=0) - volts.min(axis=0)
    held = lasting(times, spread)
    at = int(np.argmax(held))
    names = model.solution.names.parts
    high, low = parts[int(volts[:, at].argmax())], parts[int(volts[:, at].argmin())]
    return LinkOffsetInTime(
        link=link.id,
        name=link.name,
        offset=Instant(float(held[at]), float(times[at])),
        before_v=float(spread[0]),
        higher=names[high].name,
        lower=names[low].name,
        current_a=_screen_current(link, float(held[at])),
        high=high,
        low=low,
    )


def lasting(times: Floats, spread: Floats) -> Floats:
    """What is held for ``LASTING_S`` from each instant on or up to it, the larger; times rise."""
    return np.maximum(
        _held(times, spread, times, np.minimum(times + LASTING_S, times[-1])),
        _held(times, spread, np.maximum(times - LASTING_S, times[0]), times),
    )


def _held(times: Floats, spread: Floats, begins: Floats, ends: Floats) -> Floats:
    """The least of a curve between pairs of instants; where the run has less than all of it, nothing."""
    first, last = np.searchsorted(times, begins), np.searchsorted(times, ends, side="right")
    inner = np.minimum.reduceat(np.append(spread, np.inf), np.column_stack([first, last]).ravel())[::2]
    edges = np.minimum(np.interp(begins, times, spread), np.interp(ends, times, spread))
    whole = ends - begins >= LASTING_S * _WHOLE
    return np.where(whole, np.minimum(inner, edges), -np.inf)


_WHOLE = 1 - 1e-6
"""Sums of times are rounded."""


def _screen_current(link: DataLink, volts: Volt) -> Ampere | None:
    """The offset over the screen's lowest resistance."""
    if link.isolated == "yes" or link.screen_ohm is None:
        return None
    lowest = bounds(link.screen_ohm)[0]
    return volts / lowest if lowest > 0 else None
