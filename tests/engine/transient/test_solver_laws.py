"""Laws that every event in time obeys, on random circuits of what people build."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from server.engine.arrays import Floats
from server.engine.transient.circuit import MotorDrive, TransientCircuit
from server.engine.transient.solution import TransientSolution
from server.engine.transient.solver import solve
from tests.engine.transient.energy import balance, speed_balance
from tests.engine.transient.loops import SERIES, circuit
from tests.engine.transient.strategies import circuits

FEW = settings(max_examples=6, deadline=None, derandomize=True)


def pairs_of(circuit: TransientCircuit) -> list[tuple[int, int]]:
    """Every node against the first battery's negative post."""
    return [(node, 0) for node in range(1, circuit.nodes)]


def instants(solution: TransientSolution) -> Floats:
    """Instants that crowd after every switching."""
    spread = np.logspace(-7, -0.01, 25)
    return np.concatenate([one.start_s + (one.end_s - one.start_s) * spread for one in solution.segments])


@FEW
@given(circuits(motors=2))
def test_energy_is_kept_in_every_interval(circuit: TransientCircuit) -> None:
    """Tellegen's theorem, integrated: sources = losses + stored + draws + shaft + arc."""
    solution = solve(circuit)

    for segment in solution.segments:
        found = balance(solution, segment)
        assert abs(found.missing_j) < 3e-5 * abs(found.sources_j) + 1e-9


@FEW
@given(circuits())
def test_shaft_keeps_its_energy(circuit: TransientCircuit) -> None:
    """Flux times current times speed = change of ½ J s² + friction + load with its ripple."""
    solution = solve(circuit)
    closed = next(one for one in solution.segments if one.kind == "closed")

    assert speed_balance(solution, closed) < 1e-5


@FEW
@given(circuits(motors=2))
def test_an_event_later_is_the_same_event_later(circuit: TransientCircuit) -> None:
    """Time shift: nothing depends on the clock."""
    later = 0.37
    motors = tuple(
        replace(motor, press_s=motor.press_s + later, release_s=motor.release_s + later)
        for motor in circuit.motors
    )
    first, second = solve(circuit), solve(replace(circuit, motors=motors, end_s=circuit.end_s + later))

    time, pairs = instants(first)[30:], pairs_of(circuit)
    assert second.at_times(pairs, time + later) == pytest.approx(first.at_times(pairs, time), abs=1e-6)


def linear_part(circuit: TransientCircuit, emf_v: Floats) -> TransientCircuit:
    """Motors without load, brake or series winding, never released; other EMFs."""
    motors = tuple(unloaded(motor) for motor in circuit.motors)
    return replace(circuit, branches=replace(circuit.branches, emf_v=emf_v), motors=motors, end_s=0.1)


def unloaded(motor: MotorDrive) -> MotorDrive:
    """A permanent-magnet motor that only turns its own friction."""
    flux = motor.flux_v or 10.0
    return replace(motor, winding="permanent-magnet", flux_v=flux, load_w=0.0, press_s=0.0, release_s=1.0)


@FEW
@given(circuits(draws=False, motors=2))
def test_sources_superpose_in_a_linear_circuit(circuit: TransientCircuit) -> None:
    """The answer to two sets of EMFs is the sum of the answers to each."""
    is_source = circuit.branches.emf_v > 0
    one = np.where(is_source, circuit.branches.emf_v, 0.0)
    other = np.where(is_source, 1.0 + np.arange(len(is_source)) % 3, 0.0)
    both = [solve(linear_part(circuit, emf)) for emf in (one, other, one + other)]

    pairs, time = pairs_of(circuit), instants(both[0])
    first, second, together = (solution.at_times(pairs, time) for solution in both)
    assert together == pytest.approx(first + second, abs=1e-8)


