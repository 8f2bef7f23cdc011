"""The hull in plan view, bow to the left and starboard up: zones, runs, waypoints and parts."""

from collections.abc import Collection, Iterator
from xml.etree.ElementTree import Element

from server.boat.boat import Boat, Zone
from server.boat.decks import deck_of
from server.boat.hull import Point, hull_outline
from server.boat.routes import Routes
from server.boat.value import Place
from server.drawing.plan_labels import Labels
from server.drawing.plan_links import MARK, TOUCH_R, Links, Lit, draw_waypoint
from server.drawing.plan_rises import draw_rise, rise_of
from server.drawing.plan_sheet import EDGE, WIDTH, Sheet
from server.drawing.plan_underlay import Backdrop, draw_underlay
from server.drawing.svg import Svg, add, finished, number, root
from server.units import Metre

MOST_NAMED_PARTS = 40


def draw_plan(boat: Boat, url: str, lit: Lit, picture: Backdrop | None = None, shown: str = "") -> Svg | None:
    """The plan; a thing touched asks for ``url`` with ``on``.

    With one deck ``shown``, what is on others is pale. None where neither a length nor any place is known.
    """
    sheet = Sheet.of(boat)
    if sheet is None:
        return None
    labels = Labels(WIDTH, sheet.height)
    svg = root(
        WIDTH,
        sheet.height,
        class_="plan-picture",
        role="group",
        aria_label="Plan of the hull, bow to the left, starboard above",
        data_scale=f"{sheet.scale:.4f}",
        data_left=number(EDGE),
        data_middle=f"{sheet.middle:.4f}",
    )
    if picture is not None and boat.underlay is not None:
        first, second = (
            sheet.at((fix.from_bow_m, fix.from_centreline_m))
            for fix in (boat.underlay.first, boat.underlay.second)
        )
        draw_underlay(svg, picture, boat.underlay, (first, second))
    _draw_hull(svg, boat, sheet)
    for zone in boat.zones:
        elsewhere = " pale" if shown and zone.deck not in {None, shown} else ""
        _draw_zone(svg, sheet, zone, labels, elsewhere)
    names = Element("g", {"class": "plan-names", "aria-hidden": "true"})
    links = Links(svg, names, url, lit, _pale(boat, shown))
    routes = Routes.of(boat)
    for thing in (*boat.waypoints, *boat.parts):
        if thing.place is not None:
            labels.keep_clear(sheet.at(_point(thing.place)), MARK)
    rises = list(_draw_runs(links, sheet, boat, routes, shown))
    _draw_tethers(links, sheet, boat, routes)
    _draw_waypoints(links, sheet, boat, labels)
    for run, words, at in rises:
        labels.near(names, words, at, f"plan-rise{links.marked(run)}", must=run not in links.pale)
    _draw_parts(links, sheet, boat, labels)
    svg.append(names)
    return finished(svg, WIDTH, sheet.height)


def _draw_hull(svg: Element, boat: Boat, sheet: Sheet) -> None:
    if boat.hull is not None and boat.length_m is not None:
        outline = _path(sheet, hull_outline(boat.hull, boat.length_m))
        add(svg, "path", class_="plan-hull", d=outline)
    left, middle = sheet.at((0.0, 0.0))
    right, _ = sheet.at((sheet.length_m, 0.0))
    add(svg, "line", class_="plan-centre", x1=left, y1=middle, x2=right, y2=middle)
    add(svg, "text", "Starboard", class_="plan-side", x=left, y=24)
    add(svg, "text", "Port", class_="plan-side", x=left, y=sheet.height - 30)
    for metre in range(0, int(sheet.length_m) + 1, 1 if sheet.length_m <= _FINE_BELOW_M else 2):
        x, _ = sheet.at((float(metre), 0.0))
        y = sheet.height - 24
        add(svg, "line", class_="plan-tick", x1=x, y1=y, x2=x, y2=y + 6)
        add(svg, "text", f"{metre} m", class_="plan-scale", x=x, y=y + 21, text_anchor="middle")


_FINE_BELOW_M: Metre = 16.0
"""Up to this length every metre is marked, beyond it every other one."""


def _draw_zone(svg: Element, sheet: Sheet, zone: Zone, labels: Labels, elsewhere: str) -> None:
    if not zone.outline:
        return
    points = [(corner.from_bow_m, corner.from_centreline_m) for corner in zone.outline]
    kind = "engine" if zone.engine_space else "vapour" if zone.vapour_risk else "damp" if zone.damp else "dry"
    add(svg, "path", class_=f"plan-zone zone-{kind}{elsewhere}", d=_path(sheet, points))
    said = [
        word
        for word, is_so in (
            ("engine space", zone.engine_space),
            ("vapour", zone.vapour_risk),
            ("damp", zone.damp),
        )
        if is_so and word not in zone.name.casefold()
    ]
    x, y = min(point[0] for point in points), max(point[1] for point in points)
    at = sheet.at((x, y))
    words = f"{zone.name}{': ' if said else ''}{', '.join(said)}"
    labels.fixed(svg, words, (at[0] + 6, at[1] + 18), f"plan-zone-name{elsewhere}")


