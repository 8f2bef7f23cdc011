"""Contacts that join something new on the way, against closed forms.

12.6 V behind R and L feeds node 1; a contact, open at first, leads to node 2, and a lead on to node 3.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from server.engine.network import Loads
from server.engine.transient.circuit import Arc, Branches, Capacitors, MotorDrive, TransientCircuit
from server.engine.transient.solver import solve
from server.engine.transient.switched import Border, Clock, State, Switched, Volts

E, R_SOURCE, L_SOURCE = 12.6, 0.01, 20e-6
R_CONTACT, R_LEAD, L_LEAD = 1e-3, 0.02, 5e-6
FARAD, ESR = 1e-3, 0.01
ARC = Arc(18.0, 2e4)
CLOSES_S = 0.1


def by_steps(rows: tuple[int, ...], *opens: tuple[int, ...], at_s: Sequence[float] = (CLOSES_S,)) -> Switched:
    """A contact whose branches are open as told, one state after the other."""
    states = [
        State(tuple(Border(Clock(), t, True, 0.0, k + 1) for t in at_s[k : k + 1]), opens=open_rows)
        for k, open_rows in enumerate(opens)
    ]
    return Switched("Switch", rows, tuple(states), 0, ARC)


def circuit(
    *switched: Switched,
    rows: Sequence[tuple[float, ...]] = (),
    held: Sequence[tuple[float, ...]] = ((3, 0, FARAD, ESR),),
    draws: Sequence[tuple[float, ...]] = (),
    motors: tuple[MotorDrive, ...] = (),
) -> TransientCircuit:
    """Source, contact, lead, an input capacitor behind it; more branches and draws."""
    own = [(0, 1, R_SOURCE, L_SOURCE, E), (1, 2, R_CONTACT, 0.0, 0.0), (2, 3, R_LEAD, L_LEAD, 0.0), *rows]
    pressed = MotorDrive("pressed", 1, 0, 50.0, 1e-6, ARC, press_s=0.0, release_s=0.01)
    return TransientCircuit(
        4,
        Branches.of(own),
        Capacitors.of(held),
        Loads.of(draws),
        (pressed, *motors),
        0.3,
        np.full(len(own), -1),
        switched or (by_steps((1,), (1,), ()),),
    )


def test_an_empty_capacitor_is_charged_through_its_leads_when_a_contact_closes() -> None:
    """R-L-C: v = E (1 - e^-at (cos wt + a/w sin wt)), a = R/2L, w² = 1/LC - a² (any textbook)."""
    solution = solve(circuit(draws=[(3, 0, 0.0, 0.0, 0.0)]))
    ohm, henry = R_SOURCE + R_CONTACT + R_LEAD + ESR, L_SOURCE + L_LEAD
    a = ohm / 2 / henry
    w = math.sqrt(1 / henry / FARAD - a * a)

    def stored(t: float) -> float:
        return E * (1 - math.exp(-a * t) * (math.cos(w * t) + a / w * math.sin(w * t)))

    def amps(t: float) -> float:
        return E / w / henry * math.exp(-a * t) * math.sin(w * t)

    assert solution.at(3, 0, 0.05) == pytest.approx(0.0, abs=1e-9)
    for t in (1e-5, 1e-4, 5e-4, 2e-3):
        assert solution.at(3, 0, CLOSES_S + t) == pytest.approx(stored(t) + ESR * amps(t), abs=1e-6)
        assert solution.branch_currents_at(CLOSES_S + t)[1] == pytest.approx(amps(t), abs=1e-4)
    assert solution.extremes(3, 0)[2] > 1.4 * E


def test_electronics_that_were_dead_run_once_they_are_fed() -> None:
    """60 W below a cut-out of 9 V are a resistance; fed, v² - E v + P R = 0 has the higher root."""
    solution = solve(circuit(draws=[(3, 0, 60.0, 1.0, 9.0)]))
    ohm = R_SOURCE + R_CONTACT + R_LEAD
    root = (E + math.sqrt(E * E - 4 * 60.0 * ohm)) / 2

    assert solution.at(3, 0, 0.05) == pytest.approx(0.0, abs=1e-9)
    assert solution.at(3, 0, 0.29) == pytest.approx(root, abs=1e-6)


def test_a_dead_section_with_a_lamp_is_at_rest_without_volts() -> None:
    lamp, draw = (3, 0, 2.0, 0.0, 0.0), (3, 0, 60.0, 1.0, 9.0)
    solution = solve(circuit(rows=[lamp], draws=[draw]))

    assert solution.at(3, 0, 0.05) == pytest.approx(0.0, abs=1e-9)
    behind = R_SOURCE + R_CONTACT + R_LEAD
    volts = solution.at(3, 0, 0.29)
    assert (E - volts) / behind == pytest.approx(volts / 2.0 + 60.0 / volts, rel=1e-6)


def test_closed_and_opened_again_it_keeps_what_its_capacitor_holds() -> None:
    """A resistance of 100 Ω empties it: e^-t/RC."""
    on_and_off = by_steps((1,), (1,), (), (1,), at_s=(0.1, 0.2))
    solution = solve(circuit(on_and_off, rows=[(3, 0, 100.0, 0.0, 0.0)]))

    early, late = solution.at(3, 0, 0.21), solution.at(3, 0, 0.29)
    assert [one.to for one in solution.changes] == [1, 2]
    assert early > 10
    assert early / late == pytest.approx(math.exp(0.08 / (100.0 + ESR) / FARAD), rel=1e-6)


def test_a_contact_that_changes_over_opens_into_an_arc_and_joins_the_other_at_once() -> None:
    """A lamp of 1 Ω goes from the first source to one of 10 V; after L/R its current is that source's."""
    other = [(0, 2, 0.05, 3e-6, 10.0), (3, 0, 1.0, 0.0, 0.0)]
    over = by_steps((1, 3), (3,), (1,))
    solution = solve(circuit(over, rows=other, held=()))

    before, after = solution.branch_currents_at(0.09), solution.branch_currents_at(0.2)
    assert before[1] == pytest.approx(E / (R_SOURCE + R_CONTACT + R_LEAD + 1.0), rel=1e-6)
    assert (before[3], after[1]) == (0.0, 0.0)
    assert after[3] == pytest.approx(10.0 / (0.05 + R_LEAD + 1.0), rel=1e-6)
    assert any(one.kind == "arc" and one.start_s == CLOSES_S for one in solution.segments)


