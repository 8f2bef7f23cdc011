"""The runs of a boat that has no plan yet, as a map: metres along the runs to the right, branches below."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

from server.boat.boat import Boat
from server.boat.hull import Point
from server.boat.laid import Laid
from server.boat.routes import Routes
from server.boat.runs import Run
from server.drawing.plan_labels import Labels
from server.drawing.plan_links import MARK, Links, Lit, draw_waypoint
from server.drawing.plan_sheet import EDGE, WIDTH
from server.drawing.svg import Svg, add, finished, root
from server.units import Metre

if TYPE_CHECKING:
    import networkx as nx

ROW = 84.0
TOP = 92.0
"""Where the first row lies: above it is room for three lines of names."""
UNKNOWN_M: Metre = 1.0
"""How long a run of unknown length is drawn; its line is broken."""
LINE_HALF = 5.0
"""Half the room that a line takes from names."""
BOW = 30.0
"""How far a second run between two places stands off the straight line."""


@dataclass(frozen=True, slots=True)
class Stop:
    """Where a waypoint stands on the map: metres from the first one of its runs, and the row."""

    metres: Metre
    row: int


def draw_run_map(boat: Boat, url: str, lit: Lit) -> Svg | None:
    """The map; a thing touched asks for ``url`` with ``on``. None where there are no runs."""
    if not boat.runs:
        return None
    routes = Routes.of(boat)
    stops = stops_of(routes)
    longest = max(stop.metres for stop in stops.values())
    height = (max(stop.row for stop in stops.values()) + 1) * ROW + TOP
    at = {
        name: (EDGE + stop.metres / longest * (WIDTH - 2 * EDGE), TOP + stop.row * ROW)
        for name, stop in stops.items()
    }
    told = "Runs by their lengths, not a plan of the hull"
    svg = root(WIDTH, height, class_="plan-picture", role="group", aria_label=told)
    names = Element("g", {"class": "plan-names", "aria-hidden": "true"})
    links, labels = Links(svg, names, url, lit), Labels(WIDTH, height)
    for place in at.values():
        labels.keep_clear(place, MARK)
    middles = list(_draw_runs(links, routes, at))
    for run in boat.runs:
        for place in _along(at[run.start], at[run.end]):
            labels.keep_clear(place, LINE_HALF)
    caption = "By length, not by place: the metres of each run · how many conductors lie in it"
    labels.fixed(svg, caption, (EDGE / 2, height - EDGE / 3), "plan-scale")
    for waypoint in boat.waypoints:
        if waypoint.id in at:
            draw_waypoint(links.link(waypoint.id, "waypoint", f"Waypoint {waypoint.name}"), at[waypoint.id])
    for waypoint in boat.waypoints:
        if waypoint.id in at:
            marked = links.marked(waypoint.id)
            labels.near(names, waypoint.name, at[waypoint.id], f"plan-waypoint-name{marked}", must=True)
    laid = Laid.of(boat)
    for run, middle in middles:
        words = run_words(routes.run_length(run.id), len(laid.in_run[run.id]))
        labels.near(names, words, middle, f"plan-rise{links.marked(run.id)}", must=False)
    svg.append(names)
    return finished(svg, WIDTH, height)


def _along(start: Point, end: Point) -> Iterator[Point]:
    """Points along a line, close enough that no name fits between them."""
    count = max(1, round(math.dist(start, end) / (2 * LINE_HALF)))
    for n in range(1, count):
        share = n / count
        yield start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def run_words(length_m: Metre | None, wires: int) -> str:
    """A run's length and how many conductors lie in it.

    >>> run_words(2.5, 3), run_words(None, 0)
    ('2.5 m · 3', '? m · 0')
    """
    return f"{'?' if length_m is None else f'{length_m:.3g}'} m · {wires}"


def _draw_runs(links: Links, routes: Routes, at: Mapping[str, Point]) -> Iterator[tuple[Run, Point]]:
    """Draw the runs; gives the middle of each."""
    drawn: dict[frozenset[str], int] = {}
    for run in routes.runs.values():
        (x1, y1), (x2, y2) = at[run.start], at[run.end]
        before = drawn.get(frozenset({run.start, run.end}), 0)
        drawn[frozenset({run.start, run.end})] = before + 1
        hidden = any(
            y1 == y2 == y and min(x1, x2) < x < max(x1, x2)
            for name, (x, y) in at.items()
            if name not in {run.start, run.end}
        )
        off = BOW * (before + hidden)
        middle = (x1 + x2) / 2, (y1 + y2) / 2 + off
        shape = f"M{x1:.1f} {y1:.1f} Q{middle[0]:.1f} {middle[1] + off:.1f} {x2:.1f} {y2:.1f}"
        link = links.link(run.id, "run", f"Run {run.name}")
        unknown = " run-unknown" if routes.run_length(run.id) is None else ""
        for kind in ("run-touch", f"run-line{unknown}"):
            add(link, "path", class_=kind, d=shape, fill="none")
        yield run, middle


def stops_of(routes: Routes) -> dict[str, Stop]:
    """Where the waypoints stand: by their shortest ways from an end of a longest one, a row a branch."""
    import networkx as nx

    network: nx.Graph[str] = nx.Graph()
    for run in routes.runs.values():
        length = routes.run_length(run.id)
        metres = UNKNOWN_M if length is None else length
        known = network.get_edge_data(run.start, run.end, {"metres": metres})["metres"]
        network.add_edge(run.start, run.end, metres=min(metres, known))
    stops: dict[str, Stop] = {}
    row = 0
    for start in routes.waypoints:
        if start in network and start not in stops:
            for name, stop in _tree(network, _end_of_longest(network, start), row):
                stops[name] = stop
                row = max(row, stop.row + 1)
    return stops


def _end_of_longest(network: "nx.Graph[str]", start: str) -> str:
    """The waypoint farthest from one of its network: on a tree an end of the longest way."""
    import networkx as nx

    there = nx.single_source_dijkstra_path_length(network, start, weight="metres")
    return max(there, key=there.__getitem__)


def _tree(network: "nx.Graph[str]", first: str, row: int) -> Iterator[tuple[str, Stop]]:
    """The waypoints by their shortest ways from the first: the longest branch goes straight on."""
    import networkx as nx

    far = nx.single_source_dijkstra_path_length(network, first, weight="metres")
    ways = nx.single_source_dijkstra_path(network, first, weight="metres")
    after: dict[str, list[str]] = {name: [] for name in far}
    for name, way in ways.items():
        if len(way) > 1:
            after[way[-2]].append(name)
    reach = dict(far)
    for name in sorted(far, key=far.__getitem__, reverse=True):
        reach[name] = max((reach[one] for one in after[name]), default=far[name])
    rows, waiting = row - 1, [(first, True)]
    placed: dict[str, int] = {}
    while waiting:
        name, is_branch = waiting.pop()
        rows += is_branch
        placed[name] = rows if is_branch else placed[ways[name][-2]]
        yield name, Stop(far[name], placed[name])
        branches = sorted(after[name], key=reach.__getitem__)
        waiting += [(one, True) for one in branches[:-1]] + [(one, False) for one in branches[-1:]]
