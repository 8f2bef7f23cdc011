"""Lengths that follow: after an edit, conductors are as long as the ways they now take.

Measured and fixed lengths stay. A way through the runs replaces an estimate; where it goes, the length is
estimated again or kept from before. An estimate that came from the straight line follows its parts.
"""

from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.lengths import estimated_length
from server.boat.routes import Route, Routes
from server.boat.value import Known, Place
from server.units import Metre


@dataclass(frozen=True, slots=True)
class _Laid:
    """How one boat lays a conductor: along its runs, or as the straight line tells."""

    route: Route | None
    line_m: Metre | None


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
        """Whether two boats lay every conductor alike."""
        return self.routes is other.routes

    def of(self, conductor: Conductor | None) -> _Laid:
        """How this boat lays a conductor; a loose one and a bolted joint not at all."""
        if conductor is None or conductor.kind == "link" or conductor.tail is None or conductor.head is None:
            return _Laid(None, None)
        one, other = conductor.tail.part, conductor.head.part
        here, there = self._places[one], self._places[other]
        line = None
        if here is not None and there is not None:
            line = estimated_length(here, there, self.routes.allowance)
        return _Laid(self.routes.between(one, other), line)


def _may_follow(before: Boat, after: Boat) -> bool:
    """Whether there are ways to follow: runs, or parts that have moved on the plan."""
    if before.runs or after.runs:
        return True
    if before.parts is after.parts and before.assumptions is after.assumptions:
        return False
    return any(part.place is not None for part in before.parts)


def _followed(one: Conductor, known: Conductor | None, old: _Laying, laid: _Laying) -> Conductor:
    was, now = old.of(known), laid.of(one)
    changes = _exposure_after(one, known, was, now) | _length_after(one, known, was, now)
    changes = {name: value for name, value in changes.items() if getattr(one, name) != value}
    return one.model_copy(update=changes) if changes else one


def _length_after(one: Conductor, known: Conductor | None, was: _Laid, now: _Laid) -> dict[str, object]:
    if is_kept(one):
        return {}
    was_routed = one.length_basis == "routed"
    if now.route is not None:
        is_new = known is None and one.length_m is not None and not was_routed
        changed = now.route != was.route and not is_new
        return routed(now.route, one) if was_routed or changed or one.length_m is None else {}
    by_line = one.length_basis == "estimated" and one.length_m == was.line_m is not None
    if now.line_m is not None and (was_routed or by_line):
        stale = without_stale_resistance(one, now.line_m)
        return {"length_m": now.line_m, "length_basis": "estimated", **stale}
    return {"length_basis": "carried-over"} if was_routed else {}


def _exposure_after(one: Conductor, known: Conductor | None, was: _Laid, now: _Laid) -> dict[str, object]:
    is_said = known is not None and one.in_engine_space not in {None, known.in_engine_space}
    if is_said and one.exposure_basis is not None:
        return {"exposure_basis": None}
    if now.route is None or now.route.in_engine_space is None:
        gone = one.exposure_basis is not None
        return {"in_engine_space": None, "exposure_basis": None} if gone else {}
    if one.exposure_basis is None and one.in_engine_space is not None and now.route == was.route:
        return {}
    return _exposed(now.route, one)


def _exposed(route: Route, conductor: Conductor) -> dict[str, object]:
    """The changes that put a conductor into the engine space or out of it; none where the way does not tell.

    What was found on board beside a measured length stands.
    """
    told = conductor.in_engine_space is not None and conductor.exposure_basis is None
    if route.in_engine_space is None or (told and is_kept(conductor)):
        return {}
    return {"in_engine_space": route.in_engine_space, "exposure_basis": "routed"}
