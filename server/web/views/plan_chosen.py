"""What is known of the thing that is chosen on the plan, in short lines."""

from server.actions.plan import PartFacts, PlanFacts, RunFacts, WireFacts
from server.boat.boat import Boat
from server.boat.decks import Standing, deck_of
from server.boat.parts import AnyPart
from server.boat.routes import Route
from server.boat.zones import lies_in
from server.drawing.plan import place_words
from server.web.views.plan_change import length_words, wire_name
from server.web.views.plan_fields import (
    DRAWING,
    HULL,
    MARGIN,
    NEW_DECK,
    NEW_RUN,
    NEW_WAYPOINT,
    NEW_ZONE,
    RUN_LIST,
)
from server.web.views.plan_tables import deck_words, fill_words, heat_words, spot_words, way_words

TITLES = {
    NEW_RUN: "New run",
    RUN_LIST: "Runs as a list",
    NEW_WAYPOINT: "New waypoint",
    NEW_ZONE: "New zone",
    NEW_DECK: "New deck",
    HULL: "Hull",
    DRAWING: "Drawing under the plan",
    MARGIN: "Margins",
}
_HELP = {
    NEW_RUN: (
        "Name the two places it joins; a waypoint that is not there yet is made.",
        "The name of a part means where that part is: it is then reached from there.",
        "Without a length it is as long as the straight line on the plan.",
    ),
    RUN_LIST: (
        "For example: Panel; Mast foot; 4.5; 0.6. Lines of a spreadsheet can be pasted.",
        "Waypoints that are not there yet are made; a run that joins the two already takes the figures.",
    ),
    NEW_WAYPOINT: (
        "A place where runs meet or parts are reached from. Its place on the plan may come later.",
    ),
    NEW_ZONE: (
        "Engine spaces take from what a conductor may carry.",
        "Its four sides or its corners say where it is; they may come later.",
    ),
    NEW_DECK: (
        "Parts and waypoints are on the deck of their height, or on the one that you choose for them.",
    ),
    HULL: ("An outline for orientation only: no figure follows from it.",),
    DRAWING: (
        "Put a photo of the drawing on the boat's photos, with a pin on each of two points.",
        "Say here where these two points lie; they give its scale, turn and place.",
    ),
    MARGIN: ("What is longer at each end than its way, and what is left for later.",),
}


def chosen_title(boat: Boat, on: str, kind: str) -> str:
    """What the chosen thing is called."""
    if on in TITLES:
        return TITLES[on]
    if kind == "wire":
        return next(wire_name(boat, one) for one in boat.conductors if one.id == on)
    items = (*boat.runs, *boat.waypoints, *boat.zones, *boat.decks, *boat.parts)
    return next(one.name for one in items if one.id == on)


def chosen_lines(  # noqa: PLR0911 - one a kind
    boat: Boat, facts: PlanFacts, on: str, kind: str
) -> tuple[str, ...]:
    """What is known of the chosen thing."""
    if on == NEW_DECK and not boat.decks:
        return (*_HELP[on], "A boat without decks is one floor: heights alone tell what is above what.")
    if on in _HELP:
        wants_beam = on == HULL and boat.hull is None
        return (*_HELP[on], *(("Give the beam, and it is drawn.",) if wants_beam else ()))
    match kind:
        case "run":
            return _run(boat, facts, next(one for one in facts.runs if one.run.id == on))
        case "part":
            return (
                *_part(next(one for one in facts.parts if one.part.id == on)),
                *_deck_line(boat, next(part for part in boat.parts if part.id == on)),
                *_zone_line(boat, next(part for part in boat.parts if part.id == on)),
            )
        case "wire":
            return _wire(boat, facts, next(one for one in facts.wires if one.conductor.id == on))
        case "waypoint":
            here = [one.run.name for one in facts.runs if on in {one.run.start, one.run.end}]
            own = next(one for one in boat.waypoints if one.id == on)
            told = (f"Runs: {', '.join(here) or 'none yet'}.", f"Place: {place_words(own.place)}.")
            return (*told, *_deck_line(boat, own))
        case "deck":
            return tuple(deck_words(boat, on))
        case _:
            return ()


