"""What an event in time does with odd circuits: loose parts, ties, loops without inductance."""

import math
from dataclasses import replace

import numpy as np
import pytest

from server.engine.network import Loads
from server.engine.transient.circuit import (
    Arc,
    Branches,
    Capacitors,
    MotorDrive,
    TransientCircuit,
    TransientError,
    Winding,
)
from server.engine.transient.solver import solve
from tests.engine.transient.loops import BATTERY, LEAD, MOTOR, circuit


def test_parts_without_a_source_have_no_voltage_and_are_named() -> None:
    """A loop of its own, a draw with one side loose, and a motor on the dead part; the rest is solved."""
    plan = circuit(
        MOTOR,
        replace(MOTOR, name="Windlass", tail=3),
        branches=(BATTERY, LEAD, (3, 4, 0.01, 1e-6, 0.0)),
        capacitors=((3, 4, 1e-3, 0.01), (2, 3, 1e-3, 0.01)),
        draws=((2, 3, 10.0, 1.0, 9.0),),
    )
    solution = solve(plan)

    assert math.isnan(solution.at(3, 4, 0.1))
    assert math.isnan(solution.longest_below(3, 0, 9.0))
    assert np.isnan(solution.between(3, 0)[1]).all()
    assert np.isnan(solution.extremes(3, 4)).all()
    assert solution.at(2, 0, 0.3) == pytest.approx(6.0, abs=1e-6)
    current = solution.branch_currents_at(0.3)
    assert current[:2] == pytest.approx([300.0, 300.0])
    assert np.isnan(current[2])
    assert np.isnan(solution.branch_volts(0.3).resistance_v).tolist() == [False, False, True]
    assert not solution.motor_current(1)[1].any()
    assert solution.arc_end(1) is None
    assert [trouble.split(":")[0] for trouble in solution.troubles] == [
        "nodes 3 and 4",
        "capacitors 0 and 1",
        "draw 0",
        "Windlass",
    ]


def test_instants_outside_of_the_event_have_no_value() -> None:
    """The answer begins 10 ms before the press and ends where it was asked to."""
    solution = solve(circuit(MOTOR))

    times = np.array([-0.02, -0.01, 1.0, 1.01])
    assert np.isnan(solution.at_times([(2, 0)], times)[0]).tolist() == [True, False, False, True]
    assert (solution.start_s, solution.end_s) == (-0.01, 1.0)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"draws": ((2, 0, 10.0, 1.0, 9.0),)}, "draw 0 has no capacitor across its two nodes"),
        ({"branches": (BATTERY, LEAD, (1, 2, 0.0, 1e-6, 0.0), (2, 1, 0.0, 1e-6, 0.0))}, "branch 3 closes"),
        (
            {"capacitors": ((2, 0, 1e-3, 0.0), (0, 2, 1e-3, 0.0))},
            "capacitor 1 closes a loop without resistance or",
        ),
    ],
)
def test_what_cannot_be_solved_is_refused_by_name(
    change: dict[str, tuple[tuple[float, ...], ...]], message: str
) -> None:
    """A draw without a capacitor, and loops that nothing limits."""
    with pytest.raises(TransientError, match=message):
        solve(circuit(MOTOR, **change))  # type: ignore[arg-type]


def test_motors_that_cannot_be_solved_are_refused_by_name() -> None:
    """Without inductance, inertia or an arc's voltage."""
    bare = tuple((*row[:3], 0.0, row[4]) for row in (BATTERY, LEAD))
    with pytest.raises(TransientError, match="Winch: nothing in its circuit has inductance"):
        solve(circuit(replace(MOTOR, leakage_henry=0.0), branches=bare))
    with pytest.raises(TransientError, match="Winch: its inertia is not above zero"):
        solve(circuit(replace(MOTOR, inertia_j=0.0)))
    with pytest.raises(TransientError, match="Winch: its opening contact holds no voltage"):
        solve(circuit(replace(MOTOR, arc=Arc(0.0, 0.0))))


def behind_half_an_ohm(
    *motors: MotorDrive, watts: float, cut_out_v: float = 0.0, esr_ohm: float = 0.01
) -> None:
    """Solve 12 V behind 0.48 Ω that feed constant power, and motors beside it."""
    solve(
        circuit(
            *motors,
            branches=((0, 1, 0.48, 1e-6, 12.0),),
            capacitors=((1, 0, 1e-3, esr_ohm),),
            draws=((1, 0, watts, 1.0, cut_out_v),),
        )
    )


