"""What is not one circuit: floating pieces, dead branches, zero-ohm elements, shorts."""

import numpy as np
import pytest

from server.engine.network import Loads, Network, Resistors, Sources
from server.engine.operating_point import operating_point
from tests.engine.circuits import element


def test_piece_without_a_source_has_no_voltage_and_the_rest_is_solved() -> None:
    """Two nodes joined to each other only: no potential; the fed load keeps its Ohm's-law voltage."""
    network = Network(
        nodes=5,
        sources=Sources.of([(0, 1, 12.0, 0.1)]),
        resistors=Resistors.of([(1, 2, 0.1), (3, 4, 0.1)]),
        loads=Loads.of([(2, 0, 10.0, 0.0, 0.0), (3, 4, 10.0, 0.0, 0.0), (2, 3, 1.0, 0.0, 0.0)]),
    )

    point = operating_point(network)

    assert np.isnan(point.node_v[3:]).all()
    assert point.unfed.tolist() == [False, True, True]
    assert point.voltage(element(network, "loads")) == pytest.approx(10.0)
    assert point.current_a[element(network, "loads", 2)] == 0.0


def test_dead_branch_stands_at_its_pole() -> None:
    """A cable with nothing at its end has the voltage of where it begins."""
    network = Network(nodes=3, sources=Sources.of([(0, 1, 12.0, 0.1)]), resistors=Resistors.of([(1, 2, 0.1)]))

    assert operating_point(network).node_v[2] == pytest.approx(12.0)


def test_two_batteries_apart_are_two_islands() -> None:
    """Each is solved on its own; a load between them finds no way back."""
    network = Network(
        nodes=4,
        sources=Sources.of([(0, 1, 12.0, 0.1), (2, 3, 24.0, 0.1)]),
        resistors=Resistors.of([(0, 1, 11.9), (2, 3, 23.9)]),
        loads=Loads.of([(1, 2, 5.0, 0.0, 0.0)]),
    )

    point = operating_point(network)

    assert point.current_a[:2] == pytest.approx([-1.0, -1.0])
    assert point.unfed.tolist() == [True]


def test_two_lamps_in_a_row_share_the_voltage() -> None:
    """Resistive loads conduct: the middle of two equal ones stands at half the voltage."""
    network = Network(
        nodes=3,
        sources=Sources.of([(0, 1, 12.0, 1e-3)]),
        resistive=Resistors.of([(1, 2, 5.0), (2, 0, 5.0)]),
    )

    assert operating_point(network).node_v[2] == pytest.approx(6.0, rel=1e-3)


def test_zero_ohm_links_are_merged_and_carry_what_kirchhoff_says() -> None:
    """Three links of nothing in a row, a load at each end: 15 A in the first, 5 A in the others."""
    network = Network(
        nodes=5,
        sources=Sources.of([(0, 1, 12.0, 0.1)]),
        resistors=Resistors.of([(1, 2, 0.0), (2, 3, 1e-9), (4, 3, 0.0)]),
        loads=Loads.of([(2, 0, 10.0, 0.0, 0.0), (4, 0, 5.0, 0.0, 0.0)]),
    )

    point = operating_point(network)

    assert point.node_v[1:] == pytest.approx(np.full(4, 10.5))
    assert point.current_a[:3] == pytest.approx([15.0, 5.0, -5.0])


def test_loop_of_zero_ohm_links_is_shared_evenly() -> None:
    """Nothing decides how two links of nothing share: half each."""
    network = Network(
        nodes=3,
        sources=Sources.of([(0, 1, 12.0, 0.1)]),
        resistors=Resistors.of([(1, 2, 0.0), (1, 2, 0.0)]),
        loads=Loads.of([(2, 0, 10.0, 0.0, 0.0)]),
    )

    assert operating_point(network).current_a[:2] == pytest.approx([5.0, 5.0])


def test_battery_shorted_by_a_link_gives_its_short_circuit_current() -> None:
    """E/R = 12 V / 5 mΩ through the link (Ohm's law); the other battery is none the wiser."""
    network = Network(
        nodes=4,
        sources=Sources.of([(0, 1, 12.0, 0.005), (2, 3, 12.0, 0.005)]),
        resistors=Resistors.of([(1, 0, 0.0), (3, 2, 5.995)]),
    )

    current = operating_point(network).current_a

    assert current[0] == pytest.approx(2400.0)
    assert current[1] == pytest.approx(2.0)


def test_network_of_nothing_has_an_answer() -> None:
    """A boat without parts: one node without a voltage."""
    point = operating_point(Network(nodes=1))

    assert np.isnan(point.node_v).all()
    assert point.current_imbalance_a == 0.0
