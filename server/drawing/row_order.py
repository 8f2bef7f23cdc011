"""The order of the rows: from nothing that moving a lead changes, and by hand where somebody chose it."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from server.boat.parts import (
    Alternator,
    Charger,
    Combiner,
    Contact,
    Inverter,
    Load,
    Outboard,
    Solar,
)
from server.drawing.circuit import (
    Circuit,
    Rung,
)
from server.drawing.reader import Reader
from server.drawing.sections import voltages

ENGINE_ROLES = ("starter", "engine-control", "stop-solenoid", "glow-plugs")
LAST = 9
APART = ("tie", "apart")
"""Rows of no part of their own, which stand last."""


def ordered(r: Reader, c: Circuit) -> tuple[Rung, ...]:
    """Rows by voltage, engine first, then heavy and charging; loads fed by a load follow it."""
    volts = voltages(r.boat, c)
    order = {part.id: n for n, part in enumerate(r.boat.parts)}
    feeder: dict[str, str] = {}
    for chain in c.chains.values():
        if c.places[chain.a].kind == "rung" and c.places[chain.b].kind == "rung":
            for own, other, at in ((chain.a, chain.b, chain.b_at), (chain.b, chain.a, chain.a_at)):
                part = r.parts[at[0]]
                if isinstance(part, Load) and at[1] in {o.id for o in part.outputs}:
                    feeder[own] = other
        for step in chain.steps:
            ends = [key for key in (chain.a, chain.b) if c.places[key].kind == "rung"]
            if step.kind == "contact" and len(ends) == 1:
                feeder[f"rung:{step.ids[0]}--coil"] = ends[0]
    children: dict[str, list[Rung]] = {}
    first = []
    for rung in sorted(
        c.rungs,
        key=lambda x: (_class(r, x) == LAST, -volts.get(x.key, 0), _class(r, x), order.get(x.part, 0)),
    ):
        here = replace(rung, voltage_v=volts.get(rung.key, 0.0))
        if rung.key in feeder and feeder[rung.key] != rung.key:
            children.setdefault(feeder[rung.key], []).append(here)
        else:
            first.append(here)
    first = [
        rung
        for _, block in groupby(first, key=lambda x: (x.kind in APART, x.voltage_v))
        for rung in by_hand(list(block), r.boat.row_order)
    ]
    done: list[Rung] = []

    def put(rung: Rung, level: int) -> None:
        done.append(replace(rung, level=level))
        for child in children.pop(rung.key, ()):
            put(child, level + (child.kind != "coil"))

    for rung in first:
        put(rung, 0)
    done.extend(rung for rest in children.values() for rung in rest)
    return tuple(done)


def by_hand(rungs: Sequence[Rung], wanted: Sequence[str]) -> list[Rung]:
    """Rows in the order chosen by hand; a newer one stays behind the row that it follows by itself."""
    place = {part: n for n, part in enumerate(wanted)}
    behind: dict[str, list[Rung]] = {"": []}
    at = ""
    for rung in rungs:
        if rung.part in place:
            at = rung.key
            behind[at] = [rung]
        else:
            behind[at].append(rung)
    chosen = sorted((rung for rung in rungs if rung.part in place), key=lambda x: place[x.part])
    return [*behind[""], *(one for rung in chosen for one in behind[rung.key])]


def row_blocks(rungs: Sequence[Rung]) -> tuple[tuple[str, ...], ...]:
    """The parts whose rows may change places: those of one voltage, without what follows another row."""
    own = [rung for rung in rungs if rung.kind not in (*APART, "coil") and not rung.level]
    return tuple(
        tuple(dict.fromkeys(rung.part for rung in block))
        for _, block in groupby(own, key=lambda x: x.voltage_v)
    )


def _class(r: Reader, rung: Rung) -> int:  # noqa: PLR0911 - one answer a kind
    """The engine's own first, then heavy loads, then charging sources, then the rest."""
    if rung.kind in APART:
        return LAST
    match r.parts[rung.part]:
        case Load() as load if load.role in ENGINE_ROLES:
            return 0
        case Alternator() | Outboard() | Contact() | Combiner():
            return 0
        case Load() as load if load.heavy:
            return 1
        case Inverter():
            return 1
        case Charger() | Solar():
            return 2
        case _:
            return 3
