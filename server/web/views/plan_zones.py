"""Zones on the page of the plan: four sides or a list of corners, as text and as an outline."""

import re
from collections.abc import Sequence

from server.actions import plan_edits
from server.boat.boat import Boat, Zone
from server.boat.edits import AnyEdit
from server.boat.hull import (
    FEWEST_CORNERS,
    MOST_CORNERS,
    Corner,
    Outline,
    crosses_itself,
    is_rectangle,
    rectangle,
)
from server.web.forms import Wrong, number
from server.web.views.figures import plain_number
from server.web.views.plan_typed import LONGEST_M, Answers

SPACES = (
    ("engine_space", "Engine space"),
    ("battery_space", "Battery space"),
    ("vapour_risk", "Vapour can gather"),
    ("damp", "Damp"),
)
SIDES = (
    ("x", "From the bow, begins"),
    ("x2", "From the bow, ends"),
    ("port", "To port"),
    ("starboard", "To starboard"),
)
CORNERS_ASKED = "Or its corners, one a line in order round it: from the bow; to starboard, − to port"
_APART = re.compile(r"[;\t]|,\s|\s+(?=[-−+\d])")
"""What stands between the two figures of a corner; a comma in a figure has no space behind it."""
_DIGITS = 3


def zone_known(zone: Zone | None) -> dict[str, str]:
    """A zone as it would be typed: corners always, the four sides where they are one rectangle."""
    if zone is None:
        return {}
    spaces = {name: "yes" if getattr(zone, name) else "no" for name, _ in SPACES}
    told = {"name": zone.name, **spaces, "deck": zone.deck or "", "corners": corners_text(zone.outline)}
    return {**told, **_sides(zone.outline)}


def corners_text(outline: Outline) -> str:
    """One corner a line, as they are typed."""
    return "\n".join(f"{_figure(one.from_bow_m)}; {_figure(one.from_centreline_m)}" for one in outline)


def zone_edit(boat: Boat, on: str, told: Answers) -> AnyEdit | None:
    """The zone that was asked for; of sides and corners those count that were changed."""
    zone = next((one for one in boat.zones if one.id == on), None)
    known = zone_known(zone)
    name = told.text("name", needed=True)
    spaces: dict[str, object] = {key: told.choice(key, ("no", "yes")) == "yes" for key, _ in SPACES}
    deck = told.deck(boat)
    old: Outline = () if zone is None else zone.outline
    sides = {side: known.get(side, "") for side, _ in SIDES}
    by_sides = any(told.typed.get(side, text).strip() != text for side, text in sides.items())
    by_corners = _corners_changed(told, old)
    if by_sides and by_corners:
        told.errors["corners"] = "Change the four sides or the corners, not both at once."
        return None
    outline = _typed_corners(told) if by_corners else _typed_sides(told) if by_sides else old
    if told.errors:
        return None
    return plan_edits.zone_edit(boat, on, {"name": name, **spaces, "deck": deck, "outline": outline})


def _corners_changed(told: Answers, old: Outline) -> bool:
    """Whether other corners were typed; a form without that field changes none."""
    text = told.typed.get("corners")
    return text is not None and _lines(text) != _lines(corners_text(old))


def _lines(text: str) -> list[str]:
    return [line for line in map(str.strip, text.splitlines()) if line]


def _typed_sides(told: Answers) -> Outline:
    x, x2, port, starboard = (
        told.figure("x", "m", "6.5"),
        told.figure("x2", "m", "9"),
        told.figure("port", "m", "1.2", least=-LONGEST_M),
        told.figure("starboard", "m", "1.2", least=-LONGEST_M),
    )
    if x is not None and x2 is not None and port is not None and starboard is not None:
        if x2 <= x or starboard <= -port:
            told.errors["x2"] = "A zone ends farther aft than it begins, and has some breadth."
        return rectangle(x, x2, -port, starboard)
    if any(told.typed.get(name, "").strip() for name, _ in SIDES) and not told.errors:
        told.errors["x2"] = "Enter all four sides, or none."
    return ()


def _typed_corners(told: Answers) -> Outline:
    """The corners as typed, one a line; what is wrong is told with the number of its line."""
    found: list[Corner] = []
    for line_number, line in enumerate(_lines(told.typed["corners"]), start=1):
        corner = _corner(line)
        if isinstance(corner, Wrong):
            told.errors["corners"] = f"Line {line_number}: {corner.message}"
            return ()
        found.append(corner)
    if found and (wrong := _wrong_shape(found)):
        told.errors["corners"] = wrong
    return tuple(found)


def _wrong_shape(corners: Sequence[Corner]) -> str:
    if len(corners) < FEWEST_CORNERS:
        return f"A zone has {FEWEST_CORNERS} corners at least."
    if len(corners) > MOST_CORNERS:
        return f"A zone has {MOST_CORNERS} corners at most."
    if crosses_itself(tuple(corners)):
        return "The outline crosses or touches itself: give the corners in order round the zone."
    return ""


def _corner(line: str) -> Corner | Wrong:
    texts = [one for one in _APART.split(line) if one.strip()]
    figures = [number(one, "m", "6.5; -0.8", at_most=LONGEST_M, above=-LONGEST_M) for one in texts]
    match figures:
        case [float() as x, float() as y] if x >= 0:
            return Corner(from_bow_m=x, from_centreline_m=y)
        case [float(), float()]:
            return Wrong("Enter 0 m or more from the bow.")
        case [*_, Wrong() as wrong] | [Wrong() as wrong, *_]:
            return wrong
        case _:
            return Wrong("Enter two figures, for example 6.5; -0.8.")


def _sides(outline: Outline) -> dict[str, str]:
    if not is_rectangle(outline):
        return {}
    xs = [corner.from_bow_m for corner in outline]
    ys = [corner.from_centreline_m for corner in outline]
    bounds = (min(xs), max(xs), -min(ys), max(ys))
    return {name: _figure(metres) for (name, _), metres in zip(SIDES, bounds, strict=True)}


def _figure(metres: float) -> str:
    return plain_number(round(metres, _DIGITS) + 0.0)