def _draw_runs(
    links: Links, sheet: Sheet, boat: Boat, routes: Routes, shown: str
) -> Iterator[tuple[str, str, Point]]:
    """Draw the runs; gives the words of those that go up or down, and where they belong."""
    for run in links.palest_first(boat.runs):
        start, end = routes.waypoints[run.start], routes.waypoints[run.end]
        if start.place is not None and end.place is not None:
            rise = rise_of(run, (start, end), boat.decks, shown)
            said = f"Run {run.name}" if rise is None else f"Run {run.name}, goes {rise.words}"
            link = links.link(run.id, "run", said)
            ends = sheet.at(_point(start.place)), sheet.at(_point(end.place))
            (x1, y1), (x2, y2) = ends
            for kind in ("touch", "line"):
                add(link, "line", class_=f"run-{kind}", x1=x1, y1=y1, x2=x2, y2=y2)
            if rise is not None:
                yield run.id, rise.words, draw_rise(link, rise, ends)


def _draw_tethers(links: Links, sheet: Sheet, boat: Boat, routes: Routes) -> None:
    """A thin line from each part to the waypoint from which it is reached."""
    for part in boat.parts:
        spot = None if part.id in links.pale else routes.spot(part.id)
        reached = None if spot is None else routes.waypoints[spot.waypoint].place
        if reached is not None and part.place is not None:
            (x1, y1), (x2, y2) = sheet.at(_point(part.place)), sheet.at(_point(reached))
            on_way = " on-way" if part.id in links.lit.things else ""
            add(links.svg, "line", class_=f"plan-tether{on_way}", x1=x1, y1=y1, x2=x2, y2=y2)


def _draw_parts(links: Links, sheet: Sheet, boat: Boat, labels: Labels) -> None:
    places = {part.id: part.place for part in boat.parts if part.place is not None}
    named = len(places.keys() - links.pale)
    told = {(one.name, one.place) for one in boat.waypoints}
    for part in links.palest_first(part for part in boat.parts if part.id in places):
        place = places[part.id]
        at = sheet.at(_point(place))
        link = links.link(part.id, "part", f"{part.name}, {place_words(place)}", place)
        add(link, "circle", class_="plan-touch", cx=at[0], cy=at[1], r=TOUCH_R)
        add(link, "circle", class_="plan-dot", cx=at[0], cy=at[1], r=MARK - 2)
        wanted = part.id == links.lit.chosen or part.id in links.lit.things
        if (part.name, place) not in told and (
            wanted or (part.id not in links.pale and named <= MOST_NAMED_PARTS)
        ):
            labels.near(links.names, part.name, at, f"plan-name{links.marked(part.id)}", must=wanted)


def _draw_waypoints(links: Links, sheet: Sheet, boat: Boat, labels: Labels) -> None:
    placed = {one.id: sheet.at(_point(one.place)) for one in boat.waypoints if one.place is not None}
    in_order = [one for one in links.palest_first(boat.waypoints) if one.id in placed]
    for waypoint in in_order:
        said = f"Waypoint {waypoint.name}, {place_words(waypoint.place)}"
        draw_waypoint(links.link(waypoint.id, "waypoint", said, waypoint.place), placed[waypoint.id])
    for waypoint in sorted(in_order, key=lambda one: one.id in links.pale):
        class_ = f"plan-waypoint-name{links.marked(waypoint.id)}"
        must = waypoint.id not in links.pale
        labels.near(links.names, waypoint.name, placed[waypoint.id], class_, must=must)


def _pale(boat: Boat, shown: str) -> frozenset[str]:
    """What is on other decks than the one that is shown; of runs those with no end on it."""
    if not shown:
        return frozenset()
    on = {one.id: deck_of(one, boat.decks) for one in (*boat.waypoints, *boat.parts)}
    runs = (run.id for run in boat.runs if shown not in {on[run.start], on[run.end]})
    return frozenset((*(thing for thing, deck in on.items() if deck not in {None, shown}), *runs))


def place_words(place: Place | None) -> str:
    """Where a thing is, in words.

    >>> place_words(Place(from_bow_m=3.0, from_centreline_m=-0.5))
    '3 m from the bow, 0.5 m to port'
    """
    if place is None:
        return "not on the plan"
    y = place.from_centreline_m
    side = "on the centreline" if not y else f"{abs(y):g} m to {'starboard' if y > 0 else 'port'}"
    height = f", {place.height_m:g} m above the waterline" if place.height_m else ""
    return f"{place.from_bow_m:g} m from the bow, {side}{height}"


def _point(place: Place) -> Point:
    return place.from_bow_m, place.from_centreline_m


def _path(sheet: Sheet, points: Collection[Point]) -> str:
    return "M" + " L".join(f"{number(x)} {number(y)}" for x, y in _placed(sheet, points)) + " Z"


def _placed(sheet: Sheet, points: Collection[Point]) -> Iterator[Point]:
    return (sheet.at(point) for point in points)
