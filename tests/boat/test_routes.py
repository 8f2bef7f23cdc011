"""Ways through the runs: as short as any, and told why there is none."""

from itertools import pairwise, permutations

import hypothesis.strategies as st
import pytest
from hypothesis import given

from server.boat.boat import Boat, Override, Zone
from server.boat.constructors import electronics, link
from server.boat.edits import (
    AddConductor,
    MoveConductorEnd,
    PlacePart,
    PutRun,
    PutWaypoint,
    PutZone,
    SetAssumption,
    Several,
    apply,
)
from server.boat.laid import Bundle, Laid
from server.boat.lengths import REACH_KEY, straight_line
from server.boat.routes import Routes, Spot
from server.boat.runs import Run, Waypoint
from server.practice.assumptions import default
from tests.boat.run_boat import BARE, BOAT, ROOM, RUNS, at, conductor
from tests.boat.test_laws import LAW

END = default("length_end_allowance").value


def shortest(runs: list[tuple[str, str, float]], start: str, end: str) -> float | None:
    """Every order of waypoints gone through: the length of the shortest, found without any cleverness."""
    names = sorted({name for one, other, _ in runs for name in (one, other)} - {start, end})
    lengths = [
        sum(legs)
        for count in range(len(names) + 1)
        for between in permutations(names, count)
        for stops in [(start, *between, end)]
        if (legs := _legs(runs, stops)) is not None
    ]
    return min(lengths, default=None)


def _legs(runs: list[tuple[str, str, float]], stops: tuple[str, ...]) -> list[float] | None:
    legs = []
    for here, there in pairwise(stops):
        straight = [length for one, other, length in runs if {one, other} == {here, there}]
        if not straight:
            return None
        legs.append(min(straight))
    return legs


@LAW
@given(
    st.lists(
        st.tuples(st.sampled_from("abcde"), st.sampled_from("abcde"), st.floats(0.1, 20.0)).filter(
            lambda run: run[0] != run[1]
        ),
        max_size=9,
    )
)
def test_a_way_is_as_short_as_the_shortest_of_all_ways_gone_through(
    drawn: list[tuple[str, str, float]],
) -> None:
    parts = (electronics("one", "One", 5.0), electronics("two", "Two", 5.0))
    boat = Boat(
        format="tapchart.boat",
        version=1,
        name="Graph",
        nominal_voltage_v=12.0,
        waypoints=tuple(Waypoint(id=name, name=name) for name in "abcde"),
        runs=tuple(
            Run(id=f"r{n}", name=f"Run {n}", start=one, end=other, length_m=metres)
            for n, (one, other, metres) in enumerate(drawn)
        ),
        parts=(
            parts[0].model_copy(update={"waypoint": "a"}),
            parts[1].model_copy(update={"waypoint": "e"}),
        ),
    )
    expected = shortest(drawn, "a", "e")
    route = Routes.of(boat).between("one", "two")

    assert (route is None) == (expected is None)
    if route is not None and expected is not None:
        assert route.length_m == pytest.approx(expected + 2 * END, abs=0.005001)
        assert (route.waypoints[0], route.waypoints[-1]) == ("a", "e")
        assert len(route.runs) == len(route.waypoints) - 1


def test_a_way_adds_up_its_runs_their_drop_the_distances_and_the_allowance_at_both_ends() -> None:
    route = Routes.of(BOAT).between("main", "lamp")

    # 0.2 m to the locker; 2.0 + 3.0 + 1.5 m of runs with 0.5 m of drop; the lamp at its waypoint.
    assert route is not None
    assert route.length_m == pytest.approx(0.2 + 2.0 + 3.0 + 1.5 + 0.5 + 2 * END)
    assert route.runs == ("r1", "r2", "r3")
    assert route.waypoints == ("locker", "engine", "saloon", "mast")


def test_the_allowance_is_the_boats_own_where_it_states_one() -> None:
    own = Override(key="length_end_allowance", low=0.4, value=0.5, high=0.6, source="our yard's figure")
    boat = BOAT.model_copy(update={"assumptions": (own,)})
    routes = Routes.of(boat)
    one, other = routes.between("main", "lamp"), Routes.of(BOAT).between("main", "lamp")

    assert one is not None
    assert other is not None
    assert one.length_m - other.length_m == pytest.approx(2 * (0.5 - END))


def test_two_parts_at_one_waypoint_are_joined_where_both_distances_are_known() -> None:
    route = Routes.of(BOAT).between("house", "bus")

    assert route is not None
    assert route.length_m == pytest.approx(0.3 + 0.5 + 2 * END)
    assert route.runs == ()
    assert route.waypoints == ("locker",)


