"""Changes of the plan as edits: runs between waypoints called by their names, new ones made on the way.

A waypoint that is called as just one part is, means where that part is: a new one takes the part's place, and
the part is reached from it unless it is reached from elsewhere already.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from server.boat.boat import Boat, Zone
from server.boat.edits import (
    AnyEdit,
    ChangeValue,
    ClearAssumption,
    PlacePart,
    PutRun,
    PutWaypoint,
    PutZone,
    SetAssumption,
    SetLength,
    Several,
    SingleEdit,
    new_id,
)
from server.boat.hull import Hull
from server.boat.parts import AnyPart
from server.boat.runs import Margin, Run, Waypoint
from server.boat.value import Place
from server.practice.assumptions import default
from server.units import Metre

OWN_FIGURE = "entered on the plan"
NUDGE_M: Metre = 0.1
"""How far one step of the arrow keys and buttons moves a thing on the plan."""


@dataclass
class _Named:
    """Waypoints by name, with the edits that make those which are not there yet and put their parts there."""

    boat: Boat
    made: list[SingleEdit] = field(default_factory=list)
    new: list[Waypoint] = field(default_factory=list)
    moved: set[str] = field(default_factory=set)

    def called(self, name: str, but: str = "") -> Waypoint:
        """The waypoint of this name, made where there is none; ``but`` is a part that is put by itself."""
        part = _part_called(self.boat, name)
        there = (*self.boat.waypoints, *self.new)
        found = next((one for one in there if _plain(one.name) == _plain(name)), None)
        if found is None:
            new = new_id("waypoint")
            by_part = (
                None if part is None else Waypoint(id=new, name=part.name, place=part.place, deck=part.deck)
            )
            found = by_part or Waypoint(id=new, name=name)
            self.made.append(PutWaypoint(waypoint=found))
            self.new.append(found)
        if part is not None and part.waypoint is None and part.id not in {but, *self.moved}:
            self.moved.add(part.id)
            self.made.append(PlacePart(part=part.id, place=part.place, waypoint=found.id, deck=part.deck))
        return found


def _part_called(boat: Boat, name: str) -> AnyPart | None:
    """The one part of a name; None where there is none or several."""
    found = [part for part in boat.parts if _plain(part.name) == _plain(name)]
    return found[0] if len(found) == 1 else None


@dataclass(frozen=True)
class RunTold:
    """A run as a person tells it: the names of the two places that it joins, and its figures."""

    start: str
    end: str
    length_m: Metre | None = None
    drop_m: Metre | None = None
    name: str = ""
    zone: str | None = None
    trunking_mm2: float | None = None


def run_edit(boat: Boat, run: str | None, told: RunTold) -> Several:
    """Put a run between two waypoints called by name, or change the one of an id."""
    named = _Named(boat)
    first, last = named.called(told.start), named.called(told.end)
    old = next((one for one in boat.runs if one.id == run), None)
    figures = Run(
        id=new_id("run") if old is None else old.id,
        name=told.name or _run_name(first, last),
        start=first.id,
        end=last.id,
        length_m=told.length_m,
        vertical_drop_m=told.drop_m,
        zone=told.zone,
        trunking_mm2=told.trunking_mm2,
        notes=None if old is None else old.notes,
    )
    return Several(edits=(*named.made, PutRun(run=figures)), label=f"Run {figures.name}"[:120])


def runs_edit(boat: Boat, told: Sequence[RunTold]) -> Several:
    """Put a list of runs in one step; where just one joins two places already, it takes the new figures."""
    named = _Named(boat)
    runs, put = {run.id: run for run in boat.runs}, set[str]()
    for one in told:
        first, last = named.called(one.start), named.called(one.end)
        alike = [run for run in runs.values() if {run.start, run.end} == {first.id, last.id}]
        new = Run(id=new_id("run"), name=_run_name(first, last), start=first.id, end=last.id)
        figures = {"length_m": one.length_m, "vertical_drop_m": one.drop_m}
        run = (alike[0] if len(alike) == 1 else new).model_copy(
            update={key: metres for key, metres in figures.items() if metres is not None}
        )
        runs[run.id] = run
        put.add(run.id)
    edits = (PutRun(run=run) for run in runs.values() if run.id in put)
    label = "1 run put in" if len(put) == 1 else f"{len(put)} runs put in"
    return Several(edits=(*named.made, *edits), label=label)


def _run_name(first: Waypoint, last: Waypoint) -> str:
    return f"{first.name} – {last.name}"[:120]


def part_edit(boat: Boat, put: PlacePart, waypoint: str, zone: str | None) -> AnyEdit:
    """Put a part on the plan, into a zone, and at a waypoint called by name; without a name at none."""
    named = _Named(boat)
    at = named.called(waypoint, but=put.part).id if waypoint else None
    away = None if at is None else put.from_waypoint_m
    put = put.model_copy(update={"waypoint": at, "from_waypoint_m": away})
    part = next(one for one in boat.parts if one.id == put.part)
    zoned = () if zone == part.zone else (ChangeValue(id=part.id, field="zone", value=zone),)
    if not named.made and not zoned:
        return put
    where = f"at {waypoint}" if waypoint else "its place and zone"
    return Several(edits=(*named.made, put, *zoned), label=f"{part.name}: {where}"[:120])


def waypoint_edit(boat: Boat, put: Waypoint, parts: frozenset[str]) -> Several:
    """Add a waypoint or change the one of its id; these parts are reached from it, others no longer."""
    is_there = any(one.id == put.id for one in boat.waypoints)
    part = None if is_there else _part_called(boat, put.name)
    if part is not None and part.waypoint is None:
        parts |= {part.id}
        if put.place is None:
            put = put.model_copy(update={"place": part.place, "deck": put.deck or part.deck})
    moved = [
        PlacePart(part=one.id, place=one.place, waypoint=put.id if one.id in parts else None, deck=one.deck)
        for one in boat.parts
        if (one.waypoint == put.id) != (one.id in parts)
    ]
    return Several(edits=(PutWaypoint(waypoint=put), *moved), label=f"Waypoint {put.name}"[:120])


def zone_edit(boat: Boat, zone: str | None, changes: dict[str, object]) -> AnyEdit:
    """Add a zone or change the one of an id."""
    old = next((one for one in boat.zones if one.id == zone), None)
    base = {"id": new_id("zone")} if old is None else old.model_dump()
    return PutZone(zone=Zone.model_validate({**base, **changes}))


def hull_edit(boat: Boat, length_m: Metre | None, hull: Hull | None) -> Several:
    """The hull's length and shape."""
    shape = None if hull is None else hull.model_dump(mode="json")
    edits = (ChangeValue(field="length_m", value=length_m), ChangeValue(field="hull", value=shape))
    return Several(edits=edits, label=f"Hull of {boat.name}"[:120])