def test_a_motor_behind_a_contact_that_closes_later_starts_then() -> None:
    """Pressed at 0.05 s it has no supply; from 0.1 s on i rises to E/R with L/R."""
    waits = MotorDrive("waits", 3, 0, 0.5, 1e-3, ARC, press_s=0.05, release_s=1.0)
    solution = solve(circuit(motors=(waits,), held=()))
    ohm, henry = R_SOURCE + R_CONTACT + R_LEAD + 0.5, L_SOURCE + L_LEAD + 1e-3

    assert solution.troubles == ()
    assert solution.motor_current_at(1, 0.09) == 0.0
    for t in (5e-4, 2e-3, 0.1):
        wanted = E / ohm * (1 - math.exp(-t * ohm / henry))
        assert solution.motor_current_at(1, CLOSES_S + t) == pytest.approx(wanted, rel=1e-6)


def test_a_coil_that_wakes_pulls_its_contact_in_after_the_time_it_takes() -> None:
    """The switch feeds the coil at node 3, whose contact brings a resistance in 15 ms later."""
    coil = Volts(((3, 0),))
    pulls = Switched(
        "Contactor",
        (4,),
        (
            State((Border(coil, 4.0, False, 0.01, 1),)),
            State((Border(coil, 8.0, True, 0.015, 0),), is_open=True),
        ),
        1,
        ARC,
    )
    rows = [(3, 0, 30.0, 0.0, 0.0), (1, 0, 2.0, 0.0, 0.0)]
    solution = solve(circuit(by_steps((1,), (1,), ()), pulls, rows=rows, held=()))

    assert [(one.number, one.to) for one in solution.changes] == [(0, 1), (1, 0)]
    assert solution.changes[1].at_s == pytest.approx(CLOSES_S + 0.015, abs=1e-4)
    assert solution.branch_currents_at(0.2)[4] == pytest.approx(12.6 / 2.0, rel=0.01)


def test_what_no_state_joins_stays_left_out() -> None:
    never = Switched("Never", (1,), (State(is_open=True),), 0, ARC)
    solution = solve(circuit(never, draws=[(3, 0, 60.0, 1.0, 9.0)]))

    assert np.isnan(solution.at(3, 0, 0.2))
    assert any("draw 0: left out" in one for one in solution.troubles)


def test_trees_are_not_shared_with_a_circuit_that_may_join_more() -> None:
    whole = circuit(draws=[(3, 0, 60.0, 1.0, 9.0)])
    never = replace(whole, switched=(Switched("Never", (1,), (State(is_open=True),), 0, ARC),))
    again = solve(whole, like=solve(never).wiring)

    assert again.at(3, 0, 0.29) == pytest.approx(solve(whole).at(3, 0, 0.29), abs=1e-9)