def test_a_way_that_is_not_there_says_why() -> None:
    routes = Routes.of(BOAT)
    alone = apply(BOAT, PlacePart(part="lamp", waypoint="island"))
    together = apply(BOAT, PlacePart(part="bus", waypoint="locker"))
    nowhere = apply(BOAT, PlacePart(part="lamp"))

    assert routes.why_not("main", "lamp") == ""
    assert routes.between("main", "main") is None
    assert Routes.of(nowhere).why_not("main", "lamp") == "Mast lamp is at no waypoint"
    assert Routes.of(nowhere).why_not("lamp", "main") == "Mast lamp is at no waypoint"
    assert "no runs of known length lead from Locker to Island" in Routes.of(alone).why_not("main", "lamp")
    assert "give their distances" in Routes.of(together).why_not("house", "bus")
    assert Routes.of(BARE).between("house", "bus") is None


def on_plan() -> Boat:
    """The boat with waypoints and parts on the plan, two of them close to each other."""
    boat = BOAT
    for name, place in (
        ("locker", at(10.0)),
        ("engine", at(8.0)),
        ("saloon", at(5.0, 1.0)),
        ("mast", at(3.0, 0.0, 2.0)),
    ):
        waypoint = next(one for one in boat.waypoints if one.id == name)
        boat = apply(boat, PutWaypoint(waypoint=waypoint.model_copy(update={"place": place})))
    for run in ("r1", "r3"):
        bare = next(one for one in boat.runs if one.id == run).model_copy(update={"length_m": None})
        boat = apply(boat, PutRun(run=bare))
    return boat


def test_a_run_without_a_length_is_as_long_as_on_the_plan() -> None:
    routes = Routes.of(on_plan())
    unplaced = apply(on_plan(), PutRun(run=Run(id="r5", name="To nowhere", start="mast", end="island")))

    assert routes.run_length("r1") == pytest.approx(2.0)
    # Saloon to mast: √(2² + 1²) m on the plan, and the drop that is stated instead of the heights.
    assert routes.run_length("r3") == pytest.approx(5**0.5 + 0.5)
    flat = on_plan().runs[2].model_copy(update={"vertical_drop_m": None})
    assert Routes.of(apply(on_plan(), PutRun(run=flat))).run_length("r3") == pytest.approx(3.0)
    assert Routes.of(unplaced).run_length("r5") is None


def test_a_part_on_the_plan_alone_leaves_from_the_nearest_waypoint() -> None:
    boat = apply(on_plan(), PlacePart(part="lamp", place=at(3.5)))
    spot = Routes.of(boat).spot("lamp")
    bare = apply(BOAT, PlacePart(part="lamp", place=at(3.5)))

    assert spot is not None
    assert (spot.waypoint, spot.is_nearest) == ("saloon", True)
    assert spot.metres == pytest.approx(((3.5 - 5.0) ** 2 + 1.0) ** 0.5)
    assert Routes.of(bare).spot("lamp") is None


def test_a_part_out_of_reach_of_every_waypoint_is_reached_by_no_run_until_told_so() -> None:
    far = apply(on_plan(), PlacePart(part="lamp", place=at(1.0, 2.0)))
    near = apply(far, SetAssumption(key=REACH_KEY, low=1.0, value=9.0, high=9.0, source="measured"))
    named = apply(far, PlacePart(part="lamp", place=at(1.0, 2.0), waypoint="mast"))
    routes = Routes.of(far)
    nearest = routes.nearest("lamp")

    assert default(REACH_KEY).value == 2.0
    assert routes.spot("lamp") is None
    assert nearest is not None
    assert routes.between("house", "lamp") is None
    told = f"Mast lamp is {nearest[0]:.1f} m from the nearest waypoint, {nearest[1].name}: name one for it"
    assert routes.why_not("house", "lamp") == told
    assert Routes.of(near).spot("lamp") == Spot(nearest[1].id, nearest[0], is_nearest=True)
    assert conductor(near, "lamp-out").length_basis == "routed"
    assert Routes.of(named).spot("lamp") == Spot("mast", straight_line(at(1.0, 2.0), at(3.0, 0.0, 2.0)))


def test_lengths_of_parts_out_of_reach_stay_when_runs_are_drawn() -> None:
    """No length is known of the lamp's lead; it lies 2.5 m from the nearest waypoint, then 1.5 m."""
    bare = BARE.model_copy(update={"waypoints": on_plan().waypoints, "runs": ()})
    bare = apply(bare, PlacePart(part="main", waypoint="locker"))

    def drawn(from_mast_m: float) -> Boat:
        boat = apply(bare, PlacePart(part="lamp", place=at(3.0 - from_mast_m, 0.0, 2.0)))
        return apply(boat, Several(edits=tuple(PutRun(run=run) for run in RUNS), label="Runs"))

    assert conductor(drawn(2.5), "lamp-out").length_m is None
    assert conductor(drawn(1.5), "lamp-out").length_basis == "routed"


