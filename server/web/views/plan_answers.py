"""What was typed on the plan, as an edit, or what is wrong with it by field."""

from collections.abc import Mapping

from pydantic import ValidationError

from server.actions import plan_edits
from server.actions.plan_edits import RunTold
from server.boat.boat import Boat
from server.boat.decks import Deck
from server.boat.edits import AnyEdit, PlacePart, PutDeck, PutUnderlay, new_id
from server.boat.hull import Hull
from server.boat.laid import Laid
from server.boat.lengths import END_ALLOWANCE_KEY, REACH_KEY
from server.boat.runs import Margin, Waypoint
from server.boat.underlay import Fix, Underlay
from server.checks.runs import FILL_KEY, OVERALL_KEY
from server.web.views.plan_fields import kind_of, known
from server.web.views.plan_runs import run_list_edit
from server.web.views.plan_typed import LONGEST_M, Answers
from server.web.views.plan_zones import zone_edit

MOST_SPARE_WAYS = 50
LARGEST_TRUNKING_MM2 = 100_000.0
LOWEST_FLOOR_M, HIGHEST_FLOOR_M = -30.0, 100.0


def edit_of(boat: Boat, on: str, typed: Mapping[str, str]) -> tuple[AnyEdit | None, dict[str, str]]:
    """The edit that was asked for, or what is wrong by field; neither where nothing of this name is there."""
    told, kind = Answers(typed), kind_of(boat, on)
    made = _made(boat, on, kind, told) if kind else None
    return (None if told.errors else made), told.errors


def _made(  # noqa: PLR0911, PLR0912 - one a kind
    boat: Boat, on: str, kind: str, told: Answers
) -> AnyEdit | None:
    match kind:
        case "run":
            return _run(boat, on, told)
        case "run-list":
            return run_list_edit(boat, told)
        case "waypoint":
            return _waypoint(boat, on, told)
        case "part":
            waypoint, away = told.text("waypoint"), told.figure("away", "m", "0.6")
            place, deck = told.place(boat, known(boat, on)), told.deck(boat)
            zone = told.choice("zone", (known(boat, on)["zone"], "", *(one.id for one in boat.zones))) or None
            if away is not None and not waypoint:
                told.errors["waypoint"] = "Enter from where that distance is."
            if told.errors:
                return None
            put = PlacePart(part=on, place=place, from_waypoint_m=away, deck=deck)
            return plan_edits.part_edit(boat, put, waypoint, zone)
        case "zone":
            return zone_edit(boat, on, told)
        case "deck":
            return _deck(boat, on, told)
        case "wire":
            length = told.more_than_nothing("length", "m", "4.5")
            if length is None and on not in Laid.of(boat).ways:
                told.errors.setdefault("length", "Enter a length: no run tells one.")
            return plan_edits.length_edit(on, length)
        case "hull":
            return _hull(boat, told)
        case "drawing":
            return _drawing(boat, told)
        case _:
            return _margin(boat, told)


def _waypoint(boat: Boat, on: str, told: Answers) -> AnyEdit | None:
    name, deck = told.text("name", needed=True), told.deck(boat)
    place, parts = told.place(boat, known(boat, on)), _parts(boat, on, told)
    if told.errors:
        return None
    own = on if any(one.id == on for one in boat.waypoints) else new_id("waypoint")
    return plan_edits.waypoint_edit(boat, Waypoint(id=own, name=name, place=place, deck=deck), parts)


def _parts(boat: Boat, on: str, told: Answers) -> frozenset[str]:
    """The parts that were named, one a line; of one name those that are there first. Unasked, as it is."""
    if "here" not in told.typed:
        return frozenset(part.id for part in boat.parts if part.waypoint == on)
    named: dict[str, list[str]] = {}
    for part in sorted(boat.parts, key=lambda part: part.waypoint != on):
        named.setdefault(_plain(part.name), []).append(part.id)
    found = []
    for line in filter(None, map(str.strip, told.typed["here"].splitlines())):
        left = named.get(_plain(line))
        if not left:
            told.errors["here"] = f"There is no part “{line}”: enter names as they stand in the list below."
            break
        found.append(left.pop(0))
    return frozenset(found)


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def _run(boat: Boat, on: str, told: Answers) -> AnyEdit | None:
    run = RunTold(
        start=told.text("start", needed=True),
        end=told.text("end", needed=True),
        length_m=told.more_than_nothing("length", "m", "3.5"),
        drop_m=told.figure("drop", "m", "0.8"),
        name=told.text("name"),
        zone=told.choice("zone", ("", *(one.id for one in boat.zones))) or None,
        trunking_mm2=told.more_than_nothing("trunking", "mm²", "1500", LARGEST_TRUNKING_MM2),
    )
    if not told.errors and _plain(run.start) == _plain(run.end):
        told.errors["end"] = "A run joins two waypoints: enter another one."
    return None if told.errors else plan_edits.run_edit(boat, on, run)