def margin_edit(boat: Boat, margin: Margin | None, assumed: Mapping[str, float | None]) -> Several:
    """What is left for later, and the boat's own figures in place of what is assumed; None takes one back."""
    left = None if margin is None else margin.model_dump(mode="json", exclude_none=True)
    edits: list[SingleEdit] = [ChangeValue(field="margin", value=left)]
    for key, value in assumed.items():
        edits += _assumed(boat, key, value)
    return Several(edits=tuple(edits), label="Margins of the plan")


def _assumed(boat: Boat, key: str, value: float | None) -> list[SingleEdit]:
    usual = default(key)
    own = next((one.value for one in boat.assumptions if one.key == key and one.subject is None), None)
    if value is None:
        return [] if own is None else [ClearAssumption(key=key)]
    if value == (usual.value if own is None else own):
        return []
    low, high = min(usual.low, value), max(usual.high, value)
    return [SetAssumption(key=key, low=low, value=value, high=high, source=OWN_FIGURE)]


def length_edit(conductor: str, measured_m: Metre | None) -> AnyEdit:
    """A conductor's measured length, or that of its way."""
    if measured_m is None:
        return SetLength(conductor=conductor)
    return SetLength(conductor=conductor, length_m=measured_m, basis="measured")


def moved_edit(
    boat: Boat, thing: str, from_bow_m: Metre, from_centreline_m: Metre, shown: str = ""
) -> AnyEdit | None:
    """Put a waypoint or a part elsewhere on the plan, at its height; None where neither has this id.

    What had no place comes to the floor of its deck, else of the one that is shown. A part's entered distance
    from its waypoint stays.
    """
    at = (from_bow_m, from_centreline_m)
    for waypoint in boat.waypoints:
        if waypoint.id == thing:
            place = _moved(waypoint.place, at, _floor_m(boat, waypoint.deck or shown))
            return PutWaypoint(waypoint=waypoint.model_copy(update={"place": place}))
    for part in boat.parts:
        if part.id == thing:
            place = _moved(part.place, at, _floor_m(boat, part.deck or shown))
            return PlacePart(
                part=thing,
                place=place,
                waypoint=part.waypoint,
                from_waypoint_m=part.from_waypoint_m,
                deck=part.deck,
            )
    return None


def place_of(boat: Boat, thing: str) -> Place | None:
    """Where a waypoint or a part lies on the plan."""
    return next((one.place for one in (*boat.waypoints, *boat.parts) if one.id == thing), None)


def _moved(old: Place | None, at: tuple[Metre, Metre], floor_m: Metre) -> Place:
    return Place(
        from_bow_m=round(max(0.0, at[0]), 2),
        from_centreline_m=round(at[1], 2),
        height_m=floor_m if old is None else old.height_m,
    )


def _floor_m(boat: Boat, deck: str) -> Metre:
    return next((one.floor_m for one in boat.decks if one.id == deck), 0.0)


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())
