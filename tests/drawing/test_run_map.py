"""The map of runs before there is a plan: metres to the right, a row for each branch, nothing on anything."""

from xml.etree.ElementTree import Element

import hypothesis.strategies as st
import networkx as nx
import pytest
from defusedxml.ElementTree import fromstring
from hypothesis import given

from server.boat.boat import Boat
from server.boat.edits import PutRun, TakeOffPlan, apply
from server.boat.routes import Routes
from server.boat.runs import Run, Waypoint
from server.drawing.plan_links import Lit
from server.drawing.run_map import UNKNOWN_M, draw_run_map, stops_of
from tests.boat.run_boat import BARE, BOAT
from tests.boat.test_laws import LAW

SVG = "{http://www.w3.org/2000/svg}"
NAMES = "abcdef"


def drawn(boat: Boat) -> Element:
    tree: Element = fromstring(str(draw_run_map(boat, "/boats/b/plan", Lit("r1", frozenset({"r2"})))))
    return tree


def with_runs(runs: list[tuple[str, str, float | None]]) -> Boat:
    return BARE.model_copy(
        update={
            "waypoints": tuple(Waypoint(id=name, name=name) for name in NAMES),
            "runs": tuple(
                Run(id=f"r{n}", name="Run", start=one, end=other, length_m=length)
                for n, (one, other, length) in enumerate(runs)
            ),
        }
    )


def runs_of(least: int) -> st.SearchStrategy[list[tuple[str, str, float | None]]]:
    ends = st.sampled_from(NAMES)
    run = st.tuples(ends, ends, st.none() | st.floats(0.1, 20.0))
    return st.lists(run.filter(lambda one: one[0] != one[1]), min_size=least, max_size=9)


@LAW
@given(runs_of(1))
def test_a_waypoint_stands_as_far_right_as_its_way_is_long_and_no_two_on_one_spot(
    runs: list[tuple[str, str, float | None]],
) -> None:
    boat = with_runs(runs)
    stops = stops_of(Routes.of(boat))
    graph: nx.Graph[str] = nx.Graph()
    for one, other, length in sorted(runs, key=lambda run: -(run[2] or UNKNOWN_M)):
        graph.add_edge(one, other, metres=length or UNKNOWN_M)

    assert set(stops) == set(graph)
    for names in nx.connected_components(graph):
        first = next(name for name in names if stops[name].metres == 0)
        far = nx.single_source_dijkstra_path_length(graph, first, weight="metres")
        assert {name: stops[name].metres for name in names} == pytest.approx(far)
    assert len({(stop.row, round(stop.metres, 9)) for stop in stops.values()}) == len(stops)
    assert {stop.row for stop in stops.values()} == set(range(max(stop.row for stop in stops.values()) + 1))


def test_the_longest_branch_goes_straight_on_and_others_below() -> None:
    stops = stops_of(
        Routes.of(with_runs([("a", "b", 3.0), ("b", "c", 5.0), ("b", "d", 1.0), ("e", "f", None)]))
    )

    assert {name: (stop.metres, stop.row) for name, stop in stops.items()} == {
        "c": (0.0, 0),
        "b": (5.0, 0),
        "a": (8.0, 0),
        "d": (6.0, 1),
        "f": (0.0, 2),
        "e": (1.0, 2),
    }


def test_runs_and_waypoints_can_be_touched_and_tell_metres_and_conductors() -> None:
    tree = drawn(BOAT)
    links = {one.get("id"): one for one in tree.iter(f"{SVG}a")}
    texts = [one.text for one in tree.iter(f"{SVG}text")]

    assert {"spot-r1", "spot-r4", "spot-locker", "spot-mast"} <= set(links)
    assert "spot-island" not in links
    assert "chosen" in (links["spot-r1"].get("class") or "")
    assert "on-way" in (links["spot-r2"].get("class") or "")
    assert all("data-thing" not in link.attrib for link in links.values())
    assert "2 m · 4" in texts
    assert "Locker" in texts


def test_a_second_run_between_two_places_and_one_past_a_third_stand_off_the_line() -> None:
    twice = with_runs([("a", "b", 2.0), ("a", "b", 3.0), ("b", "c", 2.0), ("a", "c", 9.0)])
    middles = {
        (one.get("id") or ""): [part.get("d") or "" for part in one][-1]
        for one in drawn(twice).iter(f"{SVG}a")
        if "plan-run" in (one.get("class") or "")
    }

    assert len(set(middles.values())) == 4
    straight = {name for name, path in middles.items() if len(set(_heights(path))) == 1}
    assert straight == {"spot-r0", "spot-r2"}


def _heights(path: str) -> list[str]:
    numbers = path.replace("M", "").replace("Q", "").split()
    return numbers[1::2]


def test_a_run_of_unknown_length_is_a_broken_line_and_without_runs_there_is_no_map() -> None:
    unknown = apply(BOAT, PutRun(run=BOAT.runs[0].model_copy(update={"length_m": None})))
    lines = [one.get("class") for one in drawn(unknown).iter(f"{SVG}path")]

    assert "run-line run-unknown" in lines
    assert "? m · 0" in [one.text for one in drawn(unknown).iter(f"{SVG}text")]
    bare = BOAT
    for run in BOAT.runs:
        bare = apply(bare, TakeOffPlan(id=run.id))
    assert draw_run_map(bare, "/boats/b/plan", Lit()) is None
