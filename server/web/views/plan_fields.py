"""The fields of the page of the plan: what is asked of a run, a waypoint, a part, a zone, the hull."""

from collections.abc import Mapping

from server.boat.assumed import assumed
from server.boat.boat import Boat, Zone
from server.boat.conductors import Conductor
from server.boat.decks import Deck, upwards
from server.boat.lengths import END_ALLOWANCE_KEY, REACH_KEY
from server.boat.parts import AnyPart, Part
from server.boat.photos import Photo
from server.boat.runs import Run, Waypoint
from server.boat.value import Place, Span, nominal
from server.checks.runs import FILL_KEY, OVERALL_KEY
from server.web.views.figures import plain_number
from server.web.views.fitting_fields import AskedView, Errors, choices
from server.web.views.plan_runs import RUNS_ASKED
from server.web.views.plan_zones import CORNERS_ASKED, SIDES, SPACES, zone_known

NEW_RUN, NEW_WAYPOINT, NEW_ZONE, NEW_DECK = "new-run", "new-waypoint", "new-zone", "new-deck"
RUN_LIST = "run-list"
HULL, DRAWING, MARGIN = "hull-shape", "drawing", "margins"
WAYPOINTS = "plan-waypoints"
"""The list of waypoints that fields offer."""
BOWS = (("fine", "fine"), ("full", "full"), ("square", "square"))
STERNS = (("broad", "broad"), ("narrow", "narrow"), ("pointed", "pointed"))
YES_NO = (("no", "no"), ("yes", "yes"))

Typed = Mapping[str, str]


def fields_of(  # noqa: PLR0911 - one list a kind
    boat: Boat, on: str, typed: Typed | None, errors: Errors, shown: str = ""
) -> tuple[AskedView, ...]:
    """The fields of what is chosen, filled with what is known of it or with what was typed.

    What is new is put on the deck that is shown.
    """
    told = {"deck": shown, **known(boat, on)} if typed is None else typed
    match kind_of(boat, on):
        case "run":
            return (
                _line("start", "From", told, errors, offers=WAYPOINTS, needed=True),
                _line("end", "To", told, errors, offers=WAYPOINTS, needed=True),
                _line("length", "Length along it", told, errors, unit="m"),
                _line("drop", "Plus up and down", told, errors, unit="m"),
                *_zone_choice(boat, told, errors, "not stated"),
                _line("trunking", "Inside of its trunking", told, errors, unit="mm²"),
                _line("name", "Name", told, errors),
            )
        case "run-list":
            return (_line("lines", RUNS_ASKED, told, errors, kind="lines"),)
        case "waypoint":
            return (
                _line("name", "Name", told, errors, needed=True),
                _line("here", "Parts reached from here, one a line", told, errors, kind="lines"),
                *_place_fields(boat, told, errors),
            )
        case "part":
            return (
                _line("waypoint", "Reached from", told, errors, offers=WAYPOINTS),
                _line("away", "Distance from there", told, errors, unit="m"),
                *_place_fields(boat, told, errors),
                *_zone_choice(boat, told, errors),
            )
        case "zone":
            return (
                _line("name", "Name", told, errors, needed=True),
                *(_choice(name, title, YES_NO, told, errors) for name, title in SPACES),
                *_deck_choice(boat, "all decks", told, errors),
                *(_line(name, title, told, errors, unit="m") for name, title in SIDES),
                _line("corners", CORNERS_ASKED, told, errors, kind="lines"),
            )
        case "deck":
            return (
                _line("name", "Name", told, errors, needed=True),
                _line("floor", "Its floor above the waterline, − below", told, errors, unit="m", needed=True),
            )
        case "wire":
            return (_line("length", "Measured length", told, errors, unit="m"),)
        case "hull":
            return (
                _line("length", "Length", told, errors, unit="m"),
                _line("beam", "Beam", told, errors, unit="m"),
                _choice("bow", "Bow", BOWS, told, errors),
                _choice("stern", "Stern", STERNS, told, errors),
            )
        case "drawing":
            return _drawing_fields(boat, told, errors)
        case "margin":
            return (
                _line("allowance", "Extra at each end", told, errors, unit="m"),
                _line("reach", "Reach of a waypoint, where none is named", told, errors, unit="m"),
                _line("overall", "Cable's outside over its copper", told, errors, unit="times"),
                _line("fill", "A trunking may be full to", told, errors, unit="%"),
                _line("growth", "Room for growth of a run", told, errors, unit="%"),
                _line("spare", "Spare ways in a panel", told, errors, kind="count"),
            )
        case _:
            return ()


