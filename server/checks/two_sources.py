"""Conductors between two sources: either can feed a short, so either end needs a device."""

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import cast

import networkx as nx

from server.boat.boat import Boat
from server.boat.finding import Figure, Finding, Severity
from server.boat.modes import Mode
from server.boat.parts import Alternator, Battery
from server.checks.feeds import devices_of
from server.checks.location import Way, allowed_words, bare_copper, distance_limit
from server.checks.paths import Node, Paths, source_posts
from server.checks.spoken import rule_kind
from server.checks.words import listed, the
from server.practice.profiles import profile
from server.practice.rules import Rule, rule, rule_distance
from server.practice.sourced import Sourced
from server.units import Metre

SEVERAL = 2


@dataclass(frozen=True, eq=False)
class Bare:
    """Copper as every battery's positive post reaches it with all devices out and all switches closed."""

    boat: Boat

    @classmethod
    def of(cls, boat: Boat) -> "Bare":
        """That of a boat, the same one again while it is in use."""
        for kept in tuple(_RECENT):
            if kept.boat is boat:
                return kept
        bare = cls(boat)
        _RECENT.append(bare)
        return bare

    @cached_property
    def graph(self) -> "nx.Graph[Node]":
        """That copper, cranking leads left out, weighted by length."""
        return bare_copper(self.boat, Paths(self.boat, Mode(id="any", name="Any switch closed")))

    @cached_property
    def posts(self) -> Mapping[Node, Battery]:
        """The positive posts of batteries."""
        posts = source_posts(self.boat, "positive")
        return {post: part for part, post in posts if isinstance(part, Battery) and post in self.graph}

    @cached_property
    def _reach(self) -> tuple[dict[Node, Metre], dict[Node, list[Node]]]:
        if not self.posts:
            return {}, {}
        reach = nx.multi_source_dijkstra(self.graph, set(self.posts), weight="metres")
        return cast("tuple[dict[Node, Metre], dict[Node, list[Node]]]", reach)

    def metres(self, end: Node) -> Metre | None:
        """How far a terminal lies from the nearest battery; None where none reaches it."""
        return self._reach[0].get(end)

    def battery(self, end: Node) -> Battery:
        """The battery nearest to a terminal that one reaches."""
        return self.posts[self._reach[1][end][0]]

    def way(self, end: Node) -> Way:
        """The conductors between that battery and the terminal."""
        return self.conductors(self._reach[1][end])

    def conductors(self, nodes: list[Node]) -> Way:
        """The conductors along some terminals."""
        by_id = {conductor.id: conductor for conductor in self.boat.conductors}
        names = (self.graph.edges[step]["conductor"] for step in pairwise(nodes))
        return tuple(by_id[name] for name in names if name)

    def between_banks(self) -> Iterator[tuple[Battery, Battery, Metre, Way]]:
        """Batteries of different banks that bare copper joins, one pair for each two banks."""
        told = set[frozenset[tuple[str, ...]]]()
        if len(set(map(bank_of, self.posts.values()))) < SEVERAL:
            return
        for post, one in self.posts.items():
            joined = nx.single_source_dijkstra(self.graph, post, weight="metres")
            metres, ways = cast("tuple[dict[Node, Metre], dict[Node, list[Node]]]", joined)
            for other_post, other in self.posts.items():
                pair = frozenset({bank_of(one), bank_of(other)})
                if other_post in metres and len(pair) > 1 and pair not in told:
                    told.add(pair)
                    yield one, other, metres[other_post], self.conductors(ways[other_post])


_RECENT: deque[Bare] = deque(maxlen=8)
"""Asked for last: a frozen boat has only one, so this changes no answer."""


def bank_of(battery: Battery) -> tuple[str, ...]:
    """What names a battery's bank: its name, else its use and chemistry, else itself."""
    if battery.bank is not None:
        return ("bank", battery.bank)
    return ("use", battery.use, battery.chemistry) if battery.use is not None else ("own", battery.id)


def sources_without_device(boat: Boat) -> Iterator[Finding]:
    """Banks joined to each other, and charging sources joined to a bank, with no device between.

    Conductors of less than 7 in are exempt, and so is a cranking lead of its own.
    """
    spoken, limit = rule("e11-7in"), rule_distance("e11-7in")
    bare = Bare.of(boat)
    for one, other, metres, way in bare.between_banks():
        if metres > limit.value:
            yield _bare_finding(
                boat,
                (one.id, other.id, *_ids(way)),
                metres,
                limit,
                f"No fuse or breaker stands between {the(one.name)} and {the(other.name)}: a short on the "
                f"{metres:.1f} m between them burns with the current of both. One belongs at either end.",
                spoken,
            )
    for part, post in source_posts(boat, "positive"):
        metres_or_none = bare.metres(post)
        if not isinstance(part, Battery) and metres_or_none is not None and metres_or_none > limit.value:
            yield _bare_finding(
                boat,
                (part.id, *_ids(bare.way(post))),
                metres_or_none,
                limit,
                f"No fuse or breaker stands between {the(bare.battery(post).name)} and {the(part.name)}: a "
                f"short on its {metres_or_none:.1f} m of lead burns with the whole current of the battery. "
                "One belongs at the battery's end.",
                spoken,
            )


