"""The lowest fault along a load's way, against sums of what lies on it."""

import pytest

from server.boat.modes import Mode
from server.engine.fault_ways import FaultWays
from server.engine.faults import FaultNetwork, lowest_fault_a
from server.engine.netlist_rows import Terminal
from tests.engine.boats import boat, conductor, load, part, wire

PLOTTER: Terminal = ("plotter", "supply")


def ways(*args: FaultWays) -> dict[tuple[str, Terminal], tuple[float, bool]]:
    return {(one.conductor, one.load): (one.fault_a, one.is_return) for one in args[0].ways()}


def test_the_way_out_is_named_with_its_fault_and_the_way_back_without() -> None:
    one = boat()
    found = ways(FaultWays(one, one.modes[0]))

    out = {name for (name, key), (_, back) in found.items() if key == PLOTTER and not back}
    back = {name for (name, key), (_, back) in found.items() if key == PLOTTER and back}
    assert out == {"w-battery", "w-fuse", "w-feed", "w-plotter"}
    assert back == {"w-return", "w-strap", "w-bar", "w-shunt"}
    assert all(found[name, PLOTTER][0] == 0 for name in back)


def test_the_devices_of_a_way_are_named_as_the_engine_calls_them() -> None:
    one = boat()

    found = {name for name, key in FaultWays(one, one.modes[0]).devices() if key == PLOTTER}

    assert found == {"fuse", "panel.dc-plotter"}


def test_at_the_load_it_is_the_lowest_fault_of_the_load_itself() -> None:
    one = boat()

    found = ways(FaultWays(one, one.modes[0]))

    assert found["w-plotter", PLOTTER][0] == pytest.approx(lowest_fault_a(one, one.modes[0])[PLOTTER])


def test_at_the_end_of_a_feeder_the_branch_and_its_own_return_are_left_out() -> None:
    """V / I of the far end of the feeder is less by the way's breaker and the plotter's two wires."""
    one = boat()
    faults = FaultNetwork(one, one.modes[0], "lowest")
    found = ways(FaultWays(one, one.modes[0]))
    volts = faults.net.network.sources.emf_v[0]
    rows = [faults.net.rows_of[name][0] for name in ("panel.dc-plotter", "w-plotter", "w-return")]
    branch = sum(1 / faults.conductance[rows])
    at_load, at_panel = found["w-plotter", PLOTTER][0], found["w-feed", PLOTTER][0]

    assert volts / at_load - volts / at_panel == pytest.approx(branch, rel=1e-9)


def test_a_return_without_a_lead_of_its_own_ends_at_the_loads_terminal() -> None:
    """Two wires on the load's negative post: no single lead begins there, so the post itself is the end."""
    one = boat(conductors=[wire("second", "plotter.negative", "block.stud-2")])

    found = ways(FaultWays(one, one.modes[0]))

    assert 0 < found["w-feed", PLOTTER][0] < ways(FaultWays(boat(), boat().modes[0]))["w-feed", PLOTTER][0]


def test_what_carries_less_than_half_is_on_nobodys_way() -> None:
    """Three equal wires in parallel carry a third each."""
    more = [wire(f"feed-{n}", "switch.out", "panel.dc-feed") for n in (2, 3)]
    one = boat(conductors=more)

    names = {name for name, key in ways(FaultWays(one, one.modes[0])) if key == PLOTTER}

    assert not names & {"w-feed", "feed-2", "feed-3"}
    assert "w-fuse" in names


def test_a_coil_goes_back_by_its_own_lead() -> None:
    relay = {
        "kind": "contact",
        "id": "relay",
        "name": "Relay",
        "terminals": ["a", "b"],
        "positions": [{"id": "off", "name": "Off"}, {"id": "on", "name": "On", "closed": [["a", "b"]]}],
        "normal": "off",
        "actuator": "coil",
        "coil": {"kind": "coil", "current_a": 1.0, "rated_voltage_v": 12.0},
    }
    one = boat(
        parts=[relay],
        conductors=[
            wire("coil-pos", "panel.dc-spare", "relay.coil-positive"),
            wire("coil-neg", "relay.coil-negative", "bar.stud-5"),
        ],
    )

    found = ways(FaultWays(one, one.modes[0]))

    assert found["coil-pos", ("relay", "coil-positive")][0] > 0


def test_where_nothing_is_fed_there_are_no_ways() -> None:
    one = boat()
    off = Mode(id="dark", name="Dark", positions=one.modes[1].positions)

    assert list(FaultWays(one, off).ways()) == []


def test_a_load_on_the_engines_own_negative_side_alone_has_no_fault_to_open() -> None:
    """A plotter whose both ends land on negative copper: every conductor on its way is a return."""
    misplaced = conductor("w-plotter", tail={"part": "bar", "terminal": "stud-6"})
    one = boat(parts=[load("lamp", {"kind": "constant-current", "current_a": 1.0})], conductors=[misplaced])

    assert PLOTTER not in {key for _, key in ways(FaultWays(one, one.modes[0]))}
    assert part("fuse")["id"] == "fuse"
