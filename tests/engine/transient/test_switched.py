"""Parts that change their state in an event, against closed forms.

The circuit: 12.6 V behind R and L feeds a node; a resistance is pressed there for 0.3 s; a contact leads on
to a load behind an inductive lead. With everything linear the node's voltage is a sum of exponentials.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from server.engine.network import Loads
from server.engine.transient.circuit import (
    Arc,
    Branches,
    Capacitors,
    MotorDrive,
    TransientCircuit,
    TransientError,
)
from server.engine.transient.solver import solve
from server.engine.transient.switched import Amps, Border, Line, State, Switched, Volts
from tests.engine.transient.energy import balance

E, R_SOURCE, L_SOURCE = 12.6, 0.01, 20e-6
R_PRESSED, L_PRESSED = 0.01, 30e-6
ARC = Arc(18.0, 2e4)
NODE = Volts(((1, 0),))


def pressed(**changes: object) -> MotorDrive:
    """A resistance behind its own contact, pressed for 0.3 s."""
    drive = MotorDrive("pressed", 1, 0, R_PRESSED, L_PRESSED, ARC, press_s=0.0, release_s=0.3)
    return replace(drive, **changes)  # type: ignore[arg-type]


def contact(opens_v: float, takes_s: float, closes_v: float = 1e9, **changes: object) -> Switched:
    """A contact between nodes 1 and 2, opened and closed by the voltage of node 1."""
    closed = State((Border(NODE, opens_v, False, takes_s, 1),))
    opened = State((Border(NODE, closes_v, True, takes_s, 0),), is_open=True)
    return replace(Switched("Relay", (1,), (closed, opened), 0, ARC), **changes)  # type: ignore[arg-type]


def circuit(
    *switched: Switched, motors: tuple[MotorDrive, ...] | None = None, load_ohm: float = 100.0
) -> TransientCircuit:
    """Source, contact, lead of 5 µH, load."""
    return TransientCircuit(
        4,
        Branches.of(
            [
                (0, 1, R_SOURCE, L_SOURCE, E),
                (1, 2, 1e-3, 0.0, 0.0),
                (2, 3, 0.02, 5e-6, 0.0),
                (3, 0, load_ohm, 0.0, 0.0),
            ]
        ),
        Capacitors.of([]),
        Loads.of([]),
        (pressed(),) if motors is None else motors,
        0.5,
        np.full(4, -1),
        switched,
    )


def node_v(time: float) -> float:
    """Node 1 after the press, the small load left out: i rises to E/(R + r) with (L + l)/(R + r)."""
    ohm, henry = R_SOURCE + R_PRESSED, L_SOURCE + L_PRESSED
    amps = E / ohm * (1 - math.exp(-time * ohm / henry))
    rising = E / henry * math.exp(-time * ohm / henry)
    return R_PRESSED * amps + L_PRESSED * rising


def test_a_contact_opens_when_its_voltage_was_too_low_for_as_long_as_it_takes() -> None:
    """12.6·30/50 = 7.56 V at first, falling to 6.3 V: below 7 V after a time of the exponential."""
    crossing = brentq(lambda t: node_v(t) - 7.0, 0.0, 0.1)
    solution = solve(circuit(contact(7.0, 0.01), load_ohm=1e5))

    assert [(one.left, one.to) for one in solution.changes] == [(0, 1)]
    assert solution.changes[0].since_s == pytest.approx(crossing, abs=2e-6)
    assert solution.changes[0].at_s == pytest.approx(crossing + 0.01, abs=2e-6)
    assert solution.at(3, 0, crossing + 0.0099) > 6
    assert solution.at(3, 0, crossing + 0.0101) == pytest.approx(0.0, abs=1e-9)
    assert solution.branch_currents_at(0.2)[1:] == pytest.approx([0.0, 0.0, 0.0], abs=1e-12)


def test_a_dip_shorter_than_it_takes_leaves_it_closed() -> None:
    solution = solve(circuit(contact(7.0, 0.01), motors=(pressed(release_s=0.008),)))

    assert solution.changes == ()


def test_its_current_goes_out_in_the_arc() -> None:
    """L di/dt = v - R i - arc: the lead's 5 µH and the node's 20 and 30 µH in parallel, at 6.3 V open."""
    solution = solve(circuit(contact(7.0, 0.01), load_ohm=0.5))
    opens = solution.changes[0].at_s
    arc = next(one for one in solution.segments if one.kind == "arc" and one.start_s == opens)
    current = solution.branch_currents_at(opens - 1e-9)[2]

    assert current == pytest.approx(6.3 / 0.526, rel=3e-3)
    henry, ohm, against = 5e-6 + 12e-6, 0.526, ARC.volts - 6.3
    assert arc.end_s - opens == pytest.approx(henry / ohm * math.log(1 + current * ohm / against), rel=0.02)
    assert solution.at(1, 2, opens + 1e-9) == pytest.approx(ARC.volts, abs=0.1)
    middle = solution.branch_currents_at((opens + arc.end_s) / 2)
    assert 0.3 * current < middle[2] < 0.7 * current
    assert middle[1] == pytest.approx(middle[2], rel=1e-9)


def test_it_closes_again_when_its_voltage_was_high_for_as_long() -> None:
    solution = solve(circuit(contact(7.0, 0.01, closes_v=11.0)))
    opened, closed = solution.changes

    assert (opened.to, closed.to) == (1, 0)
    assert closed.at_s == pytest.approx(closed.since_s + 0.01)
    assert closed.since_s == pytest.approx(0.3, abs=1e-3)
    assert solution.at(3, 0, 0.49) == pytest.approx(E * 100 / (100 + 0.031), rel=1e-4)


def test_no_energy_is_lost_between_changes() -> None:
    solution = solve(circuit(contact(7.0, 0.01, closes_v=11.0), load_ohm=0.5))

    for segment in solution.segments:
        if segment.kind != "arc":
            found = balance(solution, segment)
            assert abs(found.missing_j) < 1e-4 * max(found.sources_j, 1e-3)


def test_inductances_keep_their_currents_over_a_change() -> None:
    solution = solve(circuit(contact(7.0, 0.01, closes_v=11.0), load_ohm=0.5))

    for change in solution.changes:
        before = solution.branch_currents_at(change.at_s - 1e-10)
        after = solution.branch_currents_at(change.at_s + 1e-10)
        assert after[[0, 2]] == pytest.approx(before[[0, 2]], rel=1e-4, abs=1e-3)


def test_one_that_opens_without_current_draws_no_arc() -> None:
    """Nothing hangs on it: the load's lead ends in the air."""
    bare = replace(
        circuit(contact(7.0, 0.01)),
        branches=Branches.of([(0, 1, R_SOURCE, L_SOURCE, E), (1, 2, 1e-3, 0.0, 0.0)]),
    )
    solution = solve(replace(bare, nodes=3, branch_element=np.full(2, -1)))

    assert len(solution.changes) == 1
    assert [one.kind for one in solution.segments].count("arc") == 1  # the motor's own
    assert np.isnan(solution.at(2, 0, 0.2))
    assert solution.at(2, 0, 0.005) == pytest.approx(solution.at(1, 0, 0.005))