def one_end_unprotected(boat: Boat) -> Iterator[Finding]:
    """Devices between two banks that sit at one of them alone: the other feeds a short on the lead bare."""
    bare = Bare.of(boat)
    for device in devices_of(boat):
        ends = [
            (metres, end) for end in (device.line, device.load) if (metres := bare.metres(end)) is not None
        ]
        if len(ends) > 1 and bank_of(bare.battery(ends[0][1])) != bank_of(bare.battery(ends[1][1])):
            metres, end = max(ends)
            way = bare.way(end)
            broken = distance_limit(boat, metres, way)
            if broken is not None:
                limit, severity = broken
                near, far = bare.battery(min(ends)[1]), bare.battery(end)
                yield _one_end(boat, device.name, device.line[0], (near, far), metres, way, limit, severity)


def alternators_own_end(boat: Boat) -> Iterator[Finding]:
    """Alternators that do not limit their own current and have no device near them (ABYC E-11)."""
    if profile(boat.practice.profile).standard != "abyc-e11":
        return
    bare, ends = Bare.of(boat), [end for one in devices_of(boat) for end in (one.line, one.load)]
    for part in boat.parts:
        post = (part.id, "positive")
        if isinstance(part, Alternator) and part.self_limiting == "no" and post in bare.graph:
            reach = nx.single_source_dijkstra(bare.graph, post, weight="metres")
            metres, ways = cast("tuple[dict[Node, Metre], dict[Node, list[Node]]]", reach)
            nearest = min((end for end in ends if end in metres), key=metres.__getitem__, default=None)
            way = bare.conductors(ways[nearest]) if nearest is not None else ()
            limit = rule_distance("e11-40in" if all(one.sheathed == "yes" for one in way) else "e11-7in")
            if nearest is None or metres[nearest] > limit.value:
                yield _own_end(part, None if nearest is None else metres[nearest], way, limit)


def _own_end(part: Alternator, metres: Metre | None, way: Way, limit: Sourced) -> Finding:
    where = "has no device on its lead" if metres is None else f"sits {metres:.2f} m from the nearest device"
    return Finding(
        code="source-end-unprotected",
        severity="fault",
        subjects=(part.id, *_ids(way)),
        figure=None if metres is None else Figure(value=metres, unit="m", basis="computed"),
        limit=None if metres is None else Figure(value=limit.value, unit="m", basis="rule"),
        message=f"{part.name} does not limit its own current and {where}: it feeds a short on its lead "
        f"itself. A device belongs within {limit.value:.2f} m of it.",
        source=limit.source,
        source_status=limit.status,
        rule_kind="standard",
    )


def limits_not_stated(boat: Boat) -> tuple[str, ...]:
    """Of which alternators nobody said whether they limit their own current; one line for all."""
    names = [one.name for one in boat.parts if isinstance(one, Alternator) and one.self_limiting is None]
    if not names:
        return ()
    return (
        "whether a device is needed at a source's own end: look up whether these limit their own current: "
        + listed(names),
    )


def _one_end(  # noqa: PLR0913, PLR0917 - everything that the sentence says
    boat: Boat,
    device: str,
    part: str,
    batteries: tuple[Battery, Battery],
    metres: Metre,
    way: Way,
    limit: Sourced,
    severity: Severity,
) -> Finding:
    near, far = batteries
    told = (
        "say whether it runs in a sheath the whole way, where more is allowed."
        if severity == "cannot-tell"
        else "confirm that in the standard, and fit a second device there."
        if severity == "advice"
        else "fit a second device there."
    )
    return Finding(
        code="one-end-unprotected",
        severity=severity,
        subjects=(part, *_ids(way)),
        figure=Figure(value=metres, unit="m", basis="computed"),
        limit=Figure(value=limit.value, unit="m", basis="rule"),
        message=f"“{device}” guards the lead between {the(near.name)} and {the(far.name)} at the first "
        f"alone; the second feeds a short on it over {metres:.2f} m without a device. "
        f"{allowed_words(boat, limit)}: {told}",
        source=limit.source,
        source_status=limit.status,
        rule_kind="standard",
    )


def _bare_finding(  # noqa: PLR0913, PLR0917 - everything that the sentence says
    boat: Boat, subjects: tuple[str, ...], metres: Metre, limit: Sourced, message: str, spoken: Rule
) -> Finding:
    return Finding(
        code="source-without-device",
        severity="danger",
        subjects=subjects,
        figure=Figure(value=metres, unit="m", basis="computed"),
        limit=Figure(value=limit.value, unit="m", basis="rule"),
        message=message,
        source=spoken.source,
        source_status=spoken.status,
        rule_kind=rule_kind(boat, spoken),
    )


def _ids(way: Way) -> tuple[str, ...]:
    return tuple(one.id for one in way)
