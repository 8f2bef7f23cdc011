"""What-if answers are those of a full solution of each moved network."""

import numpy as np
from hypothesis import given

from server.engine.lead_update import Moves
from server.engine.linearised import Linearised
from server.engine.network import Network
from server.engine.operating_point import operating_point
from server.engine.what_if import MovedPoints, moved_voltages, quick_voltages, solve_moved
from tests.engine.strategies import networks


def some_moves(network: Network, each: int = 4) -> Moves:
    """Every load lead to a few nodes, with resistances of their own."""
    rng = np.random.default_rng(network.nodes)
    found = []
    wires, first = network.resistors, len(network.resistors)
    ends = np.concatenate([wires.tail, wires.head])
    for row in range(first):
        for kept in (int(wires.tail[row]), int(wires.head[row])):
            is_lead = (ends == kept).sum() == 1 and (
                (network.tail[first:] == kept).any() or (network.head[first:] == kept).any()
            )
            for tap in rng.choice(network.nodes, each) if is_lead else ():
                if tap != kept:
                    found.append((row, kept, int(tap), float(10 ** rng.uniform(-4, -1))))
    rows, ends_kept, taps, ohms = zip(*found, strict=True)
    return Moves(np.array(rows), np.array(ends_kept), np.array(taps), np.array(ohms))


@given(networks())
def test_every_move_is_as_exact_as_its_full_solution(network: Network) -> None:
    """1e-9 of the nominal voltage, over all loads and sources (design)."""
    point = operating_point(network)
    moves = some_moves(network)
    quick = moved_voltages(Linearised(point), moves, relays_held=False)

    for move in range(len(moves)):
        full = solve_moved(point, moves, move, relays_held=False)
        if len(full.unsettled):
            continue  # a converter that hunts has no answer to compare
        worst = np.nanmax(np.abs(quick.voltage_v[move] - full.element_v[quick.elements]))
        assert worst < 1e-9 * 12


@given(networks(piecewise=False))
def test_most_moves_need_no_full_solution(network: Network) -> None:
    """Without sources or diodes to change their state, only moves that cut the network fall back."""
    moves = some_moves(network)
    quick = quick_voltages(Linearised(operating_point(network)), moves, relays_held=False)

    assert quick.in_full.mean() < 0.5


@given(networks())
def test_all_elements_and_the_adjoint_follow_the_move(network: Network) -> None:
    """Every element's voltage after a move, the lead's own from kept end to tap; J⁻¹ of the moved network."""
    point = operating_point(network)
    moves, observed = some_moves(network, each=2), network.size - 1
    points = MovedPoints.of(Linearised(point), moves, relays_held=False)
    answers = points.answer(observed)

    for move in np.flatnonzero(~points.in_full).tolist():
        full = solve_moved(point, moves, move, relays_held=False)
        if len(full.unsettled):
            continue  # a converter that hunts has no answer to compare
        again = Linearised(full)
        answer = again.across(again.port_columns(np.array([observed])))[:, 0]
        row = moves.row[move]
        turned = 1.0 if network.resistors.tail[row] == moves.kept[move] else -1.0
        expected = full.element_v.copy()
        expected[row] *= turned
        answer[row] *= turned
        assert np.nanmax(np.abs(points.voltage_v[move] - expected)) < 1e-8
        assert np.nanmax(np.abs(answers[move] - answer)) < 1e-8
