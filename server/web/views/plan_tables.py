"""The lists of the plan as tables: each row leads to the thing it tells of."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from server.actions.plan import PartFacts, PlanFacts, RunFacts, WireFacts
from server.boat.boat import Boat, Zone
from server.boat.decks import Deck, deck_of, upwards
from server.boat.hull import is_rectangle
from server.drawing.plan import place_words
from server.web.views.figures import NONE
from server.web.views.plan_change import length_words

_HOT = {True: "engine space", False: "outside engine spaces", None: "not stated"}


@dataclass(frozen=True)
class PlanRowView:
    """One thing in a list."""

    id: str
    name: str
    url: str
    here: bool
    cells: tuple[str, ...]


@dataclass(frozen=True)
class PlanTableView:
    """One list, with how many are unfinished; folded where most are."""

    id: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[PlanRowView, ...]
    empty: str
    is_open: bool = True
    note: str = ""


def tables(boat: Boat, facts: PlanFacts, on: str, url: str) -> tuple[PlanTableView, ...]:
    """Runs, conductors, parts, waypoints and zones."""

    def row(thing: str, name: str, *cells: str) -> PlanRowView:
        joint = "&" if "?" in url else "?"
        return PlanRowView(f"row-{thing}", name, f"{url}{joint}on={thing}", thing == on, cells)

    return (
        PlanTableView(
            "plan-runs",
            "Runs",
            ("Run", "Length", "Conductors", "Copper", "Heat", "Trunking", "Where"),
            tuple(row(one.run.id, _run_name(one), *_run_cells(one)) for one in facts.runs),
            "None yet: add one above, from one place to another.",
        ),
        PlanTableView(
            "plan-wires",
            "Conductors",
            ("Conductor", "From", "To", "Length", "Its way"),
            tuple(row(one.conductor.id, _number(one), *_wire_cells(boat, one)) for one in facts.wires),
            "None yet.",
            is_open=_is_mostly(one.route is not None for one in facts.wires),
            note=_count(facts.unjoined, "reached by no run") if boat.runs else "",
        ),
        PlanTableView(
            "plan-parts",
            "Parts",
            ("Part", "Reached from", "Place"),
            tuple(
                row(one.part.id, one.part.name, spot_words(one), place_words(one.part.place))
                for one in facts.parts
            ),
            "None yet.",
            is_open=_is_mostly(one.spot is not None for one in facts.parts),
            note=_count(sum(one.spot is None for one in facts.parts), "at no waypoint"),
        ),
        PlanTableView(
            "plan-places",
            "Waypoints",
            ("Waypoint", "Place"),
            tuple(row(one.id, one.name, place_words(one.place)) for one in boat.waypoints),
            "None yet: they come with the runs.",
        ),
        PlanTableView(
            "plan-zones",
            "Zones",
            ("Zone", "What it is", "On the plan"),
            tuple(row(zone.id, zone.name, *cells) for zone, cells in _zones(boat)),
            "None yet.",
        ),
        PlanTableView(
            "plan-decks",
            "Decks",
            ("Deck", "Its floor", "On it"),
            tuple(
                row(deck.id, deck.name, floor_words(deck), " ".join(deck_words(boat, deck.id)))
                for deck in upwards(boat.decks)
            ),
            "None yet: add one above where the boat has more than one floor.",
            is_open=bool(boat.decks),
        ),
    )


def _is_mostly(told: Iterable[bool]) -> bool:
    answers = tuple(told)
    return 2 * sum(answers) >= len(answers)


def _count(count: int, what: str) -> str:
    return f"{count} of them {what}" if count else ""


def spot_words(one: PartFacts) -> str:
    """Where the conductors of a part leave for the runs."""
    if one.spot is None or one.waypoint is None:
        if one.nearest is None:
            return "no waypoint"
        return f"no waypoint; {one.nearest[1].name} is nearest, {one.nearest[0]:.2f} m away"
    if one.spot.metres is None:
        return f"{one.waypoint.name}, distance not known: taken as none"
    nearest = ", the nearest on the plan" if one.spot.is_nearest else ""
    return f"{one.waypoint.name}, {one.spot.metres:.2f} m away{nearest}"


def way_words(boat: Boat, one: WireFacts) -> str:
    """The way of a conductor, from waypoint to waypoint, or why it has none."""
    if one.route is None:
        return one.why_not
    names = {waypoint.id: waypoint.name for waypoint in boat.waypoints}
    way = " → ".join(names[name] for name in one.route.waypoints)
    return way if one.route.runs else f"both ends at {way}"


def heat_words(one: RunFacts) -> str:
    """The heat in a run, per metre."""
    if one.heat_w_per_m is None:
        return "heat not known without a mode"
    least = "at least " if one.unknown else ""
    return f"{least}{one.heat_w_per_m:.2g} W/m"


def fill_words(one: RunFacts) -> str:
    """How full a trunking is, as far as the outside of cables can be assumed."""
    if one.fill is None:
        return NONE
    fill = one.fill
    least = "at least " if one.unknown else ""
    told = f"{least}about {fill.value * 100:.0f} % full ({fill.low * 100:.0f} to {fill.high * 100:.0f} %)"
    return told if fill.grown == fill.value else f"{told}, {fill.grown * 100:.0f} % after growth"


def _run_name(one: RunFacts) -> str:
    ends = f"{one.start.name} – {one.end.name}"
    return ends if one.run.name == ends else f"{one.run.name} ({ends})"


def _run_cells(one: RunFacts) -> tuple[str, ...]:
    length = NONE if one.length_m is None else f"{one.length_m:.2f} m"
    drop = one.run.vertical_drop_m
    plan = ", from the plan" if one.run.length_m is None and one.length_m is not None else ""
    with_drop = f", {drop:g} m of it up and down" if drop else ""
    least = "at least " if one.unknown else ""
    return (
        f"{length}{with_drop}{plan}" if one.length_m is not None else "not known",
        str(len(one.wires)),
        f"{least}{one.area_mm2:.3g} mm²" if one.wires else NONE,
        heat_words(one) if one.wires else NONE,
        fill_words(one) if one.wires else NONE,
        _HOT[one.in_engine_space],
    )


def _number(one: WireFacts) -> str:
    number = one.row.number or "no number"
    return f"{number} {one.row.name}".strip()


def _wire_cells(boat: Boat, one: WireFacts) -> tuple[str, ...]:
    return one.row.tail, one.row.head, length_words(one.conductor), way_words(boat, one)


def deck_words(boat: Boat, deck: str) -> Iterator[str]:
    """What stands on a deck, counted."""
    for things, one, many in (
        (boat.parts, "part", "parts"),
        (boat.waypoints, "waypoint", "waypoints"),
    ):
        count = sum(deck_of(thing, boat.decks) == deck for thing in things)
        yield f"{count} {one if count == 1 else many} on it."


def floor_words(deck: Deck) -> str:
    """How high the floor of a deck lies."""
    side = "above" if deck.floor_m > 0 else "below"
    return f"{abs(deck.floor_m):g} m {side} the waterline" if deck.floor_m else "at the waterline"


def _drawn_words(zone: Zone) -> str:
    corners = len(zone.outline)
    if not corners:
        return "not drawn"
    return "drawn, four sides" if is_rectangle(zone.outline) else f"drawn, {corners} corners"


def _zones(boat: Boat) -> Iterator[tuple[Zone, tuple[str, ...]]]:
    for zone in boat.zones:
        kinds = [
            words
            for words, is_so in (
                ("engine space", zone.engine_space),
                ("battery space", zone.battery_space),
                ("vapour can gather", zone.vapour_risk),
                ("damp", zone.damp),
            )
            if is_so
        ]
        deck = next((f", on {one.name}" for one in boat.decks if one.id == zone.deck), "")
        drawn = _drawn_words(zone) + deck
        yield zone, (", ".join(kinds) or "accommodation and the like", drawn)
