"""Folding: on a large boat the loads of one bar or panel section become a single rung.

Heavy loads and sources stay in sight. Nothing is dropped: a fold names all it holds.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import replace

from server.boat.parts import Load
from server.drawing.circuit import Chain, Circuit, Port, Rung

MOST_RUNGS = 40
FOLDABLE = ("section", "busbar", "post", "junction", "engine-block")
LEAST_MEMBERS = 2


def folded(c: Circuit, unfolded: frozenset[str], shut: frozenset[str] = frozenset()) -> Circuit:
    """The circuit with its loads folded to the bars that feed them, where it has over forty of them.

    ``unfolded`` holds ids of bars, loads or conductors that shall be seen; ``shut`` ids of parts whose loads
    are folded however few there are.
    """
    is_large = sum(r.kind == "load" for r in c.rungs) > MOST_RUNGS
    if not is_large and not shut:
        return c
    touching = _Touching(c.chains)
    for place, members in _groups(c, unfolded).items():
        if not is_large and c.places[place].part not in shut:
            continue
        c = _fold(c, touching, place, members)
    return replace(c, chains=touching.chains)


class _Touching:
    """The chains that remain while loads are folded, and which of them end at each place."""

    def __init__(self, chains: dict[int, Chain]) -> None:
        """Begin with these."""
        self.chains = dict(chains)
        self._order = {index: at for at, index in enumerate(chains)}
        self._last = len(chains)
        self._at: dict[str, set[int]] = {}
        for chain in chains.values():
            self._enter(chain)

    def at(self, places: Iterable[str]) -> list[Chain]:
        """The chains that end at any of some places, in order."""
        found = set[int]().union(*(self._at.get(place, ()) for place in places))
        return [self.chains[index] for index in sorted(found, key=self._order.__getitem__)]

    def put(self, chain: Chain) -> None:
        """Enter a chain, in the place of the one of its number if there is one, else last."""
        if chain.index in self.chains:
            self._leave(self.chains[chain.index])
        else:
            self._last += 1
            self._order[chain.index] = self._last
        self.chains[chain.index] = chain
        self._enter(chain)

    def take(self, chains: Iterable[Chain]) -> None:
        """Take chains out."""
        for chain in chains:
            self._leave(self.chains.pop(chain.index))

    def _enter(self, chain: Chain) -> None:
        for place in {chain.a, chain.b}:
            self._at.setdefault(place, set()).add(chain.index)

    def _leave(self, chain: Chain) -> None:
        for place in {chain.a, chain.b}:
            self._at[place].discard(chain.index)


def _groups(c: Circuit, unfolded: frozenset[str]) -> dict[str, list[Rung]]:
    groups: dict[str, list[Rung]] = defaultdict(list)
    for rung in c.rungs:
        part = c.parts.get(rung.part)
        if rung.kind != "load" or not isinstance(part, Load) or part.heavy or rung.level:
            continue
        feeds = {c.chains[p.chain].far(rung.key) for p in rung.left if p.chain is not None}
        others = {c.chains[p.chain].far(rung.key) for p in rung.right if p.chain is not None}
        if len(feeds) == 1 and all(c.places[k].kind != "rung" for k in feeds | others):
            place = next(iter(feeds))
            if c.places[place].kind in FOLDABLE:
                groups[place].append(rung)
    return {
        place: rungs
        for place, rungs in groups.items()
        if len(rungs) >= LEAST_MEMBERS
        and place not in unfolded
        and not any(r.part in unfolded or _holds(c, r, unfolded) for r in rungs)
    }


def _holds(c: Circuit, rung: Rung, seen: frozenset[str]) -> bool:
    """Whether one of a rung's leads holds something that shall be seen."""
    chains = (c.chains[port.chain] for port in (*rung.left, *rung.right) if port.chain is not None)
    return bool(seen) and any(not seen.isdisjoint(step.ids) for chain in chains for step in chain.steps)


def _fold(c: Circuit, touching: _Touching, place: str, members: list[Rung]) -> Circuit:
    """Replace the members by one rung; a bar that serves only them goes with it."""
    gone = {m.key for m in members}
    inside = touching.at(gone)
    key = f"rung:fold-{place}"
    held = [i for ch in inside for i in _held(ch)] + [m.part for m in members]
    spread = Counter(ch.b if ch.a in gone else ch.a for ch in inside)
    touching.take(inside)
    ports: dict[str, list[Port]] = {"positive": [], "negative": []}
    for spare, (bar, count) in zip(inside, spread.items(), strict=False):
        here = c.places[bar]
        at = (here.part, f"={key}")
        rest = touching.at((bar,))
        if len(rest) == 1 and here.kind in ("section", "busbar", "post", "junction"):
            chain = rest[0]
            moved = replace(chain, a=key, a_at=at) if chain.a == bar else replace(chain, b=key, b_at=at)
            held.append(here.part)
        else:
            ids = tuple(i for ch in inside if bar in (ch.a, ch.b) for i in _held(ch))
            moved = Chain(spare.index, bar, at, key, at, (), ids, count)
        touching.put(moved)
        ports[here.side].append(Port(at, here.name, moved.index))
    first = members[0]
    rung = Rung(
        key,
        "fold",
        c.places[place].part,
        c.places[place].name,
        "fold",
        tuple(ports["positive"]),
        tuple(ports["negative"]),
        tuple(m.part for m in members),
        0,
        first.voltage_v,
    )
    rungs = tuple(rung if r is first else r for r in c.rungs if r is first or r.key not in gone)
    places = c.places | {key: replace(c.places[place], key=key, kind="rung")}
    folds = c.folds | {key.removeprefix("rung:"): tuple(dict.fromkeys(held))}
    return replace(c, places=places, rungs=rungs, folds=folds)


def _held(chain: Chain) -> tuple[str, ...]:
    return chain.folded or tuple(i for step in chain.steps for i in step.ids)