def _deck(boat: Boat, on: str, told: Answers) -> AnyEdit | None:
    name = told.text("name", needed=True)
    floor_m = told.figure("floor", "m", "0.4", least=LOWEST_FLOOR_M, most=HIGHEST_FLOOR_M)
    if floor_m is None:
        told.errors.setdefault("floor", "Enter the height of its floor; below the waterline it is negative.")
    if told.errors or floor_m is None:
        return None
    own = on if any(one.id == on for one in boat.decks) else new_id("deck")
    return PutDeck(deck=Deck(id=own, name=name, floor_m=floor_m))


def _hull(boat: Boat, told: Answers) -> AnyEdit | None:
    length = told.more_than_nothing("length", "m", "10.5")
    beam = told.more_than_nothing("beam", "m", "3.2", most=60.0)
    bow = told.choice("bow", ("fine", "full", "square"))
    stern = told.choice("stern", ("broad", "narrow", "pointed"))
    if told.errors:
        return None
    shape = None if beam is None else Hull.model_validate({"beam_m": beam, "bow": bow, "stern": stern})
    return plan_edits.hull_edit(boat, length, shape)


def _drawing(boat: Boat, told: Answers) -> AnyEdit | None:
    photos = {one.id: one for one in boat.photos}
    chosen = told.choice("photo", ("", *photos))
    if told.errors or not chosen:
        return None if told.errors else PutUnderlay()
    pins = {str(pin.number): pin for pin in photos[chosen].pins}
    fixes = []
    for at in ("1", "2"):
        pin = pins.get(told.typed.get(f"pin{at}", "").strip())
        bow = told.figure(f"bow{at}", "m", "6.5")
        side = told.figure(f"side{at}", "m", "-0.8", least=-LONGEST_M)
        if pin is None:
            told.errors[f"pin{at}"] = "Enter the number of a pin of this photo; pins are put on its own page."
        if bow is None:
            told.errors.setdefault(f"bow{at}", "Enter how far the point is from the bow.")
        if pin is not None and bow is not None:
            fixes.append(Fix(x=pin.x, y=pin.y, from_bow_m=bow, from_centreline_m=side or 0.0))
    if told.errors:
        return None
    try:
        return PutUnderlay(underlay=Underlay(photo=chosen, first=fixes[0], second=fixes[1]))
    except ValidationError:
        told.errors["bow2"] = "The two points lie apart on the drawing and on the plan: enter another one."
        return None


def _margin(boat: Boat, told: Answers) -> AnyEdit | None:
    allowance = told.figure("allowance", "m", "0.2", most=5.0)
    growth = told.figure("growth", "%", "25", most=100.0)
    spare = told.figure("spare", "ways", "2", most=MOST_SPARE_WAYS)
    if spare is not None and spare != round(spare):
        told.errors["spare"] = "Enter a whole number."
    overall = told.more_than_nothing("overall", "times", "3.5", most=50.0)
    reach = told.figure("reach", "m", "2")
    fill = told.more_than_nothing("fill", "%", "40", most=100.0)
    if told.errors:
        return None
    margin = Margin(
        growth=None if growth is None else growth / 100,
        spare_ways=None if spare is None else round(spare),
    )
    assumed = {
        END_ALLOWANCE_KEY: allowance,
        OVERALL_KEY: overall,
        REACH_KEY: reach,
        FILL_KEY: None if fill is None else fill / 100,
    }
    return plan_edits.margin_edit(boat, None if margin == Margin() else margin, assumed)
