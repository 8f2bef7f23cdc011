"""The way a conductor takes between two parts: the shortest through the runs of a boat."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from operator import itemgetter
from typing import TYPE_CHECKING

from server.boat.boat import Boat, Override, Zone
from server.boat.decks import Deck, Standing, decks_along
from server.boat.hull import is_inside, is_touched
from server.boat.latest import Latest
from server.boat.lengths import allowance_of, reach_of, straight_line
from server.boat.parts import AnyPart
from server.boat.runs import Run, Waypoint
from server.boat.value import Place, YesNo
from server.units import Metre

if TYPE_CHECKING:
    import networkx as nx


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the conductors of a part leave for the runs: a waypoint, and how far it is.

    ``metres`` is None where nobody said, and the plan does not tell; ``is_nearest`` where no waypoint was
    named for the part and the nearest on the plan stands for it, which is within reach.
    """

    waypoint: str
    metres: Metre | None
    is_nearest: bool = False


@dataclass(frozen=True, slots=True)
class Route:
    """The shortest way between two parts.

    ``length_m`` has the allowance for both ends in it and is to the centimetre; ``in_engine_space`` is None
    where the zones along the way do not tell.
    """

    length_m: Metre
    waypoints: tuple[str, ...]
    runs: tuple[str, ...]
    in_engine_space: YesNo | None = None


@dataclass(frozen=True, slots=True)
class _Path:
    """The shortest way from waypoint to waypoint, both named, through the runs between them."""

    metres: Metre
    waypoints: tuple[str, ...]
    runs: tuple[str, ...]