@FEW
@given(circuits(motors=2))
def test_names_and_directions_of_elements_do_not_matter(circuit: TransientCircuit) -> None:
    """Nodes numbered anew, rows in another order, conductors and capacitors turned round."""
    rng = np.random.default_rng(circuit.nodes)
    new = rng.permutation(circuit.nodes)
    branches, capacitors, draws = circuit.branches, circuit.capacitors, circuit.draws
    order = rng.permutation(len(branches))
    turned = branches.emf_v[order] == 0
    tail, head = new[branches.tail[order]], new[branches.head[order]]
    relabelled = replace(
        circuit,
        branches=type(branches)(
            np.where(turned, head, tail),
            np.where(turned, tail, head),
            branches.ohm[order],
            branches.henry[order],
            branches.emf_v[order],
        ),
        capacitors=replace(capacitors, tail=new[capacitors.head], head=new[capacitors.tail]),
        draws=replace(draws, tail=new[draws.tail], head=new[draws.head]),
        motors=tuple(
            replace(one, tail=int(new[one.tail]), head=int(new[one.head])) for one in circuit.motors
        ),
    )
    first, second = solve(circuit), solve(relabelled)

    pairs, time = pairs_of(circuit), instants(first)
    moved = [(int(new[tail]), int(new[head])) for tail, head in pairs]
    away = np.array([np.abs(time - edge.start_s).min() > 0 for edge in first.segments[:1]])
    assert away.all()
    assert second.at_times(moved, time) == pytest.approx(first.at_times(pairs, time), abs=1e-4)


@FEW
@given(circuits(motors=2))
def test_extremes_bound_every_instant_and_waveforms_hold_between_their_points(
    circuit: TransientCircuit,
) -> None:
    """No instant lies beyond the extremes, they are reached; half way between two points the line is true."""
    solution, pairs = solve(circuit), pairs_of(circuit)

    found = solution.extremes_of(pairs)
    time, volts = solution.voltages(pairs)
    exact = solution.at_times(pairs, instants(solution))
    assert (np.minimum(exact, volts[:, :1]).min(axis=1) >= found.low - 5e-5).all()
    assert (exact.max(axis=1) <= found.high + 5e-5).all()
    assert found.low == pytest.approx(volts.min(axis=1), abs=1.2e-3)
    assert found.high == pytest.approx(volts.max(axis=1), abs=1.2e-3)
    inside = np.flatnonzero(np.diff(time) > 1e-9)
    middle = solution.at_times(pairs, (time[inside] + time[inside + 1]) / 2)
    assert middle == pytest.approx((volts[:, inside] + volts[:, inside + 1]) / 2, abs=1.2e-3)


@FEW
@given(circuits(motors=2))
def test_averages_and_time_below_agree_with_the_waveform(circuit: TransientCircuit) -> None:
    """The integral of straight lines, and the time that they spend below a level."""
    solution, pairs = solve(circuit), pairs_of(circuit)
    time, volts = solution.voltages(pairs, 1e-4)
    end = solution.end_s

    averages = solution.averages(pairs, solution.start_s, end)
    assert averages == pytest.approx(np.trapezoid(volts, time, axis=1) / (end - solution.start_s), abs=2e-4)
    for row in (0, len(pairs) // 2):
        level = float(averages[row])
        below = longest(time, volts[row], level)
        assert solution.longest_below(*pairs[row], level) == pytest.approx(below, abs=2e-4)


def longest(time: Floats, volts: Floats, level: float) -> float:
    """The longest time below a level, of straight lines."""
    best, since = 0.0, None
    for a, b, at, to in zip(volts[:-1], volts[1:], time[:-1], time[1:], strict=True):
        if a < level and since is None:
            since = at
        if (a < level) != (b < level):
            crossing = at + (to - at) * (level - a) / (b - a)
            if b < level:
                since = crossing
            elif since is not None:
                best, since = max(best, crossing - since), None
    return max(best, time[-1] - since) if since is not None else best


def test_reading_one_by_one_is_reading_all_at_once() -> None:
    """Reading k at instant k is the diagonal of all readings at all instants, in every stretch."""
    solution = solve(circuit(SERIES))

    for segment in solution.segments:
        outputs = segment.system.voltages(solution.wiring.paths(np.array([1, 2]), np.array([0, 0])))
        times, readings = np.linspace(segment.start_s, segment.end_s, 4)[1:3], segment.readings(outputs)
        paired = readings.paired(np.arange(2), times)
        for one, every in zip(paired, readings.sloped(times), strict=True):
            assert one == pytest.approx(np.diag(every), rel=1e-9, abs=1e-9)
    assert [segment.kind for segment in solution.segments] == ["before", "closed", "arc", "open"]