def test_a_contact_that_swings_without_end_is_named_with_its_number_of_changes() -> None:
    """It carries the very current that pulls its voltage down: open it recovers, closed it falls."""
    own = contact(9.0, 0.002, closes_v=9.5)
    with pytest.raises(
        TransientError, match=r"Relay chatters: it has changed its state 12 times by 0\.\d+ s"
    ):
        solve(circuit(own, load_ohm=0.003, motors=(pressed(ohm=1.0),)))


def test_two_borders_that_call_for_each_other_have_no_end() -> None:
    states = (State((Border(NODE, 1.0, True, 0.0, 1),)), State((Border(NODE, 1.0, True, 0.0, 0),)))
    with pytest.raises(TransientError, match="Contrary chatters"):
        solve(circuit(Switched("Contrary", (1,), states, 0, ARC, follows=True)))


SECOND_E, DROP, DIODE_OHM = 12.4, 0.5, 0.002


def with_diode() -> TransientCircuit:
    """A second source behind a diode to node 1."""
    reading = Volts(((4, 1),))
    conducts = State((Border(reading, DROP - 1e-6, False, 0.0, 1),))
    blocks = State((Border(reading, DROP + 1e-6, True, 0.0, 0),), is_open=True)
    rows = [
        (0, 1, R_SOURCE, L_SOURCE, E),
        (0, 4, 0.008, 10e-6, SECOND_E),
        (4, 1, DIODE_OHM, 0.0, -DROP),
    ]
    diode = Switched("Diode", (2,), (conducts, blocks), 1, follows=True)
    return replace(circuit(diode), nodes=5, branches=Branches.of(rows), branch_element=np.full(3, -1))


