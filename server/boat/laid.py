"""What lies in the runs of a boat: which wires go through each, and beside how many others a wire lies."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.latest import Latest
from server.boat.routes import Route, Routes
from server.units import Metre

FEWEST_BUNDLED = 3
"""From so many wires on a run counts as a bundle: where the published factors begin."""


@dataclass(frozen=True, slots=True)
class Bundle:
    """What a wire is bundled with: the most wires of any run on its way, itself among them, and how far."""

    wires: int = 1
    metres: Metre = 0.0


@dataclass(frozen=True, slots=True)
class Laid:
    """Every wire's way through the runs, and the wires of each run, in document order."""

    ways: Mapping[str, Route]
    in_run: Mapping[str, tuple[Conductor, ...]]
    bundles: Mapping[str, Bundle]

    @classmethod
    def of(cls, boat: Boat) -> "Laid":
        """What lies in the runs of a boat; measured wires too, whose way is taken to be the shortest."""
        return _LAID(boat.conductors, Routes.of(boat))


def _laid(conductors: tuple[Conductor, ...], routes: Routes) -> Laid:
    ways: dict[str, Route] = {}
    in_run: dict[str, list[Conductor]] = {run: [] for run in routes.runs}
    for one in conductors if routes.runs else ():
        if one.kind == "wire" and one.tail is not None and one.head is not None:
            route = routes.between(one.tail.part, one.head.part)
            if route is not None:
                ways[one.id] = route
                for run in route.runs:
                    in_run[run].append(one)
    counts = {run: len(wires) for run, wires in in_run.items()}
    bundles = {name: _bundle(route, counts, routes) for name, route in ways.items()}
    return Laid(
        MappingProxyType(ways),
        MappingProxyType({run: tuple(wires) for run, wires in in_run.items()}),
        MappingProxyType(bundles),
    )


def _bundle(route: Route, counts: Mapping[str, int], routes: Routes) -> Bundle:
    full = [run for run in route.runs if counts[run] >= FEWEST_BUNDLED]
    if not full:
        return Bundle()
    return Bundle(max(counts[run] for run in full), sum(routes.run_length(run) or 0.0 for run in full))


_LAID = Latest(_laid, 8)
