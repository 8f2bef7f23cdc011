"""Which nominal voltage each rung works at, so that sections stack."""

from server.boat.boat import Boat
from server.boat.parts import Converter
from server.drawing.circuit import Circuit


def voltages(boat: Boat, c: Circuit) -> dict[str, float]:
    """Nominal volts of each rung: of its island, else of what feeds it."""
    islands = {island.id: island.nominal_voltage_v for island in boat.islands}
    group = {key: key for key, p in c.places.items() if p.kind != "rung"}

    def top(key: str) -> str:
        while group[key] != key:
            group[key] = group[group[key]]
            key = group[key]
        return key

    for chain in c.chains.values():
        if chain.a in group and chain.b in group:
            group[top(chain.a)] = top(chain.b)
    batteries = {top(key) for key, p in c.places.items() if p.kind == "battery"}
    fed: dict[str, float] = {}
    for chain in c.chains.values():
        for at, far in ((chain.a_at, chain.b), (chain.b_at, chain.a)):
            part = c.parts.get(at[0])
            if (
                isinstance(part, Converter)
                and at[1] == "output"
                and far in group
                and top(far) not in batteries
            ):
                fed[top(far)] = part.output_v
    found = {}
    for rung in c.rungs:
        part = c.parts.get(rung.part)
        if part is not None and part.island in islands:
            found[rung.key] = islands[part.island]
            continue
        feeds = [
            c.chains[p.chain].far(rung.key) for p in rung.left if p.chain is not None and p.at[1] != "output"
        ]
        volts = [fed.get(top(key), boat.nominal_voltage_v) for key in feeds if key in group]
        found[rung.key] = volts[0] if volts else boat.nominal_voltage_v
    return found
