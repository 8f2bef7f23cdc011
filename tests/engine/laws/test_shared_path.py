"""The sag and its shares, in every network."""

import numpy as np
import pytest
from hypothesis import given

from server.engine.arrays import Floats, Indices
from server.engine.linearised import Linearised, sensitivity
from server.engine.network import Network, Resistors
from server.engine.operating_point import operating_point
from server.engine.shared_path import SourceNetwork, sag_split
from tests.engine.circuits import all_but, ladder
from tests.engine.laws.definitions import post_voltage, transfer_ohm
from tests.engine.strategies import networks


def heavy_of(network: Network) -> int:
    """The strategy's heavy load: the last resistive one."""
    return int(network.spans["resistive"].stop - 1)


def victims(network: Network) -> Indices:
    """All loads but the heavy one."""
    start, heavy = network.spans["resistive"].start, heavy_of(network)
    return np.array([element for element in range(start, network.size) if element != heavy], np.intp)


@given(networks())
def test_shares_add_up_to_the_sag(network: Network) -> None:
    """Σ shares = V absent - V present, to 1e-10 V, states changing or not (Tellegen)."""
    absent, present = all_but(network, heavy_of(network)), operating_point(network)

    split = sag_split(absent, present, victims(network), heavy_of(network))

    known = ~np.isnan(split.sag_v)
    assert known.any()
    assert split.share_v.sum(axis=0)[known] == pytest.approx(split.sag_v[known], abs=1e-10)


@given(networks(piecewise=False))
def test_share_is_resistance_times_unit_current_times_change(network: Network) -> None:
    """R_e u_e (i_present - i_absent) for every element that keeps its state."""
    heavy = heavy_of(network)
    absent, present = all_but(network, heavy), operating_point(network)
    split = sag_split(absent, present, victims(network), heavy)
    u = SourceNetwork(absent).unit_currents(victims(network))

    ohm, rows = network.resistors.ohm, slice(0, len(network.resistors))
    change = (present.current_a - absent.current_a)[rows]

    assert split.share_v[rows] == pytest.approx(ohm[:, None] * u[rows] * change[:, None], abs=1e-10)


@given(networks(power=False, piecewise=False))
def test_sag_is_transfer_resistance_times_current_where_others_do_not_answer(network: Network) -> None:
    """With no other load in the circuit the sag is exactly R_ij times the heavy current."""
    heavy, elements = heavy_of(network), victims(network)
    out = np.zeros(network.size, bool)
    out[elements] = True
    present = operating_point(network, out)
    out[heavy] = True
    absent = operating_point(network, out)

    split, source = sag_split(absent, present, elements, heavy), SourceNetwork(absent)
    transfer = transfer_ohm(source, split.unit[:, :-1], split.unit[:, -1:])[:, 0]

    assert split.sag_v == pytest.approx(transfer * present.current_a[heavy], abs=1e-9)


@given(networks(piecewise=False))
def test_sensitivities_agree_with_small_changes(network: Network) -> None:
    """dV/dR by the adjoint network against a central difference."""
    elements, point = victims(network), operating_point(network)
    row = network.nodes % len(network.resistors)

    def moved(factor: float) -> Floats:
        old = network.resistors
        ohm = old.ohm.copy()
        ohm[row] *= factor
        changed = network.with_lead(row, int(old.tail[row]), int(old.head[row]), float(ohm[row]))
        return operating_point(changed).element_v[elements]

    step = 1e-3
    difference = (moved(1 + step) - moved(1 - step)) / (2 * step * network.resistors.ohm[row])
    computed = sensitivity(Linearised(point), elements).per_ohm[row]

    assert computed == pytest.approx(difference, rel=1e-4, abs=1e-3 * (1 + np.abs(difference).max()))


def test_tree_has_the_common_elements_as_transfer_resistance() -> None:
    """Near and far load of a ladder share battery and first cable: R_ij = Ri + R1."""
    network = ladder(e=12.8, ri=0.010, r1=0.012, r2=0.015, i1=20.0, i2=5.0)
    source = SourceNetwork(operating_point(network))
    u = source.unit_currents(np.array([3, 4]))

    assert transfer_ohm(source, u, u) == pytest.approx(np.array([[0.022, 0.022], [0.022, 0.037]]))


def test_mesh_may_have_an_element_that_helps() -> None:
    """In a ring an element can carry a load's current against the heavy one's: its share is negative.

    Ring of four 10 mΩ cables, battery at corner 1; heavy load at corner 2, load between corners 2 and 3.
    """
    network = Network(
        nodes=5,
        resistors=Resistors.of([(1, 2, 0.01), (2, 3, 0.01), (3, 4, 0.01), (4, 1, 0.01)]),
        sources=ladder(e=12.0, ri=0.01, r1=1, r2=1, i1=0, i2=0).sources,
        resistive=Resistors.of([(3, 2, 100.0), (2, 0, 0.05)]),
    )
    heavy, victim = network.size - 1, network.size - 2
    absent, present = all_but(network, heavy), operating_point(network)

    split = sag_split(absent, present, np.array([victim]), heavy)

    assert (split.share_v < -1e-3).any()
    assert split.share_v.sum() == pytest.approx(split.sag_v[0], abs=1e-10)


def test_post_voltage_of_a_string_is_the_sum_of_its_batteries() -> None:
    """Two 6 V batteries in a row offer 12 V less their internal loss."""
    network = Network(
        nodes=3,
        sources=type(ladder(e=1, ri=1, r1=1, r2=1, i1=0, i2=0).sources).of(
            [(0, 1, 6.0, 0.01), (1, 2, 6.0, 0.01)]
        ),
        resistive=Resistors.of([(2, 0, 11.98)]),
    )
    point = operating_point(network)
    u = SourceNetwork(point).unit_currents(np.array([2]))[:, 0]

    assert post_voltage(point, u) == pytest.approx(12.0 - 0.02)
