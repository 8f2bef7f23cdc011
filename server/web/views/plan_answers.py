"""What was typed on the plan, as an edit, or what is wrong with it by field."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from pydantic import ValidationError

from server.actions import plan_edits
from server.boat.boat import Boat
from server.boat.edits import AnyEdit, PutUnderlay
from server.boat.hull import Hull, Outline, rectangle
from server.boat.laid import Laid
from server.boat.lengths import END_ALLOWANCE_KEY
from server.boat.runs import Margin
from server.boat.underlay import Fix, Underlay
from server.boat.value import Place
from server.checks.runs import OVERALL_KEY
from server.web.forms import Wrong, number
from server.web.views.plan_fields import SPACES, kind_of

LONGEST_M = 200.0
LARGEST_TRUNKING_MM2 = 100_000.0
MOST_SPARE_WAYS = 50
LONGEST_NAME = 120
_BELOW_ALL = -1e9


@dataclass
class Answers:
    """The fields as typed, and what was found wrong while they were read."""

    typed: Mapping[str, str]
    errors: dict[str, str] = field(default_factory=dict)

    def text(self, name: str, *, needed: bool = False) -> str:
        """A name, without the spaces around it."""
        text = self.typed.get(name, "").strip()
        if len(text) > LONGEST_NAME or not text.isprintable() or (needed and not text):
            self.errors[name] = f"Enter a name of 1 to {LONGEST_NAME} characters."
        return text

    def figure(
        self, name: str, unit: str, example: str, *, least: float = 0.0, most: float = LONGEST_M
    ) -> float | None:
        """A figure within bounds; None where nothing was typed or it is wrong."""
        text = self.typed.get(name, "")
        if not text.strip():
            return None
        found = number(text, unit, example, at_most=most, above=_BELOW_ALL)
        if isinstance(found, float) and found < least:
            found = Wrong(f"Enter {least:g} {unit} or more.")
        if isinstance(found, Wrong):
            self.errors[name] = found.message
            return None
        return found

    def more_than_nothing(self, name: str, unit: str, example: str, most: float = LONGEST_M) -> float | None:
        """A figure above zero."""
        found = self.figure(name, unit, example, most=most)
        if found == 0:
            self.errors[name] = f"Enter more than 0 {unit}, for example {example}."
        return found

    def choice(self, name: str, offered: tuple[str, ...]) -> str:
        """One of what is offered."""
        chosen = self.typed.get(name, offered[0])
        if chosen not in offered:
            self.errors[name] = "Choose one of the list."
        return chosen

    def place(self) -> Place | None:
        """A place on the plan; None where neither distance was typed."""
        x = self.figure("x", "m", "6.5")
        y = self.figure("y", "m", "-0.8", least=-LONGEST_M)
        height = self.figure("height", "m", "0.5", least=-LONGEST_M)
        if x is None:
            if not self.errors and (y is not None or height):
                self.errors["x"] = "Enter how far it is from the bow too."
            return None
        return Place(from_bow_m=x, from_centreline_m=y or 0.0, height_m=height or 0.0)


def edit_of(boat: Boat, on: str, typed: Mapping[str, str]) -> tuple[AnyEdit | None, dict[str, str]]:
    """The edit that was asked for, or what is wrong by field; neither where nothing of this name is there."""
    told, kind = Answers(typed), kind_of(boat, on)
    made = _made(boat, on, kind, told) if kind else None
    return (None if told.errors else made), told.errors


def _made(  # noqa: PLR0911 - one a kind
    boat: Boat, on: str, kind: str, told: Answers
) -> AnyEdit | None:
    match kind:
        case "run":
            return _run(boat, on, told)
        case "waypoint":
            name, place = told.text("name", needed=True), told.place()
            own = on if any(one.id == on for one in boat.waypoints) else None
            parts = _parts(boat, on, told)
            return None if told.errors else plan_edits.waypoint_edit(boat, own, name, place, parts)
        case "part":
            waypoint, away = told.text("waypoint"), told.figure("away", "m", "0.6")
            place = told.place()
            if away is not None and not waypoint:
                told.errors["waypoint"] = "Enter from where that distance is."
            return None if told.errors else plan_edits.part_edit(boat, on, waypoint, away, place)
        case "zone":
            return _zone(boat, on, told)
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
    start, end = told.text("start", needed=True), told.text("end", needed=True)
    figures = {
        "name": told.text("name"),
        "length_m": told.more_than_nothing("length", "m", "3.5"),
        "drop_m": told.figure("drop", "m", "0.8"),
        "zone": told.choice("zone", ("", *(one.id for one in boat.zones))) or None,
        "trunking_mm2": told.more_than_nothing("trunking", "mm²", "1500", LARGEST_TRUNKING_MM2),
    }
    if not told.errors and _plain(start) == _plain(end):
        told.errors["end"] = "A run joins two waypoints: enter another one."
    if told.errors:
        return None
    return plan_edits.run_edit(boat, on, start=start, end=end, **figures)  # type: ignore[arg-type]


def _zone(boat: Boat, on: str, told: Answers) -> AnyEdit | None:
    name = told.text("name", needed=True)
    spaces: dict[str, object] = {key: told.choice(key, ("no", "yes")) == "yes" for key, _ in SPACES}
    sides = [
        told.figure("x", "m", "6.5"),
        told.figure("x2", "m", "9"),
        told.figure("port", "m", "1.2", least=-LONGEST_M),
        told.figure("starboard", "m", "1.2", least=-LONGEST_M),
    ]
    x, x2, port, starboard = sides
    outline: Outline = ()
    if x is not None and x2 is not None and port is not None and starboard is not None:
        if x2 <= x or starboard <= -port:
            told.errors["x2"] = "A zone ends farther aft than it begins, and has some breadth."
        outline = rectangle(x, x2, -port, starboard)
    elif any(side is not None for side in sides) and not told.errors:
        told.errors["x2"] = "Enter all four sides, or none."
    if told.errors:
        return None
    drawn = next((one.outline for one in boat.zones if one.id == on), ())
    if drawn and outline and _bounds(drawn) == _bounds(outline):
        outline = drawn
    return plan_edits.zone_edit(boat, on, {"name": name, **spaces, "outline": outline})


def _bounds(outline: Outline) -> tuple[float, ...]:
    """The rectangle around an outline: one that was typed as it stood leaves a drawn shape alone."""
    xs = [corner.from_bow_m for corner in outline]
    ys = [corner.from_centreline_m for corner in outline]
    return tuple(round(side, 4) for side in (min(xs), max(xs), min(ys), max(ys)))


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
    if told.errors:
        return None
    margin = Margin(
        growth=None if growth is None else growth / 100,
        spare_ways=None if spare is None else round(spare),
    )
    assumed = {END_ALLOWANCE_KEY: allowance, OVERALL_KEY: overall}
    return plan_edits.margin_edit(boat, None if margin == Margin() else margin, assumed)