def kind_of(boat: Boat, on: str) -> str:
    """What the chosen thing is; empty where it is nothing that is there."""
    fixed = {
        NEW_RUN: "run",
        RUN_LIST: "run-list",
        NEW_WAYPOINT: "waypoint",
        NEW_ZONE: "zone",
        NEW_DECK: "deck",
        HULL: "hull",
        DRAWING: "drawing",
        MARGIN: "margin",
    }
    if on in fixed:
        return fixed[on]
    groups: dict[str, tuple[Run | Waypoint | Zone | Deck | AnyPart | Conductor, ...]] = {
        "run": boat.runs,
        "waypoint": boat.waypoints,
        "zone": boat.zones,
        "deck": boat.decks,
        "part": boat.parts,
        "wire": tuple(one for one in boat.conductors if one.kind == "wire"),
    }
    return next((kind for kind, items in groups.items() if any(one.id == on for one in items)), "")


def known(boat: Boat, on: str) -> Typed:  # noqa: PLR0911 - one a kind
    """What is known of the chosen thing, as it would be typed."""
    if on == HULL:
        hull = boat.hull
        shape = {} if hull is None else {"beam": _figure(hull.beam_m), "bow": hull.bow, "stern": hull.stern}
        return {"length": _figure(boat.length_m), "bow": "fine", "stern": "broad", **shape}
    if on == DRAWING:
        return _drawing(boat)
    if on == MARGIN:
        margin = boat.margin
        told = {
            "allowance": _figure(assumed(boat.assumptions, END_ALLOWANCE_KEY)[1]),
            "overall": _figure(assumed(boat.assumptions, OVERALL_KEY)[1]),
            "reach": _figure(assumed(boat.assumptions, REACH_KEY)[1]),
            "fill": _figure(100 * assumed(boat.assumptions, FILL_KEY)[1]),
        }
        if margin is None:
            return told
        growth = None if margin.growth is None else margin.growth * 100
        spare = "" if margin.spare_ways is None else str(margin.spare_ways)
        return {**told, "growth": _figure(growth), "spare": spare}
    items = (*boat.runs, *boat.waypoints, *boat.zones, *boat.decks, *boat.parts, *boat.conductors)
    names = {one.id: one.name for one in boat.waypoints}
    match next((one for one in items if one.id == on), None):
        case Run() as run:
            return _run(run, names)
        case Waypoint() as waypoint:
            parts = "\n".join(part.name for part in boat.parts if part.waypoint == on)
            return {
                "name": waypoint.name,
                "here": parts,
                "deck": waypoint.deck or "",
                **_place(waypoint.place),
            }
        case Zone() as zone:
            return zone_known(zone)
        case Deck() as deck:
            return {"name": deck.name, "floor": _figure(deck.floor_m)}
        case Part() as part:
            return _part(part, names)
        case Conductor(length_basis="measured", length_m=float() | Span() as length):
            return {"length": _figure(nominal(length))}
        case _:
            return {}


def photo_name(photo: Photo, number: int) -> str:
    """A photo as it is called in a list."""
    return photo.caption or f"photo {number}"


