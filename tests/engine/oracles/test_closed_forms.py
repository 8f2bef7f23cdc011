"""Operating points known from a closed form."""

import math

import numpy as np
import pytest

from server.engine.network import (
    Converters,
    Diodes,
    LimitedSources,
    Loads,
    Network,
    Relays,
    Resistors,
    Sources,
)
from server.engine.operating_point import operating_point
from server.engine.states import LIMITER_DROOP, Regulation
from tests.engine.circuits import element, ladder, lamp


def test_two_loads_share_the_first_cable() -> None:
    """Currents add on the shared path: the far load sees E - (I1 + I2)(Ri + R1) - I2 R2."""
    v = operating_point(ladder(e=12.8, ri=0.010, r1=0.012, r2=0.015, i1=20.0, i2=5.0)).node_v

    assert v[3] - v[0] == pytest.approx(12.8 - 25 * 0.022 - 5 * 0.015, rel=1e-12)


def test_resistors_side_by_side_share_by_conductance() -> None:
    """Two cables of 2 and 6 mΩ carry 3/4 and 1/4 of 100 A (current divider)."""
    network = Network(
        nodes=3,
        sources=Sources.of([(0, 1, 12.0, 0.01)]),
        resistors=Resistors.of([(1, 2, 0.002), (1, 2, 0.006)]),
        loads=Loads.of([(2, 0, 100.0, 0.0, 0.0)]),
    )

    assert operating_point(network).current_a[:2] == pytest.approx([75.0, 25.0], rel=1e-12)


def test_bridge_agrees_with_its_mesh_equations() -> None:
    """Unbalanced Wheatstone bridge of 1, 2, 3, 4 Ω with 5 Ω across, fed by 10 V behind 1 Ω.

    The second way is Maxwell's mesh currents: any textbook on circuits.
    """
    r1, r2, r3, r4, r5, r0 = 1.0, 2.0, 3.0, 4.0, 5.0, 1.0
    network = Network(
        nodes=4,
        sources=Sources.of([(0, 1, 10.0, r0)]),
        resistors=Resistors.of([(1, 2, r1), (1, 3, r2), (2, 0, r3), (3, 0, r4), (2, 3, r5)]),
    )
    meshes = np.array(
        [[r0 + r1 + r3, -r1, -r3], [-r1, r1 + r2 + r5, -r5], [-r3, -r5, r3 + r4 + r5]],
    )
    source, upper, lower = np.linalg.solve(meshes, [10.0, 0.0, 0.0])

    current = operating_point(network).current_a

    assert current[element(network, "sources")] == pytest.approx(source, rel=1e-12)
    assert current[4] == pytest.approx(lower - upper, rel=1e-9)


def test_lamp_of_an_owners_group_tip() -> None:
    """A 10 W lamp on 12 V over 0.48 Ω of cable takes 0.8631 A and loses 0.4143 V (an owners' group's tip)."""
    network = lamp(e=12.0, ohm=0.48, watts=10.0)

    current = operating_point(network).current_a[element(network, "loads")]

    assert current == pytest.approx(0.8631, abs=5e-5)
    assert current * 0.48 == pytest.approx(0.4143, abs=5e-5)


@pytest.mark.parametrize("watts", [1.0, 40.0, 70.0, 74.0, 74.99])
def test_constant_power_takes_the_upper_root(watts: float) -> None:
    """V = (E + √(E² - 4 P R)) / 2, up to the tip of the curve at E²/(4R) = 75 W (quadratic formula)."""
    network = lamp(e=12.0, ohm=0.48, watts=watts)

    v = operating_point(network).voltage(element(network, "loads"))

    assert v == pytest.approx((12 + math.sqrt(144 - 4 * watts * 0.48)) / 2, rel=1e-9)


def test_power_beyond_the_tip_cannot_run() -> None:
    """Above E²/(4R) = 75 W there is no running solution: the load is a resistance V²/P of its cut-out."""
    network = lamp(e=12.0, ohm=0.48, watts=80.0, cut_out_v=5.0)

    point = operating_point(network)

    assert point.states.starved.tolist() == [True]
    assert point.voltage(element(network, "loads")) == pytest.approx(12 * (25 / 80) / (25 / 80 + 0.48))


def test_limited_source_regulates_then_limits_then_blocks() -> None:
    """Below its limit E - r I; beyond it the limit (with the model's droop); never backwards."""

    def point(setpoint: float, load_a: float) -> tuple[int, float]:
        network = Network(
            nodes=2,
            sources=Sources.of([(0, 1, 12.6, 0.01)]),
            limited=LimitedSources.of([(0, 1, setpoint, 0.01, 30.0)]),
            loads=Loads.of([(1, 0, load_a, 0.0, 0.0)]),
        )
        solved = operating_point(network)
        return int(solved.states.limited[0]), float(solved.current_a[element(network, "limited")])

    state, current = point(12.9, 0.0)
    assert state == Regulation.REGULATING
    assert current == pytest.approx(0.3 / 0.02)
    state, current = point(14.4, 40.0)
    assert state == Regulation.LIMITING
    assert 30.0 <= current <= 30.0 * (1 + LIMITER_DROOP)
    assert point(12.4, 0.0) == (Regulation.BLOCKED, 0.0)