class Routes:
    """The shortest ways through the runs of one boat, each worked out when it is first asked for."""

    def __init__(  # noqa: PLR0913, PLR0917 - the lists that ways follow from
        self,
        parts: tuple[AnyPart, ...],
        waypoints: tuple[Waypoint, ...],
        runs: tuple[Run, ...],
        zones: tuple[Zone, ...],
        decks: tuple[Deck, ...],
        assumptions: tuple[Override, ...],
    ) -> None:
        """The lists of a boat that its ways follow from."""
        self._parts = {part.id: part for part in parts}
        self.waypoints = {one.id: one for one in waypoints}
        self.runs = {run.id: run for run in runs}
        self._zones, self._decks = zones, decks
        self.allowance, self.reach_m = allowance_of(assumptions), reach_of(assumptions)
        self._reached: dict[str, dict[str, _Path]] = {}
        self._found: dict[tuple[str, str], Route | None] = {}
        self._spots: dict[str, Spot | None] = {}

    @classmethod
    def of(cls, boat: Boat) -> "Routes":
        """The ways of a boat, the same ones again for as long as nothing that they follow from changes."""
        return _ROUTES(boat.parts, boat.waypoints, boat.runs, boat.zones, boat.decks, boat.assumptions)

    def between(self, one: str, other: str) -> Route | None:
        """The shortest way from part to part; None where there is none, see ``why_not``."""
        if not self.runs or one == other:
            return None
        if (one, other) not in self._found:
            self._found[one, other] = self._between(one, other)
        return self._found[one, other]

    def why_not(self, one: str, other: str) -> str:
        """Why there is no way from part to part, in words; empty where there is one."""
        if self.between(one, other) is not None:
            return ""
        here, there = self.spot(one), self.spot(other)
        if here is None or there is None:
            return self._unreached(one if here is None else other)
        start, end = self.waypoints[here.waypoint].name, self.waypoints[there.waypoint].name
        if self._path(here.waypoint, there.waypoint) is None:
            return f"no runs of known length lead from {start} to {end}"
        if self._is_nearer(one, other, here, there):
            return "straight: the ends are nearer to each other than to their waypoints"
        if here.is_nearest or there.is_nearest:
            return f"straight: both ends are near {start}, and no run lies between them"
        return f"both ends are at {start}: give their distances from it"

    def spot(self, part: str) -> Spot | None:
        """Where a part's conductors leave for the runs; None where neither list nor plan tells."""
        if part not in self._spots:
            self._spots[part] = self._spot_of(self._parts[part])
        return self._spots[part]

    def _spot_of(self, own: AnyPart) -> Spot | None:
        if own.waypoint is not None:
            waypoint = self.waypoints[own.waypoint]
            metres = own.from_waypoint_m
            return Spot(waypoint.id, _apart(own.place, waypoint.place) if metres is None else metres)
        near = self.nearest(own.id)
        if near is None or near[0] > self.reach_m:
            return None
        return Spot(near[1].id, near[0], is_nearest=True)

    def nearest(self, part: str) -> tuple[Metre, Waypoint] | None:
        """The waypoint nearest to a part, in or out of reach; None where the plan does not tell."""
        placed = self._parts[part].place
        if placed is None:
            return None
        near = [
            (straight_line(placed, one.place), one)
            for one in self.waypoints.values()
            if one.place is not None
        ]
        return min(near, key=itemgetter(0), default=None)

    def _unreached(self, part: str) -> str:
        """Why a part is at no waypoint."""
        name, near = self._parts[part].name, self.nearest(part)
        if near is None:
            return f"{name} is at no waypoint"
        return f"{name} is {near[0]:.1f} m from the nearest waypoint, {near[1].name}: name one for it"

    def run_length(self, run: str) -> Metre | None:
        """The length of a run with its drop; None where neither list nor plan tells."""
        return self._lengths[run]

    def is_in_engine_space(self, run: str) -> YesNo | None:
        """Whether a run goes through an engine space, by its zone or else by the plan."""
        own = self.runs[run]
        if own.zone is not None:
            return _yes(self._is_engine[own.zone])
        return self._by_plan(self.waypoints[own.start], self.waypoints[own.end])

    @cached_property
    def _lengths(self) -> dict[str, Metre | None]:
        return {run.id: self._length_of(run) for run in self.runs.values()}

    def _length_of(self, run: Run) -> Metre | None:
        if run.length_m is not None:
            return run.length_m + (run.vertical_drop_m or 0.0)
        start, end = self.waypoints[run.start].place, self.waypoints[run.end].place
        if start is None or end is None:
            return None
        if run.vertical_drop_m is None:
            return straight_line(start, end)
        flat = math.hypot(start.from_bow_m - end.from_bow_m, start.from_centreline_m - end.from_centreline_m)
        return flat + run.vertical_drop_m

    def _between(self, one: str, other: str) -> Route | None:
        here, there = self.spot(one), self.spot(other)
        if here is None or there is None:
            return None
        if here.waypoint == there.waypoint and _is_vague(here, there):
            return None
        path = self._path(here.waypoint, there.waypoint)
        if path is None or self._is_nearer(one, other, here, there):
            return None
        metres = path.metres + sum(step for step in (here.metres, there.metres) if step is not None)
        return Route(
            round(metres + 2 * self.allowance.each_end, 2),
            path.waypoints,
            path.runs,
            self._exposure(one, other, path.runs),
        )

    def is_direct(self, one: str, other: str) -> bool:
        """Whether a conductor goes straight from part to part, because no run between them is on its way."""
        here, there = self.spot(one), self.spot(other)
        if here is None or there is None:
            return False
        near = here.waypoint == there.waypoint and (here.is_nearest or there.is_nearest)
        return near or self._is_nearer(one, other, here, there)

    def _is_nearer(self, one: str, other: str, here: Spot, there: Spot) -> bool:
        places = self._parts[one].place, self._parts[other].place
        if places[0] is None or places[1] is None or here.metres is None or there.metres is None:
            return False
        direct = straight_line(places[0], places[1]) * self.allowance.detours
        return direct <= here.metres + there.metres

    def _path(self, start: str, end: str) -> _Path | None:
        """The shortest way from waypoint to waypoint; None where no runs of known length join them."""
        if start not in self._reached:
            self._reached[start] = self._reach(start)
        return self._reached[start].get(end)

    def _reach(self, start: str) -> dict[str, _Path]:
        """The shortest ways to all waypoints that can be reached."""
        import networkx as nx

        ways = nx.single_source_dijkstra_path(self._network, start, weight="metres")
        return {end: self._along(tuple(way)) for end, way in ways.items()}

    def _along(self, way: tuple[str, ...]) -> _Path:
        stretches = [self._network.edges[pair] for pair in pairwise(way)]
        return _Path(
            sum(stretch["metres"] for stretch in stretches),
            way,
            tuple(stretch["run"] for stretch in stretches),
        )

    @cached_property
    def _network(self) -> "nx.Graph[str]":
        """Waypoints joined by the runs of known length; of several between the same two the shortest."""
        import networkx as nx

        network: nx.Graph[str] = nx.Graph()
        network.add_nodes_from(self.waypoints)
        known = [(length, run) for run, length in self._lengths.items() if length is not None]
        for length, name in sorted(known, key=lambda one: one[0]):
            run = self.runs[name]
            if not network.has_edge(run.start, run.end):
                network.add_edge(run.start, run.end, metres=length, run=name)
        return network

    @cached_property
    def _is_engine(self) -> dict[str, bool]:
        return {zone.id: zone.engine_space for zone in self._zones}

    def _exposure(self, one: str, other: str, runs: Iterable[str]) -> YesNo | None:
        """Yes where any stretch lies in an engine space, no where all are known to lie outside."""
        told = [self._part_exposure(one), self._part_exposure(other)]
        told += [self.is_in_engine_space(run) for run in runs]
        return "yes" if "yes" in told else None if None in told else "no"

    def _part_exposure(self, part: str) -> YesNo | None:
        own = self._parts[part]
        return _yes(self._is_engine[own.zone]) if own.zone is not None else self._by_plan(own)

    def _by_plan(self, *things: Standing) -> YesNo | None:
        """Whether a thing or a straight line touches an engine space; None where not both are on the plan.

        What leads from one deck to another counts as being on both, and on all between.
        """
        spaces = [zone for zone in self._zones if zone.engine_space]
        points = [
            (one.place.from_bow_m, one.place.from_centreline_m) for one in things if one.place is not None
        ]
        if len(points) < len(things) or not spaces or not all(zone.outline for zone in spaces):
            return None
        decks = {None, *decks_along(things, self._decks)}
        outlines = [zone.outline for zone in spaces if zone.deck in decks]
        if len(points) == 1:
            return _yes(any(is_inside(points[0], outline) for outline in outlines))
        return _yes(any(is_touched(a, b, outline) for outline in outlines for a, b in pairwise(points)))


def _apart(one: Place | None, other: Place | None) -> Metre | None:
    return None if one is None or other is None else straight_line(one, other)


def _is_vague(here: Spot, there: Spot) -> bool:
    """Whether two spots at one waypoint tell no length: only what a person said of both does."""
    nobody_said = here.is_nearest or there.is_nearest
    return nobody_said or here.metres is None or there.metres is None


def _yes(is_so: bool) -> YesNo:
    return "yes" if is_so else "no"


_ROUTES = Latest(Routes, 8)
