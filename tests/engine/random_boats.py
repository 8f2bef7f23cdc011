"""Boats wired at random, the same for the same seed: banks, bars with loops between them, loads, sources."""

import random

from server.boat.boat import Boat
from tests.engine.boats import Json, load, wire

AREAS_MM2 = (1.5, 2.5, 6.0, 16.0, 50.0, 95.0)
OHM_MM2_PER_M = 0.0191
"""Copper of any size: 19.1 mΩ/m of one square millimetre, tinned, at 20 °C (IEC 60228)."""
CHEMISTRIES = ("flooded", "agm", "gel", "lifepo4")
STUDS = 40


def random_boat(seed: int) -> Boat:
    """One to three banks on a chain of bars, some fused, some joined twice; loads and sources on them."""
    rng = random.Random(seed)
    parts: list[Json] = []
    wires: list[Json] = []
    used: dict[str, int] = {}
    bars = rng.randint(2, 5)

    def stud(bar: str) -> str:
        used[bar] = used.get(bar, 0) + 1
        return f"{bar}.stud-{used[bar]}"

    def joined(tail: str, head: str, least_mm2: float = 0.0) -> None:
        area = rng.choice([one for one in AREAS_MM2 if one >= least_mm2])
        size = {"label": f"{area:g} mm²", "area_mm2": area, "resistance_ohm_per_m": OHM_MM2_PER_M / area}
        length = round(rng.uniform(0.2, 9.0), 2)
        wires.append(wire(f"w{len(wires)}", tail, head, size=size, length_m=length))

    def fused(tail: str, head: str, least_mm2: float) -> None:
        name = f"fuse-{len(parts)}"
        rating = rng.choice((10.0, 30.0, 100.0, 300.0))
        parts.append(
            {"kind": "fuse", "id": name, "name": name, "device_class": "bolt-down", "rating_a": rating}
        )
        joined(tail, f"{name}.line", least_mm2)
        joined(f"{name}.load", head, least_mm2)

    for side in ("plus", "minus"):
        for n in range(bars):
            parts.append({"kind": "busbar", "id": f"{side}-{n}", "name": f"{side} {n}", "studs": STUDS})
            if n:
                between = stud(f"{side}-{rng.randrange(n)}"), stud(f"{side}-{n}")
                (fused if side == "plus" and rng.random() < 0.5 else joined)(*between, 6.0)
        if bars > 2 and rng.random() < 0.5:
            joined(stud(f"{side}-0"), stud(f"{side}-{bars - 1}"), 6.0)
    for n in range(rng.randint(1, 3)):
        parts.append(
            {"kind": "battery", "id": f"bank-{n}", "name": f"Bank {n}", "chemistry": rng.choice(CHEMISTRIES),
             "nominal_voltage_v": 12.0, "capacity_ah": rng.choice((70.0, 110.0, 200.0)), "bank": f"bank-{n}"}
        )  # fmt: skip
        fused(f"bank-{n}.positive", stud(f"plus-{rng.randrange(min(2, bars))}"), 16.0)
        joined(f"bank-{n}.negative", stud("minus-0"), 16.0)
    if rng.random() < 0.7:
        parts.append(
            {"kind": "alternator", "id": "alternator", "name": "Alternator", "rated_current_a": 70.0}
        )
        joined("alternator.positive", stud("plus-0"), 6.0)
        joined("alternator.negative", stud("minus-0"), 6.0)
    for n in range(rng.randint(4, 8)):
        bar = rng.randrange(bars)
        parts.append(load(f"load-{n}", {"kind": "constant-current", "current_a": rng.uniform(0.5, 8.0)}))
        fused(stud(f"plus-{bar}"), f"load-{n}.supply", 0.0)
        joined(f"load-{n}.negative", stud(f"minus-{rng.randrange(bars)}"))
    body = {"format": "tapchart.boat", "version": 1, "name": f"Random {seed}", "nominal_voltage_v": 12.0}
    on = [{"part": one["id"]} for one in parts if one["kind"] in {"load", "alternator"}]
    things = {"parts": parts, "conductors": wires, "modes": [{"id": "any", "name": "Any", "on": on}]}
    return Boat.model_validate(body | things, strict=False)