def test_a_diode_conducts_while_its_anode_is_higher_by_its_drop() -> None:
    """Long after the press both sources share by their resistances; after the release the first one alone."""
    solution = solve(with_diode())

    assert [(one.left, one.to) for one in solution.changes] == [(1, 0), (0, 1)]
    assert solution.changes[0].at_s == pytest.approx(0.0, abs=1e-9)  # 7.56 V at the first instant already
    behind = DIODE_OHM + 0.008
    volts = (E / R_SOURCE + (SECOND_E - DROP) / behind) / (1 / R_SOURCE + 1 / behind + 1 / R_PRESSED)
    assert solution.at(1, 0, 0.299) == pytest.approx(volts, abs=1e-6)
    assert solution.branch_currents_at(0.299)[2] == pytest.approx(
        (SECOND_E - DROP - volts) / behind, rel=1e-6
    )
    assert solution.branch_currents_at(0.45)[2] == 0.0
    ceases = solution.changes[1].at_s
    assert solution.branch_currents_at(ceases - 1e-9)[2] == pytest.approx(0.0, abs=0.1)


SETPOINT, SOURCE_OHM, LIMIT_A = 12.5, 0.01, 40.0
KNEE = SETPOINT - SOURCE_OHM * LIMIT_A
LIMITING_OHM = 20.0


def with_source() -> TransientCircuit:
    """A limited source at node 1: regulating below 40 A, then 20 Ω behind the knee, or nothing."""
    regulates, limits = Line(SOURCE_OHM, SETPOINT), Line(LIMITING_OHM, KNEE + LIMITING_OHM * LIMIT_A)
    posts = Volts(((4, 0),))
    states = (
        State(
            (Border(posts, KNEE - 1e-6, False, 0.0, 1), Border(posts, SETPOINT + 1e-6, True, 0.0, 2)),
            line=regulates,
        ),
        State((Border(posts, KNEE + 1e-6, True, 0.0, 0),), line=limits),
        State((Border(posts, SETPOINT - 1e-6, False, 0.0, 0),), is_open=True),
    )
    rows = [(0, 1, R_SOURCE, L_SOURCE, 12.6), (0, 4, SOURCE_OHM, 0.0, SETPOINT), (4, 1, 1e-3, 2e-6, 0.0)]
    source = Switched("Source", (1,), states, 2, follows=True)
    return replace(circuit(source), nodes=5, branches=Branches.of(rows), branch_element=np.full(3, -1))


def test_a_source_begins_to_deliver_and_stops_at_its_limit() -> None:
    solution = solve(with_source())

    assert [one.to for one in solution.changes][:2] == [0, 1]
    assert solution.changes[-1].to == 2
    behind = LIMITING_OHM + 1e-3
    emf = KNEE + LIMITING_OHM * LIMIT_A
    volts = (E / R_SOURCE + emf / behind) / (1 / R_SOURCE + 1 / behind + 1 / R_PRESSED)
    assert solution.at(1, 0, 0.299) == pytest.approx(volts, abs=1e-6)
    assert solution.branch_currents_at(0.299)[1] == pytest.approx(LIMIT_A, rel=0.01)
    assert solution.at(1, 0, 0.49) == pytest.approx(12.6, abs=1e-6)


def test_the_parts_of_a_changed_lines_voltage_add_up() -> None:
    """v_tail - v_head is the sum of three, by the EMF before."""
    solution = solve(with_source())
    for time in (0.1, 0.45):
        parts = solution.branch_volts(time)
        whole = parts.resistance_v + parts.inductance_v + parts.source_v
        ends = [(0, 1), (0, 4), (4, 1)]
        assert whole == pytest.approx([solution.at(*pair, time) for pair in ends], abs=1e-9)


