"""Laws that hold for every network (any textbook on circuits)."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given

from server.engine.network import Network, Resistors, Sources
from server.engine.operating_point import operating_point
from server.engine.shared_path import SourceNetwork
from tests.engine.laws.definitions import transfer_ohm
from tests.engine.strategies import networks


@given(networks())
def test_currents_into_every_node_add_to_nothing(network: Network) -> None:
    """Kirchhoff's current law, to 1e-7 A of up to hundreds."""
    point = operating_point(network)

    assert point.current_imbalance_a < 1e-7


@given(networks())
def test_power_given_is_power_taken(network: Network) -> None:
    """Tellegen's theorem over all elements."""
    point = operating_point(network)

    assert point.power_imbalance_w < 1e-6


@given(networks())
def test_sources_and_loads_obey_their_own_laws(network: Network) -> None:
    """Batteries E - R I, resistances V/R, running loads their power or current."""
    point = operating_point(network)
    at = network.spans

    volts, amps = -point.element_v[at["sources"]], point.current_a[at["sources"]]
    assert volts == pytest.approx(network.sources.emf_v - network.sources.ohm * amps, abs=1e-9)
    volts, amps = point.element_v[at["resistive"]], point.current_a[at["resistive"]]
    assert volts == pytest.approx(network.resistive.ohm * amps, abs=1e-9)
    fixed = (
        np.isin(np.arange(len(network.loads)), network.converters.load, invert=True) & ~point.states.starved
    )
    volts, amps = point.element_v[at["loads"]][fixed], point.current_a[at["loads"]][fixed]
    taken = np.where(network.loads.is_power[fixed] > 0, volts * amps, amps)
    assert taken == pytest.approx(network.loads.amount[fixed], rel=1e-9)


@given(networks(power=False, piecewise=False))
def test_effects_of_sources_add_up(network: Network) -> None:
    """Superposition: EMFs alone plus load currents alone make the whole (linear networks)."""
    quiet = replace(network, loads=replace(network.loads, amount=0 * network.loads.amount))
    shorted = replace(network, sources=replace(network.sources, emf_v=0 * network.sources.emf_v))

    parts = operating_point(quiet).element_v + operating_point(shorted).element_v
    assert operating_point(network).element_v == pytest.approx(parts, abs=1e-9)


@given(networks(piecewise=False))
def test_transfer_resistances_are_mutual(network: Network) -> None:
    """Reciprocity: what j costs i per ampere, i costs j; and it is the mutual entry of the inverse matrix."""
    source = SourceNetwork(operating_point(network))
    elements = np.arange(network.spans["resistive"].start, network.size)
    u = source.unit_currents(elements)

    transfer = transfer_ohm(source, u, u)

    assert transfer == pytest.approx(transfer.T, abs=1e-14)
    assert (np.diag(transfer) > 0).all()
    assert (np.diag(transfer)[:, None] + np.diag(transfer)[None, :] >= 2 * np.abs(transfer) - 1e-14).all()


@given(networks())
def test_numbering_means_nothing(network: Network) -> None:
    """Relabelled nodes and elements in another order give the same voltages."""
    shuffled = np.random.default_rng(network.nodes).permutation(network.nodes)
    order = np.argsort(network.resistors.ohm)
    old = network.resistors
    renumbered = replace(
        network,
        resistors=Resistors(shuffled[old.head][order], shuffled[old.tail][order], old.ohm[order]),
        **{
            kind: replace(
                getattr(network, kind),
                tail=shuffled[getattr(network, kind).tail],
                head=shuffled[getattr(network, kind).head],
            )
            for kind in ("sources", "limited", "diodes", "resistive", "loads")
        },
    )
    one, other = operating_point(network), operating_point(renumbered)
    first = len(old)

    assert other.element_v[first:] == pytest.approx(one.element_v[first:], abs=1e-9, nan_ok=True)


@given(networks(power=False, piecewise=False))
def test_more_copper_never_loses_more_with_one_battery(network: Network) -> None:
    """With one battery and fixed currents, a lower resistance never raises the losses (Rayleigh)."""
    alone = replace(
        network,
        sources=Sources.of([(0, 1, 12.6, 0.004)]),
        resistive=Resistors.columns(),
    )
    thicker = alone.resistors.ohm.copy()
    thicker[network.nodes % len(thicker)] /= 3
    thick = replace(alone, resistors=replace(alone.resistors, ohm=thicker))

    def lost(net: Network) -> float:
        point = operating_point(net)
        inner = float((point.current_a[net.spans["sources"]] ** 2 * net.sources.ohm).sum())
        wires = np.nan_to_num(point.element_v[: len(net.resistors)] * point.current_a[: len(net.resistors)])
        return inner + float(wires.sum())

    assert lost(thick) <= lost(alone) + 1e-9
