"""Reading and editing stay quick on a boat of 1,000 conductors.

Each is timed against reading the same bytes as plain JSON, so that a slow or busy machine does not matter.
"""

import json
import time
from collections.abc import Callable

import pytest

from server.boat.boat import Boat
from server.boat.conductors import Size
from server.boat.constructors import at, busbar, electronics, fuse, wire
from server.boat.document import boat_bytes, read_boat
from server.boat.edits import MoveLead, apply
from server.boat.parts import AnyPart

LOADS = 334
THIN = Size(label="2.5 mm²", area_mm2=2.5, resistance_ohm_per_m=7.98e-3)


@pytest.fixture(scope="module")
def large() -> Boat:
    """Two bars and 334 loads, each with a fused positive of two wires and a negative."""
    parts: list[AnyPart] = [busbar("plus", "Plus", 200), busbar("minus", "Minus", 200)]
    conductors = []
    for n in range(LOADS):
        parts += [electronics(f"load{n}", f"Load {n}", 10.0), fuse(f"fuse{n}", f"Fuse {n}", 5.0)]
        stud = n % 200 + 1
        conductors += [
            wire(f"n{n}", f"load{n}.negative", f"minus.stud-{stud}", THIN, length_m=2.0),
            wire(f"p{n}", f"load{n}.main", f"fuse{n}.load", THIN, length_m=2.0),
            wire(f"q{n}", f"fuse{n}.line", f"plus.stud-{stud}", THIN, length_m=2.0),
        ]
    return Boat(
        format="tapchart.boat",
        version=1,
        name="Large",
        nominal_voltage_v=24.0,
        parts=tuple(parts),
        conductors=tuple(conductors),
    )


def quickest(action: Callable[[], object]) -> float:
    """Processor seconds of the quickest of seven runs."""
    times = []
    for _ in range(7):
        start = time.process_time()
        action()
        times.append(time.process_time() - start)
    return min(times)


def test_a_thousand_conductors_are_read_and_a_lead_is_moved_quickly(large: Boat) -> None:
    body = boat_bytes(large)
    yardstick = quickest(lambda: json.loads(body))
    edit = MoveLead(part="load5", terminal="main", to=at("plus.stud-9"))

    # Where this was written: yardstick 5 ms, reading 40 ms, moving 3 ms.
    assert len(large.conductors) > 1000
    assert quickest(lambda: read_boat(body)) < 30 * yardstick
    assert quickest(lambda: apply(large, edit)) < 2 * yardstick