def test_charger_alone_holds_its_limit_into_too_large_a_load() -> None:
    """With no battery a limiting charger's voltage falls until the load is the resistance of its cut-out."""
    network = Network(
        nodes=2,
        limited=LimitedSources.of([(0, 1, 14.4, 0.01, 5.0)]),
        loads=Loads.of([(1, 0, 10.0, 0.0, 6.0)]),
    )

    point = operating_point(network)

    assert point.states.starved.tolist() == [True]
    assert point.voltage(element(network, "loads")) == pytest.approx(5.0 * 6 / 10, rel=LIMITER_DROOP)


def test_isolator_feeds_the_lower_bank_and_blocks_towards_the_higher() -> None:
    """One path of an isolator conducts with its drop, the other stands in reverse (Kirchhoff by hand)."""
    network = Network(
        nodes=4,
        sources=Sources.of([(0, 2, 12.0, 0.01), (0, 3, 14.5, 0.01)]),
        limited=LimitedSources.of([(0, 1, 14.0, 0.005, 100.0)]),
        diodes=Diodes.of([(1, 2, 0.7, 0.002), (1, 3, 0.7, 0.002)]),
    )

    point = operating_point(network)

    assert point.states.diodes.tolist() == [True, False]
    conducted = (14.0 - 0.7 - 12.0) / (0.005 + 0.002 + 0.01)
    assert point.current_a[element(network, "diodes")] == pytest.approx(conducted)
    assert point.current_a[element(network, "diodes", 1)] == 0.0


def test_combining_relay_closes_on_charge_and_holds_until_its_opening_voltage() -> None:
    """It closes at 13.3 V on either side; closed by one charge it stays closed above 12.8 V."""

    def relay_closed(start_v: float, start: bool) -> bool:
        network = Network(
            nodes=3,
            sources=Sources.of([(0, 1, start_v, 0.01), (0, 2, start_v - 0.2, 0.01)]),
            relays=Relays.of([(1, 2, 1, 2, 0, 0.001, 13.3, 12.8)]),
        )
        states = operating_point(network, relays=np.array([start])).states
        return bool(operating_point(network, start=states).states.relays[0])

    assert relay_closed(13.4, start=False)
    assert not relay_closed(13.0, start=False)
    assert relay_closed(13.0, start=True)
    assert not relay_closed(12.7, start=True)


def test_relay_that_is_held_does_not_move() -> None:
    """At the first instant of a start a relay stands as it stood."""
    network = Network(
        nodes=3,
        sources=Sources.of([(0, 1, 13.6, 0.01), (0, 2, 12.4, 0.01)]),
        relays=Relays.of([(1, 2, 1, 2, 0, 0.001, 13.3, 12.8)]),
    )

    assert operating_point(network).states.relays.tolist() == [True]
    assert operating_point(network, relays=np.array([False])).states.relays.tolist() == [False]


def test_relay_that_chatters_is_named() -> None:
    """Open it sees 13.5 V and closes; closed the flat bank pulls it under its opening voltage: no rest."""
    network = Network(
        nodes=3,
        sources=Sources.of([(0, 1, 13.5, 0.05), (0, 2, 11.0, 0.005)]),
        relays=Relays.of([(1, 2, 1, 2, 0, 0.001, 13.3, 12.8)]),
    )

    assert operating_point(network).unsettled.tolist() == [element(network, "relays")]


def test_converter_takes_what_it_gives_over_its_efficiency() -> None:
    """Input power = output power / 0.9 + 1 W; both islands solved together (energy balance)."""
    network = Network(
        nodes=5,
        sources=Sources.of([(0, 1, 25.0, 0.01)]),
        limited=LimitedSources.of([(2, 3, 12.5, 0.02, 30.0)]),
        resistors=Resistors.of([(3, 4, 0.01)]),
        loads=Loads.of([(1, 0, 0.0, 1.0, 18.0), (4, 2, 10.0, 0.0, 0.0)]),
        converters=Converters(np.array([0]), np.array([0]), np.array([0.9]), np.array([1.0])),
    )

    point = operating_point(network)

    given = 10.0 * (12.5 - 0.02 * 10.0)
    feed = element(network, "loads")
    assert point.voltage(feed) * point.current_a[feed] == pytest.approx(given / 0.9 + 1.0, rel=1e-9)


def test_converter_below_its_input_voltage_gives_nothing() -> None:
    """Its output island is then without a source."""
    network = Network(
        nodes=4,
        sources=Sources.of([(0, 1, 16.0, 0.01)]),
        limited=LimitedSources.of([(2, 3, 12.5, 0.02, 30.0)]),
        loads=Loads.of([(1, 0, 0.0, 1.0, 18.0), (3, 2, 10.0, 0.0, 0.0)]),
        converters=Converters(np.array([0]), np.array([0]), np.array([0.9]), np.array([1.0])),
    )

    point = operating_point(network)

    assert point.current_a[element(network, "loads")] == 0.0
    assert np.isnan(point.voltage(element(network, "loads", 1)))
