"""Lengths that follow: after an edit, conductors are as long as the ways they now take.

Measured and fixed lengths stay. A way through the runs replaces an estimate; where it goes, the length is
estimated again or kept from before. An estimate that came from the straight line follows its parts.
"""

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.lengths import estimated_length
from server.boat.parts import AnyPart
from server.boat.routes import Route, Routes
from server.boat.value import Known, Place
from server.units import Metre


def followed(before: Boat, after: Boat, given: frozenset[str] = frozenset()) -> Boat:
    """The boat after an edit with every conductor as long as its way, but for those ``given`` by it."""
    if not _may_follow(before, after):
        return after
    laid, old = _Laying(after), _Laying(before)
    known = {conductor.id: conductor for conductor in before.conductors}
    same_ways = laid.is_as(old)
    conductors = tuple(
        one
        if one.id in given or (same_ways and known.get(one.id) is one)
        else _followed(one, known.get(one.id), old, laid)
        for one in after.conductors
    )
    if all(new is one for new, one in zip(conductors, after.conductors, strict=True)):
        return after
    return after.model_copy(update={"conductors": conductors})


def routed(route: Route, conductor: Conductor) -> dict[str, object]:
    """The changes that lay a conductor along a route; a resistance stated for another length goes."""
    changes: dict[str, object] = {"length_m": route.length_m, "length_basis": "routed"}
    return changes | without_stale_resistance(conductor, route.length_m)


def without_stale_resistance(conductor: Conductor, length_m: Known) -> dict[str, object]:
    """A stated resistance belongs to its length; it goes where size and length tell a new one."""
    return {} if conductor.size is None or conductor.length_m == length_m else {"resistance_ohm": None}


def is_kept(conductor: Conductor) -> bool:
    """Whether a length stays whatever way the conductor takes."""
    return conductor.kind == "link" or conductor.length_fixed or conductor.length_basis == "measured"


class _Laying:
    """How one boat lays its conductors."""

    def __init__(self, boat: Boat) -> None:
        self.routes = Routes.of(boat)
        self.boat = boat
        self._places: dict[str, Place | None] = {part.id: part.place for part in boat.parts}

    def is_as(self, other: "_Laying") -> bool:
        """Whether two boats lay every conductor alike that both of them have."""
        if self.routes is other.routes:
            return True
        if any(getattr(self.boat, name) is not getattr(other.boat, name) for name in _DECIDING):
            return False
        old = {part.id: part for part in other.boat.parts}
        both = ((part, old[part.id]) for part in self.boat.parts if part.id in old)
        return all(one is two or _stand(one) == _stand(two) for one, two in both)

    def route(self, conductor: Conductor | None) -> Route | None:
        """The way of a conductor through the runs; a loose one and a bolted joint have none."""
        ends = _ends(conductor)
        return None if ends is None else self.routes.between(*ends)

    def line_m(self, conductor: Conductor | None) -> Metre | None:
        """What the straight line between its parts tells of a conductor's length."""
        ends = _ends(conductor)
        here, there = (None, None) if ends is None else map(self._places.get, ends)
        if here is None or there is None:
            return None
        return estimated_length(here, there, self.routes.allowance)


_DECIDING = ("waypoints", "runs", "zones", "decks", "assumptions")


def _stand(part: AnyPart) -> tuple[object, ...]:
    """What decides about the ways that lead to a part."""
    return part.place, part.waypoint, part.from_waypoint_m, part.deck, part.zone


def _ends(conductor: Conductor | None) -> tuple[str, str] | None:
    if conductor is None or conductor.kind == "link" or conductor.tail is None or conductor.head is None:
        return None
    return conductor.tail.part, conductor.head.part


def _may_follow(before: Boat, after: Boat) -> bool:
    """Whether there are ways to follow: runs, or parts that have moved on the plan."""
    if before.runs or after.runs:
        return True
    if before.parts is after.parts and before.assumptions is after.assumptions:
        return False
    return any(part.place is not None for part in before.parts)


def _followed(one: Conductor, known: Conductor | None, old: _Laying, laid: _Laying) -> Conductor:
    was, now = old.route(known), laid.route(one)
    changes = _exposure_after(one, known, was, now)
    if not is_kept(one):
        changes |= _length_by_route(one, known, was, now) if now else _length_by_line(one, known, old, laid)
    changes = {name: value for name, value in changes.items() if getattr(one, name) != value}
    return one.model_copy(update=changes) if changes else one


def _length_by_route(
    one: Conductor, known: Conductor | None, was: Route | None, now: Route
) -> dict[str, object]:
    """The length of a way replaces what was estimated, but not what is said of a new conductor."""
    is_said = known is None and one.length_m is not None
    follows = one.length_basis == "routed" or one.length_m is None or (now != was and not is_said)
    return routed(now, one) if follows else {}


def _length_by_line(
    one: Conductor, known: Conductor | None, old: _Laying, laid: _Laying
) -> dict[str, object]:
    """Where the way is gone, or was no more than the straight line, that is taken again; else what was."""
    lost = one.length_basis == "routed" and (
        old.route(known) is not None or (known is None and bool(laid.routes.runs))
    )
    if not lost and one.length_basis != "estimated":
        return {}
    line_m = laid.line_m(one)
    if line_m is not None and (lost or one.length_m == old.line_m(known)):
        stale = without_stale_resistance(one, line_m)
        return {"length_m": line_m, "length_basis": "estimated", **stale}
    return {"length_basis": "carried-over"} if lost else {}


def _exposure_after(
    one: Conductor, known: Conductor | None, was: Route | None, now: Route | None
) -> dict[str, object]:
    is_said = known is not None and one.in_engine_space not in {None, known.in_engine_space}
    if is_said and one.exposure_basis is not None:
        return {"exposure_basis": None}
    if now is None or now.in_engine_space is None:
        gone = one.exposure_basis is not None
        return {"in_engine_space": None, "exposure_basis": None} if gone else {}
    if one.exposure_basis is None and one.in_engine_space is not None and now == was:
        return {}
    return _exposed(now, one)


def _exposed(route: Route, conductor: Conductor) -> dict[str, object]:
    """The changes that put a conductor into the engine space or out of it; none where the way does not tell.

    What was found on board beside a measured length stands.
    """
    told = conductor.in_engine_space is not None and conductor.exposure_basis is None
    if route.in_engine_space is None or (told and is_kept(conductor)):
        return {}
    return {"in_engine_space": route.in_engine_space, "exposure_basis": "routed"}