def _deck_line(boat: Boat, thing: Standing) -> tuple[str, ...]:
    """The deck that something is on, and how it is known."""
    on = next((deck for deck in boat.decks if deck.id == deck_of(thing, boat.decks)), None)
    if on is None:
        return ("Deck: not known; give its height, or choose one.",) if boat.decks else ()
    return (f"Deck: {on.name}{'' if thing.deck else ', by its height'}.",)


def _zone_line(boat: Boat, part: AnyPart) -> tuple[str, ...]:
    """The zones that a part is counted to, and how that is known."""
    zones = [zone.name for zone in boat.zones if lies_in(part, zone, boat.decks)]
    return (f"Zone: {', '.join(zones)}{'' if part.zone else ', by the plan'}.",) if zones else ()


def _run(boat: Boat, facts: PlanFacts, one: RunFacts) -> tuple[str, ...]:
    count = len(one.wires)
    wires = "no conductors" if not count else "1 conductor" if count == 1 else f"{count} conductors"
    warm = f", with conductors at {one.temperature_c:g} °C as assumed" if one.heat_w_per_m else ""
    lines = [f"In it: {wires}, {one.area_mm2:.3g} mm² of copper; {heat_words(one)}{warm}."]
    if one.fill is not None:
        lines.append(
            f"Trunking: {fill_words(one)}; cables are taken as {facts.overall:g} times their copper."
        )
    lines += [f"{wire_name(boat, wire)}: {length_words(wire)}" for wire in one.wires[:_MOST_WIRES]]
    if count > _MOST_WIRES:
        lines.append(f"and {count - _MOST_WIRES} more")
    return tuple(lines)


_MOST_WIRES = 12


def _part(one: PartFacts) -> tuple[str, ...]:
    lines = (f"Reached from: {spot_words(one)}.", f"Place: {place_words(one.part.place)}.")
    waypoint, part = one.waypoint, one.part
    if waypoint is None or part.place is None or part.waypoint is None:
        return lines
    if part.from_waypoint_m is not None:
        told = f"The distance from {waypoint.name} is as entered: to move the part does not change it."
        return (*lines, told)
    if waypoint.place is None:
        told = f"{waypoint.name} has no place on the plan: to move the part changes no length until it has."
        return (*lines, told)
    return lines


def _wire(boat: Boat, facts: PlanFacts, one: WireFacts) -> tuple[str, ...]:
    lines = [f"Its way: {way_words(boat, one)}.", f"Length: {length_words(one.conductor)}."]
    if one.route is not None:
        lines.append(_sum(boat, facts, one, one.route))
    hot = {"yes": "in an engine space", "no": "outside engine spaces", None: "engine space not known"}
    by_way = " by its way" if one.conductor.exposure_basis is not None else ""
    lines.append(f"Heat: {hot[one.conductor.in_engine_space]}{by_way}.")
    if one.bundle.wires > 1:
        lines.append(f"Bundle: beside {one.bundle.wires - 1} others at most, over {one.bundle.metres:.1f} m.")
    return tuple(lines)


def _sum(boat: Boat, facts: PlanFacts, one: WireFacts, route: Route) -> str:
    """What the length of a way is made of, in its order."""
    names = {waypoint.id: waypoint.name for waypoint in boat.waypoints}
    spots = {part.part.id: part.spot for part in facts.parts}
    first, last = (
        None if end is None else spots[end.part] for end in (one.conductor.tail, one.conductor.head)
    )
    runs = {run.run.id: run for run in facts.runs}
    steps = [] if first is None or not first.metres else [f"{first.metres:.2f} m to {names[first.waypoint]}"]
    steps += [f"{runs[name].length_m or 0.0:.2f} m {runs[name].run.name}" for name in route.runs]
    if last is not None and last.metres:
        steps.append(f"{last.metres:.2f} m from {names[last.waypoint]}")
    ends = f"2 × {facts.end_allowance_m:g} m at the ends"
    return f"{' + '.join((*steps, ends))} = {route.length_m:.2f} m by its way."
