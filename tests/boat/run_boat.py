"""A boat with three runs in a row and a way round, for tests of routes and of lengths that follow."""

from server.boat.boat import Boat, Zone
from server.boat.conductors import Conductor, Size
from server.boat.constructors import busbar, electronics, fuse, wire
from server.boat.edits import PlacePart, PutRun, PutWaypoint, Several, apply
from server.boat.hull import rectangle
from server.boat.parts import AnyPart, Battery
from server.boat.runs import Run, Waypoint
from server.boat.value import Place

THIN = Size(label="2.5 mm²", area_mm2=2.5, resistance_ohm_per_m=7.98e-3)

WAYPOINTS = tuple(
    Waypoint(id=name, name=name.capitalize()) for name in ("locker", "engine", "saloon", "mast", "island")
)
RUNS = (
    Run(id="r1", name="Locker to engine", start="locker", end="engine", length_m=2.0, zone="engine-room"),
    Run(id="r2", name="Engine to saloon", start="engine", end="saloon", length_m=3.0, zone="cabin"),
    Run(id="r3", name="Saloon to mast", start="mast", end="saloon", length_m=1.5, vertical_drop_m=0.5),
    Run(id="r4", name="Round by the keel", start="locker", end="saloon", length_m=9.0, zone="cabin"),
)
ZONES = (
    Zone(id="engine-room", name="Engine room", engine_space=True),
    Zone(id="cabin", name="Cabin"),
)
PARTS: tuple[AnyPart, ...] = (
    Battery(
        kind="battery", id="house", name="House", chemistry="agm", nominal_voltage_v=12.0, capacity_ah=100.0
    ),
    fuse("main", "Main fuse", 50.0),
    busbar("bus", "Negative bus", 8),
    electronics("plotter", "Plotter", 20.0),
    electronics("lamp", "Mast lamp", 10.0),
)
CONDUCTORS = (
    wire("feed", "house.positive", "main.line", THIN, length_m=0.4, basis="estimated"),
    wire("out", "main.load", "plotter.main", THIN, length_m=5.0, basis="estimated"),
    wire("home", "plotter.negative", "bus.stud-1", THIN, length_m=5.0, basis="estimated"),
    wire("lamp-out", "main.load", "lamp.main", THIN),
    wire("lamp-home", "lamp.negative", "bus.stud-2", THIN, length_m=7.7),
    wire("ground", "bus.stud-3", "house.negative", THIN, length_m=0.9, basis="estimated"),
)
BARE = Boat(
    format="tapchart.boat",
    version=1,
    name="Run boat",
    nominal_voltage_v=12.0,
    zones=ZONES,
    parts=PARTS,
    conductors=CONDUCTORS,
)
"""Without runs: the same boat before anybody drew them."""

PUT = Several(
    edits=(
        *(PutWaypoint(waypoint=one) for one in WAYPOINTS),
        *(PutRun(run=one) for one in RUNS),
        PlacePart(part="house", waypoint="locker", from_waypoint_m=0.3),
        PlacePart(part="main", waypoint="locker", from_waypoint_m=0.2),
        PlacePart(part="bus", waypoint="locker", from_waypoint_m=0.5),
        PlacePart(part="plotter", waypoint="saloon", from_waypoint_m=1.0),
        PlacePart(part="lamp", waypoint="mast"),
    ),
    label="Runs drawn",
)
BOAT = apply(BARE, PUT)

ROOM = rectangle(6.0, 9.0, -1.5, 1.5)
"""An engine room on the plan."""


def conductor(boat: Boat, name: str) -> Conductor:
    """The conductor with this id."""
    return next(one for one in boat.conductors if one.id == name)


def length(boat: Boat, name: str) -> float:
    """The known length of a conductor."""
    found = conductor(boat, name).length_m
    assert isinstance(found, float)
    return found


def at(from_bow_m: float, from_centreline_m: float = 0.0, height_m: float = 0.0) -> Place:
    """A place on the plan."""
    return Place(from_bow_m=from_bow_m, from_centreline_m=from_centreline_m, height_m=height_m)