def test_an_overcurrent_trips_after_its_time_and_the_first_of_two_counts() -> None:
    """I passes 300 A at -(L + l)/(R + r) ln(1 - 300/630); 0.05 s later it is off for good."""
    ohm, henry = R_SOURCE + R_PRESSED, L_SOURCE + L_PRESSED
    passes = -henry / ohm * math.log(1 - 300.0 / (E / ohm))
    on = State((Border(Amps(0), 300.0, True, 0.05, 1), Border(Amps(0), 600.0, True, 0.2, 1)))
    pack = Switched("Pack", (0,), (on, State(is_open=True)), 0, Arc(40.0, 0.0))
    solution = solve(circuit(pack, load_ohm=1e5))

    assert [(one.border.level, one.to) for one in solution.changes] == [(300.0, 1)]
    assert solution.changes[0].at_s == pytest.approx(passes + 0.05, abs=1e-6)
    assert solution.at(1, 0, 0.29) == pytest.approx(0.0, abs=1e-9)
    assert solution.motor_current_at(0, 0.2) == pytest.approx(0.0, abs=1e-9)


def test_a_motor_behind_a_contact_coasts_while_it_is_open_and_takes_its_speed_along() -> None:
    """J s' = -f s - load from one change to the next; then its current rises against its back-EMF."""
    turning = pressed(
        tail=2, ohm=0.2, flux_v=8.0, inertia_j=20.0, load_w=50.0, friction_w=20.0, release_s=0.45
    )
    whole = circuit(contact(7.0, 0.01, closes_v=11.0), motors=(turning, pressed(press_s=0.2, release_s=0.25)))
    bare = Branches.of([(0, 1, R_SOURCE, L_SOURCE, E), (1, 2, 1e-3, 0.0, 0.0)])
    solution = solve(replace(whole, branches=bare, nodes=3, branch_element=np.full(2, -1)))
    opened, closed = solution.changes
    apart = next(one.end_s for one in solution.segments if one.kind == "arc" and one.start_s == opened.at_s)
    time, speed = solution.motor_speed(0)

    before = float(np.interp(apart, time, speed))
    coasted = (before + 2.5) * math.exp(-20.0 / 20.0 * (closed.at_s - apart)) - 2.5
    assert before > 0.5
    assert np.interp(closed.at_s, time, speed) == pytest.approx(coasted, rel=3e-3)
    assert solution.motor_current_at(0, (apart + closed.at_s) / 2) == 0.0
    assert solution.motor_current_at(0, closed.at_s + 2e-3) == pytest.approx(
        (E - 8 * coasted) / 0.211, rel=0.02
    )


def test_a_solenoids_own_coil_opens_the_motors_contact_and_closes_it_again() -> None:
    """Open, the node recovers at once, so it pulls in after the time it takes: 4 ms apart."""
    own = Switched(
        "Solenoid",
        (),
        (
            State((Border(NODE, 7.0, False, 0.004, 1),)),
            State((Border(NODE, 11.0, True, 0.004, 0),), is_open=True),
        ),
        0,
        ARC,
        motors=(0,),
    )
    solution = solve(circuit(own, motors=(pressed(release_s=0.02),)))

    assert [one.to for one in solution.changes] == [1, 0, 1, 0]
    lets_go, pulls_in = solution.changes[:2]
    assert pulls_in.at_s - lets_go.at_s == pytest.approx(0.004, abs=5e-4)
    assert solution.motor_current_at(0, pulls_in.at_s - 1e-4) == 0.0
    assert solution.motor_current_at(0, pulls_in.at_s + 2e-3) > 100
    released = solution.arc_end(0)
    assert released is not None
    assert solution.motor_current_at(0, 0.3) == 0.0