def test_draws_that_no_voltage_satisfies_are_refused() -> None:
    """Constant power without a cut-out: above 75 W (E²/4R) there is no voltage for it.

    With a motor that takes it below what it needs, it collapses on the way; so it does behind a capacitor's
    resistance of 1 Ω.
    """
    motor = replace(MOTOR, tail=1)
    with pytest.raises(TransientError, match=r"draw 0: no voltage is left to run on$"):
        behind_half_an_ohm(watts=76.0)
    with pytest.raises(TransientError, match=r"no voltage settles at .* draw 0"):
        behind_half_an_ohm(motor, watts=70.0)
    with pytest.raises(TransientError, match="draw 0: no voltage is left to run on at"):
        behind_half_an_ohm(replace(motor, ohm=0.0), watts=1e-3)
    with pytest.raises(TransientError, match=r"no voltage settles at .* draw 0"):
        behind_half_an_ohm(motor, watts=70.0, cut_out_v=5.0, esr_ohm=1.0)


def test_a_contact_that_opens_on_no_current_draws_no_arc() -> None:
    """A motor that turns without load at the battery's own voltage carries nothing."""
    motor = replace(MOTOR, flux_v=12.0, inertia_j=0.01, release_s=0.9)

    solution = solve(circuit(motor))

    assert [segment.kind for segment in solution.segments] == ["before", "closed", "open"]
    assert solution.arc_end(0) is None
    assert solution.motor_speed(0)[1][-1] == pytest.approx(1.0, rel=1e-6)


def test_an_arc_that_supply_can_feed_burns_to_the_end() -> None:
    """An arc of 5 V on 12 V never goes out: the current settles at (12 - 5)/R."""
    solution = solve(circuit(replace(MOTOR, arc=Arc(5.0, 0.0))))

    assert solution.segments[-1].kind == "arc"
    assert solution.motor_current_at(0, 0.99) == pytest.approx(7.0 / 0.04, rel=1e-6)
    assert not solution.motor_speed(0)[1].any()


def test_a_motor_pressed_after_the_end_or_not_at_all_changes_nothing() -> None:
    """Without a press there is only the time before."""
    for motors in ((), (replace(MOTOR, press_s=2.0, release_s=3.0),)):
        solution = solve(circuit(*motors))

        assert [segment.kind for segment in solution.segments] == ["before"]
        assert solution.extremes(2, 0)[::2] == pytest.approx((12.0, 12.0), rel=1e-12)
        assert solution.longest_below(2, 0, 12.5) == pytest.approx(solution.end_s - solution.start_s)
        assert solution.average(2, 0, 0.1, 0.2) == pytest.approx(12.0)


def test_ideal_ties_carry_what_kirchhoff_says() -> None:
    """A tie of 0.1 µΩ is one node; its current is the motor's, the draw's and the capacitor's together."""
    plan = circuit(
        MOTOR,
        branches=(BATTERY, (1, 3, 0.01, 9e-6, 0.0), (3, 2, 1e-7, 0.0, 0.0), (4, 2, 1e-7, 0.0, 0.0)),
        capacitors=((2, 0, 1e-3, 0.01),),
        draws=((4, 0, 20.0, 1.0, 5.0),),
    )
    solution = solve(plan)

    for t in (-0.005, 1e-4, 0.4):
        current = solution.branch_currents_at(t)
        volts = solution.at(4, 0, t)
        assert current[2] == pytest.approx(current[1], abs=1e-9)
        assert current[3] == pytest.approx(-20.0 / volts, rel=1e-4)
        assert solution.at(3, 4, t) == pytest.approx(0.0, abs=1e-12)
    assert solution.branch_volts(0.1).resistance_v[2] == 0.0
    assert solution.branch_current(2)[1].max() > 290.0


def test_loops_without_inductance_share_by_resistance() -> None:
    """Two joints side by side and a resistive load across a capacitor: no state of their own."""
    plan = circuit(
        MOTOR,
        branches=(
            BATTERY,
            (1, 3, 0.01, 9e-6, 0.0),
            (3, 2, 0.002, 0.0, 0.0),
            (2, 3, 0.006, 0.0, 0.0),
            (2, 0, 5.0, 0.0, 0.0),
        ),
        capacitors=((2, 0, 1e-3, 0.01), (2, 0, 1e-3, 0.03)),
        draws=((2, 0, 30.0, 1.0, 0.0), (0, 2, -1.0, 0.0, 0.0)),
    )
    solution = solve(plan)

    current = solution.branch_currents_at(2e-4)
    assert current[2] == pytest.approx(-3 * current[3], rel=1e-9)
    assert current[4] == pytest.approx(solution.at(2, 0, 2e-4) / 5.0, rel=1e-9)


def test_a_source_shorted_upon_itself_and_an_idle_branch_do_no_harm() -> None:
    """Both ends on one node: the source carries E/R, a conductor nothing."""
    plan = circuit(MOTOR, branches=(BATTERY, LEAD, (1, 1, 0.5, 1e-6, 6.0), (2, 2, 0.5, 1e-6, 0.0)))

    solution = solve(plan)

    assert solution.branch_currents_at(0.2)[2:] == pytest.approx([12.0, 0.0])
    assert solution.at(2, 0, 0.4) == pytest.approx(6.0, abs=1e-9)