def test_parts_that_are_only_near_one_waypoint_keep_the_estimate_of_their_conductor() -> None:
    """No run lies between them: 0.9 m and 1.1 m to the mast would be less than a cable needs there."""
    boat = apply(on_plan(), PlacePart(part="lamp", place=at(3.0, -0.9, 2.0)))
    boat = apply(boat, PlacePart(part="plotter", place=at(3.0, 1.1, 2.0)))
    routes = Routes.of(boat)
    said = apply(boat, PlacePart(part="lamp", waypoint="mast", from_waypoint_m=0.9))
    both = apply(said, PlacePart(part="plotter", waypoint="mast", from_waypoint_m=1.1))

    assert routes.between("lamp", "plotter") is None
    told = "straight: both ends are near Mast, and no run lies between them"
    assert routes.why_not("lamp", "plotter") == told
    assert routes.is_direct("lamp", "plotter")
    assert Routes.of(said).between("lamp", "plotter") is None
    route = Routes.of(both).between("lamp", "plotter")
    assert route is not None
    assert route.length_m == pytest.approx(2.0 + 2 * END)


def test_parts_nearer_to_each_other_than_to_their_waypoints_are_not_sent_round() -> None:
    boat = apply(on_plan(), PlacePart(part="lamp", place=at(6.5, -1.0), waypoint="engine"))
    boat = apply(boat, PlacePart(part="plotter", place=at(6.0, -1.0), waypoint="saloon"))
    routes = Routes.of(boat)

    assert routes.between("lamp", "plotter") is None
    assert "nearer to each other" in routes.why_not("lamp", "plotter")
    assert routes.is_direct("lamp", "plotter")
    assert not routes.is_direct("lamp", "house")
    assert not Routes.of(BARE).is_direct("lamp", "plotter")


@pytest.mark.parametrize(
    ("part", "zone", "expected"),
    [("plotter", "cabin", "yes"), ("bus", "cabin", "no"), ("bus", None, None), ("bus", "engine-room", "yes")],
)
def test_a_way_is_in_an_engine_space_where_any_stretch_is(
    part: str, zone: str | None, expected: str | None
) -> None:
    """The way from the battery to the plotter goes by run 1 through the engine room, to the bus by none."""
    parts = tuple(one.model_copy(update={"zone": zone if one.id == part else "cabin"}) for one in BOAT.parts)
    route = Routes.of(BOAT.model_copy(update={"parts": parts})).between("house", part)

    assert route is not None
    assert route.in_engine_space == expected


def test_where_no_zone_is_named_the_plan_tells_what_is_in_the_engine_space() -> None:
    boat = on_plan()
    runs = tuple(run.model_copy(update={"zone": None}) for run in boat.runs)
    boat = apply(boat.model_copy(update={"runs": runs}), PlacePart(part="bus", place=at(7.0)))
    drawn = apply(boat, PutZone(zone=boat.zones[0].model_copy(update={"outline": ROOM})))
    half = apply(drawn, PutZone(zone=Zone(id="other", name="Other engine", engine_space=True)))
    routes = Routes.of(drawn)

    assert [Routes.of(boat).is_in_engine_space(run) for run in ("r1", "r2", "r3")] == [None] * 3
    assert [routes.is_in_engine_space(run) for run in ("r1", "r2", "r3")] == ["yes", "yes", "no"]
    assert Routes.of(half).is_in_engine_space("r1") is None
    away = apply(drawn, PlacePart(part="lamp", place=at(2.0), waypoint="saloon"))
    route = Routes.of(away).between("bus", "lamp")
    assert route is not None
    assert route.in_engine_space == "yes"


def test_what_lies_in_a_run_and_beside_how_many_is_counted() -> None:
    laid = Laid.of(BOAT)

    assert {run: [one.id for one in wires] for run, wires in laid.in_run.items()} == {
        "r1": ["out", "home", "lamp-out", "lamp-home"],
        "r2": ["out", "home", "lamp-out", "lamp-home"],
        "r3": ["lamp-out", "lamp-home"],
        "r4": [],
    }
    assert laid.bundles["out"] == Bundle(4, 5.0)
    assert laid.bundles["lamp-out"] == Bundle(4, 5.0)
    assert laid.bundles["ground"] == Bundle()
    assert "feed" in laid.ways
    assert conductor(BOAT, "feed").length_basis == "routed"
    assert Laid.of(BARE).ways == {}


def test_what_is_loose_bolted_or_has_no_way_lies_in_no_run() -> None:
    boat = apply(BOAT, PlacePart(part="lamp"))
    boat = apply(boat, MoveConductorEnd(conductor="home", end="tail"))
    boat = apply(boat, AddConductor(conductor=link("joint", "house.negative", "bus.stud-4")))

    assert set(Laid.of(boat).ways) == {"feed", "out", "ground"}