def test_a_motor_pressed_while_its_way_is_open_waits() -> None:
    """The second is pressed at 0.05 s behind the open contact: it turns only when that closes again."""
    first, second = pressed(release_s=0.1), pressed(tail=2, press_s=0.05, release_s=0.4, ohm=1.0)
    whole = circuit(contact(7.0, 0.01, closes_v=11.0), motors=(first, second))
    bare = Branches.of([(0, 1, R_SOURCE, L_SOURCE, E), (1, 2, 1e-3, 0.0, 0.0)])
    solution = solve(replace(whole, branches=bare, nodes=3, branch_element=np.full(2, -1)))
    closed = solution.changes[1]

    assert solution.motor_current_at(1, 0.08) == 0.0
    assert closed.to == 0
    assert solution.motor_current_at(1, closed.at_s + 0.05) == pytest.approx(E / 1.011, rel=1e-4)


def test_a_coil_that_lets_go_while_the_arc_of_the_release_burns_changes_nothing() -> None:
    """The arc lifts the node above 12.7 V; 10 µs of that open the contact that is opening already."""
    states = (State((Border(NODE, 12.7, True, 1e-5, 1),)), State(is_open=True))
    own = Switched("Solenoid", (), states, 0, ARC, motors=(0,))
    with_coil, without = solve(circuit(own)), solve(circuit())

    assert [one.to for one in with_coil.changes] == [1]
    assert 0.3 < with_coil.changes[0].at_s < (without.arc_end(0) or 0.0)
    assert with_coil.arc_end(0) == pytest.approx(without.arc_end(0), abs=1e-9)


def test_both_poles_of_a_contact_open_into_arcs_and_leave_an_island_with_volts_of_its_own() -> None:
    """Its capacitor runs down through the load: C R = 1 ms; against the rest it has no volts."""
    two = contact(7.0, 0.01, rows=(1, 4))
    base = circuit(two)
    rows = Branches.of(
        [
            (0, 1, R_SOURCE, L_SOURCE, E),
            (1, 2, 1e-3, 0.0, 0.0),
            (2, 3, 0.02, 5e-6, 0.0),
            (3, 5, 1.0, 0.0, 0.0),
            (5, 4, 1e-3, 0.0, 0.0),
            (4, 0, 0.02, 5e-6, 0.0),
        ]
    )
    held = Capacitors.of([(3, 5, 1e-3, 0.01)])
    solution = solve(replace(base, nodes=6, branches=rows, capacitors=held, branch_element=np.full(6, -1)))
    arcs = [one for one in solution.segments if one.kind == "arc"]
    apart = max(one.end_s for one in arcs if one.start_s < 0.1)

    early, late = solution.at_times([(3, 5)], apart + np.array([1e-4, 1.1e-3]))[0]
    assert early / late == pytest.approx(math.exp(1e-3 / 1.01e-3), rel=1e-3)
    assert np.isnan(solution.at(3, 0, 0.2))
    parts = solution.branch_volts(0.2)
    loop = parts.resistance_v + parts.inductance_v + parts.source_v
    assert loop[[1, 2, 3, 4, 5]].sum() == pytest.approx(-loop[0], abs=1e-9)


def test_where_the_old_states_lead_to_no_solution_the_change_before_it_is_found() -> None:
    """300 W without a cut-out cannot live on 2 V; the contact opens before the slow press gets there."""
    slow = pressed(ohm=1e-3, leakage_henry=2e-3)
    held = Capacitors.of([(1, 0, 1e-2, 0.001)])
    endless = replace(circuit(motors=(slow,)), draws=Loads.of([(1, 0, 300.0, 1.0, 0.0)]), capacitors=held)
    opened = contact(6.0, 1e-3, rows=(), motors=(0,))

    with pytest.raises(TransientError, match="no voltage"):
        solve(endless)
    with pytest.raises(TransientError, match="no voltage"):
        solve(replace(endless, switched=(contact(0.1, 1e-3),)))
    solution = solve(replace(endless, switched=(opened,)))
    assert [one.to for one in solution.changes] == [1]
    assert solution.at(1, 0, 0.45) > 11


def test_what_cannot_happen_before_the_end_is_not_looked_for() -> None:
    own = contact(7.0, 0.6).within(0.51)

    assert not own.moves
    assert contact(7.0, 0.4).within(0.51).moves
    assert solve(circuit(own)).changes == ()