def _drawing_fields(boat: Boat, told: Typed, errors: Errors) -> tuple[AskedView, ...]:
    if not boat.photos:
        return ()
    photos = ((one.id, photo_name(one, number)) for number, one in enumerate(boat.photos, start=1))
    return (
        _choice("photo", "Drawing", (("", "none"), *photos), told, errors),
        *(
            _line(f"{name}{at}", f"Point {at}: {words}", told, errors, unit=unit, kind=kind)
            for at in (1, 2)
            for name, words, unit, kind in (
                ("pin", "its pin", "", "count"),
                ("bow", "from the bow", "m", "text"),
                ("side", "to starboard, − to port", "m", "text"),
            )
        ),
    )


def _drawing(boat: Boat) -> Typed:
    """The drawing as it lies; a pin that has moved since is left open."""
    if boat.underlay is None:
        return {"pin1": "1", "pin2": "2"}
    told = {"photo": boat.underlay.photo}
    pins = next((one.pins for one in boat.photos if one.id == boat.underlay.photo), ())
    for at, fix in ((1, boat.underlay.first), (2, boat.underlay.second)):
        pin = next((str(one.number) for one in pins if (one.x, one.y) == (fix.x, fix.y)), "")
        told |= {
            f"pin{at}": pin,
            f"bow{at}": _figure(fix.from_bow_m),
            f"side{at}": _figure(fix.from_centreline_m),
        }
    return told


def _run(run: Run, names: Mapping[str, str]) -> Typed:
    return {
        "name": run.name,
        "start": names[run.start],
        "end": names[run.end],
        "length": _figure(run.length_m),
        "drop": _figure(run.vertical_drop_m),
        "zone": run.zone or "",
        "trunking": _figure(run.trunking_mm2),
    }


def _part(part: Part, names: Mapping[str, str]) -> Typed:
    return {
        "waypoint": "" if part.waypoint is None else names[part.waypoint],
        "away": _figure(part.from_waypoint_m),
        "deck": part.deck or "",
        "zone": part.zone or "",
        **_place(part.place),
    }


def _place(place: Place | None) -> Typed:
    if place is None:
        return {}
    return {
        "x": _figure(place.from_bow_m),
        "y": _figure(place.from_centreline_m),
        "height": _figure(place.height_m),
    }


def _place_fields(boat: Boat, told: Typed, errors: Errors) -> tuple[AskedView, ...]:
    return (
        *_deck_choice(boat, "by its height", told, errors),
        _line("x", "From the bow", told, errors, unit="m"),
        _line("y", "To starboard, − to port", told, errors, unit="m"),
        _line("height", "Above the waterline", told, errors, unit="m"),
    )


def _zone_choice(
    boat: Boat, told: Typed, errors: Errors, otherwise: str = "by the plan"
) -> tuple[AskedView, ...]:
    zones = (("", otherwise), *((zone.id, zone.name) for zone in boat.zones))
    return (_choice("zone", "Zone", zones, told, errors),)


def _deck_choice(boat: Boat, otherwise: str, told: Typed, errors: Errors) -> tuple[AskedView, ...]:
    """Which deck something is on, lowest first; not asked where there are none."""
    if not boat.decks:
        return ()
    decks = (("", otherwise), *((deck.id, deck.name) for deck in upwards(boat.decks)))
    return (_choice("deck", "Deck", decks, told, errors),)


def _line(  # noqa: PLR0913 - what a field is made of
    name: str,
    label: str,
    told: Typed,
    errors: Errors,
    *,
    unit: str = "",
    offers: str = "",
    needed: bool = False,
    kind: str = "text",
) -> AskedView:
    error = errors.get(name, "")
    identity, value = f"plan-{name}", told.get(name, "")
    return AskedView(identity, name, label, kind, value, unit, error, offers=offers, needed=needed)


def _choice(
    name: str, label: str, offered: tuple[tuple[str, str], ...], told: Typed, errors: Errors
) -> AskedView:
    value = told.get(name, offered[0][0])
    error = errors.get(name, "")
    return AskedView(f"plan-{name}", name, label, "choice", value, "", error, choices(offered, value))


def _figure(value: float | None) -> str:
    return "" if value is None else plain_number(round(value, 4))
