"""Leads from rung to rung, and from a bar back to itself: they turn round in a lane of their own."""

from dataclasses import replace

from server.drawing.circuit import Chain, Circuit, Place, Polarity, Port, Rung


def with_turns(c: Circuit) -> Circuit:
    """The circuit with every chain between two rungs, or from a place to itself, split at a turn."""
    places, chains = dict(c.places), dict(c.chains)
    moved: dict[tuple[str, int], int] = {}
    fresh = max(chains, default=0)
    for chain in c.chains.values():
        a, b = c.places[chain.a], c.places[chain.b]
        if chain.a != chain.b and (a.kind != "rung" or b.kind != "rung"):
            continue
        fresh += 1
        key = f"turn-{chain.index}"
        places[key] = Place(key, "turn", "", "", _side(c, chain), 0)
        at = ("", key)
        chains[chain.index] = replace(chain, a=key, a_at=at)
        own = next((step.ids for step in chain.steps if step.is_conductor), ())
        chains[fresh] = Chain(fresh, key, at, chain.a, chain.a_at, (), folded=own)
        moved[(chain.a, chain.index)] = fresh
    if not moved:
        return c
    return replace(c, places=places, chains=chains, rungs=tuple(_moved(r, moved) for r in c.rungs))


def _side(c: Circuit, chain: Chain) -> Polarity:
    rung = next((r for r in c.rungs if r.key == chain.b), None)
    if rung is None:
        return c.places[chain.b].side
    return "positive" if any(p.chain == chain.index for p in rung.left) else "negative"


def _moved(rung: Rung, moved: dict[tuple[str, int], int]) -> Rung:
    def ports(listed: tuple[Port, ...], seen: set[int]) -> tuple[Port, ...]:
        done = []
        for port in listed:
            index = port.chain
            if index is not None and (rung.key, index) in moved and index not in seen:
                seen.add(index)
                index = moved[(rung.key, index)]
            done.append(replace(port, chain=index))
        return tuple(done)

    seen: set[int] = set()
    return replace(rung, left=ports(rung.left, seen), right=ports(rung.right, seen))
