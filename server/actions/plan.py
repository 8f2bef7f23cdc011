"""The plan of a boat: its runs and what lies in them, where its parts are, and the way of each conductor."""

from collections.abc import Mapping
from dataclasses import dataclass

from server.actions.answers import answer
from server.actions.choices import Chosen
from server.actions.lists import CableRow, cable_rows
from server.actions.yard import OpenBoat, Yard
from server.boat.assumed import assumed
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.laid import Bundle, Laid
from server.boat.parts import AnyPart
from server.boat.routes import Route, Routes, Spot
from server.boat.runs import Run, Waypoint
from server.checks.runs import OVERALL_KEY, Fill, SpareWays, fill_of, spare_ways
from server.drawing.plan_underlay import Backdrop
from server.practice.materials import temperature_ratio
from server.store.errors import UnknownPhotoError
from server.units import Ampere, Celsius, Metre, Ratio, SquareMillimetre

_TEMPERATURE_KEYS = {True: "conductor_temperature_engine_space", False: "conductor_temperature"}


@dataclass(frozen=True)
class RunFacts:
    """A run and what lies in it.

    ``heat_w_per_m`` is None where no mode is chosen; ``unknown`` are wires of unknown size, left out of the
    section and the heat.
    """

    run: Run
    start: Waypoint
    end: Waypoint
    length_m: Metre | None
    in_engine_space: bool | None
    wires: tuple[Conductor, ...]
    area_mm2: SquareMillimetre
    unknown: int
    heat_w_per_m: float | None
    temperature_c: Celsius
    """What is assumed of conductors there."""
    fill: Fill | None


@dataclass(frozen=True)
class PartFacts:
    """A part, where its conductors leave for the runs, and how many end on it."""

    part: AnyPart
    spot: Spot | None
    waypoint: Waypoint | None
    nearest: tuple[Metre, Waypoint] | None
    """The nearest waypoint of a part that is reached from none, and how far it is."""


@dataclass(frozen=True)
class WireFacts:
    """A conductor, the way it takes or why it has none, and what it lies beside."""

    conductor: Conductor
    row: CableRow
    route: Route | None
    why_not: str
    bundle: Bundle


@dataclass(frozen=True)
class PlanFacts:
    """Everything that the page of the plan tells."""

    runs: tuple[RunFacts, ...]
    parts: tuple[PartFacts, ...]
    wires: tuple[WireFacts, ...]
    spare: tuple[SpareWays, ...]
    end_allowance_m: Metre
    reach_m: Metre
    overall: Ratio
    """The outside section of a cable over that of its copper, as assumed."""
    backdrop: Backdrop | None
    unjoined: int
    """Wires that no run reaches, but for those that go straight from part to part."""


def plan_facts(yard: Yard, opened: OpenBoat, chosen: Chosen | None) -> PlanFacts:
    """The plan of a boat with the currents of the chosen mode."""
    boat = opened.boat
    routes, laid = Routes.of(boat), Laid.of(boat)
    amps: Mapping[str, Ampere] | None = None
    if chosen is not None and boat.runs:
        flows = answer(yard, opened.sha, boat, chosen.mode, chosen.event).flows
        amps = {flow.element: flow.current_a for flow in flows}
    wires = tuple(_wires(boat, routes, laid))
    return PlanFacts(
        runs=tuple(_run(boat, routes, run, laid.in_run[run.id], amps) for run in boat.runs),
        parts=tuple(_part(routes, part) for part in boat.parts),
        wires=wires,
        spare=tuple(spare_ways(boat)),
        end_allowance_m=routes.allowance.each_end,
        reach_m=routes.reach_m,
        overall=assumed(boat.assumptions, OVERALL_KEY)[1],
        backdrop=_backdrop(yard, opened),
        unjoined=sum(one.route is None and not _is_direct(routes, one.conductor) for one in wires),
    )


def _run(
    boat: Boat,
    routes: Routes,
    run: Run,
    wires: tuple[Conductor, ...],
    amps: Mapping[str, Ampere] | None,
) -> RunFacts:
    area = sum(one.size.area_mm2 for one in wires if one.size is not None)
    told = routes.is_in_engine_space(run.id)
    temperature_c = assumed(boat.assumptions, _TEMPERATURE_KEYS[told == "yes"])[1]
    return RunFacts(
        run=run,
        start=routes.waypoints[run.start],
        end=routes.waypoints[run.end],
        length_m=routes.run_length(run.id),
        in_engine_space=None if told is None else told == "yes",
        wires=wires,
        area_mm2=area,
        unknown=sum(one.size is None for one in wires),
        heat_w_per_m=None if amps is None else _heat(wires, amps, temperature_c),
        temperature_c=temperature_c,
        fill=fill_of(boat, run, wires),
    )


def _heat(wires: tuple[Conductor, ...], amps: Mapping[str, Ampere], temperature_c: Celsius) -> float:
    """Watts a metre, I²·r, of the wires of known size."""
    ratio = temperature_ratio(temperature_c)
    return sum(
        amps.get(one.id, 0.0) ** 2 * one.size.resistance_ohm_per_m * ratio
        for one in wires
        if one.size is not None
    )


def _part(routes: Routes, part: AnyPart) -> PartFacts:
    spot = routes.spot(part.id)
    if spot is None:
        return PartFacts(part, None, None, routes.nearest(part.id))
    return PartFacts(part, spot, routes.waypoints[spot.waypoint], None)


def _wires(boat: Boat, routes: Routes, laid: Laid) -> list[WireFacts]:
    conductors = {one.id: one for one in boat.conductors}
    found = []
    for row in cable_rows(boat):
        one = conductors[row.conductor]
        if one.kind == "wire":
            route = laid.ways.get(one.id)
            why = "" if route is not None else _why_not(boat, routes, one)
            found.append(WireFacts(one, row, route, why, laid.bundles.get(one.id, Bundle())))
    return found


def _why_not(boat: Boat, routes: Routes, one: Conductor) -> str:
    if one.tail is None or one.head is None:
        return "an end is loose"
    if not boat.runs:
        return "no runs yet"
    if one.tail.part == one.head.part:
        return "both ends are on one part"
    return routes.why_not(one.tail.part, one.head.part)


def _is_direct(routes: Routes, one: Conductor) -> bool:
    return one.tail is not None and one.head is not None and routes.is_direct(one.tail.part, one.head.part)


def _backdrop(yard: Yard, opened: OpenBoat) -> Backdrop | None:
    """The drawing under the plan; None where there is none, or its photo is not kept here."""
    underlay = opened.boat.underlay
    photo = next((one for one in opened.boat.photos if underlay and one.id == underlay.photo), None)
    if photo is None:
        return None
    try:
        row = yard.store.photo(photo.sha)
    except UnknownPhotoError:
        return None
    return Backdrop(f"/boats/{opened.id}/photo-files/{photo.sha}", row.width, row.height)