@pytest.mark.parametrize("winding", ["permanent-magnet", "series"])
def test_a_motor_stalled_by_another_stands_and_starts_again(winding: Winding) -> None:
    """Alone it has 12 V/40 mΩ = 300 A at standstill, beside a stalled twin 200 A: 240 A would be its load."""
    weak = replace(MOTOR, winding=winding, flux_v=10.0, flux_ohm=10.0 / 240.0, load_w=2400.0, inertia_j=5.0)
    twin = replace(MOTOR, name="Windlass", press_s=0.2, release_s=0.3)
    solution = solve(circuit(weak, twin))

    running, stopped, again = np.interp([0.15, 0.25, 0.49], *solution.motor_speed(0))
    assert running == pytest.approx(0.24, rel=1e-3)
    assert stopped == 0.0
    assert solution.motor_current_at(0, 0.29) == pytest.approx(200.0, rel=1e-4)
    assert again == pytest.approx(0.24, rel=1e-3)
    assert solution.motor_current_at(0, 0.49) == pytest.approx(240.0, rel=1e-4)


def test_two_motors_released_at_once_burn_two_arcs() -> None:
    """Each goes out when its own current is gone; before, their lead's current is the sum of both."""
    twin = replace(MOTOR, name="Windlass", leakage_henry=60e-6)
    solution = solve(circuit(MOTOR, twin))

    first, second = solution.arc_end(0), solution.arc_end(1)
    assert first is not None
    assert second is not None
    assert 0.5 < first < second
    both = solution.motor_current_at(0, 0.3) + solution.motor_current_at(1, 0.3)
    assert solution.branch_currents_at(0.3)[1] == pytest.approx(both, rel=1e-12)


def test_equal_arcs_go_out_together() -> None:
    """Twins share the current evenly, so that both are gone at one instant: then nothing is left to march."""
    solution = solve(circuit(MOTOR, replace(MOTOR, name="Twin")))

    assert solution.arc_end(0) == pytest.approx(solution.arc_end(1), abs=1e-9)
    assert solution.at(2, 0, 0.6) == pytest.approx(12.0, abs=1e-9)


def test_a_growing_oscillation_is_followed_into_the_cut_out() -> None:
    """Constant power behind too small a capacitor (R/L < P/(C·v²)) rings without end, down to the cut-out."""
    plan = circuit(
        replace(MOTOR, release_s=0.02),
        branches=(BATTERY, LEAD, (2, 3, 0.002, 10e-6, 0.0)),
        capacitors=((3, 0, 300e-6, 0.002),),
        draws=((3, 0, 120.0, 1.0, 9.0),),
        end_s=0.06,
    )
    solution = solve(plan)

    first, later = (solution.extremes(3, 0, since_s=at, until_s=at + 0.01) for at in (0.04, 0.05))
    assert first[2] - first[0] > 0.5
    assert later[2] - later[0] == pytest.approx(first[2] - first[0], rel=0.01)


def test_electronics_that_swing_without_end_are_refused_by_name() -> None:
    """R/L < P/(C·v²): 20 mΩ over 40 µH is 500/s, 20 W over 10 µF and 12 V squared is 13,900/s."""
    swinging = TransientCircuit(
        nodes=2,
        branches=Branches.of([(0, 1, 0.02, 4e-5, 12.5)]),
        capacitors=Capacitors.of([(1, 0, 1e-5, 1e-3)]),
        draws=Loads.of([(1, 0, 20.0, 1.0, 9.0)]),
        motors=(replace(MOTOR, tail=1, head=0, ohm=0.5, release_s=4.0),),
        end_s=5.0,
    )

    with pytest.raises(TransientError, match=r"draw 0: it swings without end"):
        solve(swinging)


def test_the_trees_of_a_circuit_solved_before_serve_one_of_the_same_graph() -> None:
    """Any spanning tree gives Kirchhoff's loops: neither other figures nor another graph are held to it."""

    def fed(feeder: tuple[float, ...]) -> TransientCircuit:
        capacitors, draws = ((3, 0, 2e-3, 0.006),), ((3, 0, 60.0, 1.0, 10.5),)
        return circuit(MOTOR, branches=(BATTERY, LEAD, feeder), capacitors=capacitors, draws=draws)

    first = solve(fed((2, 3, 0.02, 10e-6, 0.0)))
    alike, other = fed((2, 3, 0.5, 1e-3, 0.0)), fed((1, 3, 0.02, 10e-6, 0.0))
    times = np.linspace(0.0, 0.6, 100)

    for plan in (alike, other):
        anew = solve(plan).at_times([(2, 0), (3, 0)], times)
        again = solve(plan, like=first.wiring).at_times([(2, 0), (3, 0)], times)
        assert again == pytest.approx(anew, abs=1e-9)
    assert solve(alike, like=first.wiring).wiring.forest is first.wiring.forest
