"""The rungs of the ladder: loads, sources, converters, coils, ties, and what is wired to nothing."""

from dataclasses import replace

from server.boat.parts import (
    Alternator,
    AnyPart,
    Charger,
    Converter,
    Load,
    Outboard,
    Solar,
)
from server.boat.terminals import terminals
from server.drawing.circuit import (
    Chain,
    Circuit,
    Polarity,
    Port,
    Rung,
    RungKind,
    Vertex,
)
from server.drawing.polarity import nominal_side
from server.drawing.reader import Reader
from server.drawing.row_order import ordered

ALWAYS_SHOWN = ("positive", "negative", "input", "output")


def with_rungs(
    r: Reader, c: Circuit, ports: dict[Vertex, str], side: dict[Vertex, Polarity], rings: tuple[str, ...]
) -> Circuit:
    """The circuit with its rows: each terminal a port on the side that its chain leads to."""
    ends: dict[Vertex, list[Chain]] = {}
    for chain in c.chains.values():
        for place, at in ((chain.a, chain.a_at), (chain.b, chain.b_at)):
            if place.startswith("rung:"):
                ends.setdefault(at, []).append(chain)
    by_rung: dict[str, list[Vertex]] = {}
    for at, key in ports.items():
        by_rung.setdefault(key, []).append(at)
    rungs = []
    for key, vertices in by_rung.items():
        part = r.parts[vertices[0][0]]
        left: list[Port] = []
        right: list[Port] = []
        for at in vertices:
            chains = ends.get(at, [])
            always = isinstance(part, Load) or at[1] in ALWAYS_SHOWN or at[1] == "output-1"
            if not chains and not (always and at[1] in terminals(part) and "--" not in key):
                continue
            name = port_name(part, at[1])
            nominal = nominal_side(part, at[1])
            for chain in chains:
                shown = _port_side(c, chain, side.get(chain.a_at, nominal), f"rung:{key}")
                (left if shown == "positive" else right).append(Port(at, name, chain.index))
            if not chains:
                (left if nominal == "positive" else right).append(Port(at, name, None))
        if left or right or "--" not in key:
            kind, symbol, name = _rung_kind(part, key)
            devices = part.backbone.devices if isinstance(part, Load) and part.backbone else ()
            names = tuple(device.name for device in devices)
            rungs.append(
                Rung(f"rung:{key}", kind, part.id, name, symbol, tuple(left), tuple(right), lines=names)
            )
    c = _with_lone_parts(r, replace(c, rungs=(*rungs, *_ties(c))), rings)
    return replace(c, rungs=ordered(r, c))


def _port_side(c: Circuit, chain: Chain, between_rungs: Polarity, key: str) -> Polarity:
    """A lead leaves its plate on the side of the place that it leads to."""
    far = c.places[chain.far(key)]
    return between_rungs if far.kind == "rung" else far.side


def port_name(part: AnyPart, terminal: str) -> str:
    """What a rung's terminal is called on its plate."""
    if isinstance(part, Load):
        given = next((i.name for i in part.inputs if i.id == terminal), None)
        return given or terminal.replace("-", " ")
    return terminal.removeprefix("coil-").replace("-", " ")


def _rung_kind(part: AnyPart, key: str) -> tuple[RungKind, str, str]:  # noqa: PLR0911 - one answer a kind
    if key.endswith("--coil"):
        return "coil", "coil", f"{part.name}, coil"
    if key.endswith("--ground"):
        return "ground", "coil", f"{part.name}, supply"
    match part:
        case Load():
            return "load", _load_symbol(part), part.name
        case Alternator():
            return "source", "generator", part.name
        case Charger() | Solar():
            return "source", part.kind, part.name
        case Outboard():
            return "load", "motor", part.name
        case Converter():
            return "converter", "converter", part.name
        case _:
            return "load", "inverter", part.name


def _load_symbol(part: Load) -> str:
    kinds = {i.demand.kind for i in part.inputs}
    if "motor" in kinds:
        return "motor"
    if part.role in ("navigation-lights", "lights"):
        return "lamp"
    if "resistive" in kinds:
        return "resistor"
    return "coil" if "coil" in kinds else "device"


def _ties(c: Circuit) -> list[Rung]:
    """Chains that join the positive side to the negative one past no load get a row of their own."""
    ties = []
    for chain in c.chains.values():
        a, b = c.places[chain.a], c.places[chain.b]
        if "rung" not in (a.kind, b.kind) and a.side != b.side and not _is_series(a.kind, b.kind, chain):
            key = f"rung:tie-{chain.index}"
            ports = {a.side: Port(chain.a_at, "", chain.index), b.side: Port(chain.b_at, "", chain.index)}
            members = tuple(i for s in chain.steps for i in s.ids)
            name = ", ".join(s.name for s in chain.steps if not s.is_conductor) or "Joins + and −"
            ties.append(Rung(key, "tie", "", name, "", (ports["positive"],), (ports["negative"],), members))
    return ties


def _is_series(a: str, b: str, chain: Chain) -> bool:
    return a == b == "battery" and all(s.is_conductor for s in chain.steps)


def _with_lone_parts(r: Reader, c: Circuit, rings: tuple[str, ...]) -> Circuit:
    """What touches neither a battery nor a rung leaves the ladder for rows of its own at the end."""
    group = {key: key for key in c.places}

    def top(key: str) -> str:
        while group[key] != key:
            group[key] = group[group[key]]
            key = group[key]
        return key

    for chain in c.chains.values():
        group[top(chain.a)] = top(chain.b)
    anchored = {top(key) for key, p in c.places.items() if p.kind in ("rung", "battery")}
    lots: dict[str, list[str]] = {}
    for key, place in c.places.items():
        if top(key) not in anchored and place.part:
            lots.setdefault(top(key), []).append(place.part)
    for chain in c.chains.values():
        if top(chain.a) not in anchored:
            lots.setdefault(top(chain.a), []).extend(i for s in chain.steps for i in s.ids)
    drawn = {p.part for p in c.places.values()} | {
        i for ch in c.chains.values() for s in ch.steps for i in s.ids
    }
    lots |= {f"={p.id}": [p.id] for p in r.boat.parts if p.id not in drawn and p.id not in rings}
    if rings:
        lots["=ring"] = list(rings)
    rows = tuple(_lone(r, n, tuple(dict.fromkeys(lot))) for n, lot in enumerate(lots.values()))
    places = {key: p for key, p in c.places.items() if top(key) in anchored}
    chains = {n: ch for n, ch in c.chains.items() if top(ch.a) in anchored}
    return replace(c, places=places, chains=chains, rungs=(*c.rungs, *rows))


def _lone(r: Reader, number: int, members: tuple[str, ...]) -> Rung:
    names = [r.parts[m].name for m in members if m in r.parts] or ["a conductor with two loose ends"]
    return Rung(
        f"rung:apart-{number}", "apart", "", f"Not wired: {', '.join(names)}", "none", (), (), members
    )
