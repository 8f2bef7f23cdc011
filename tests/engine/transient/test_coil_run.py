"""Coils let go in the boat's own wiring, against the closed forms of the coil alone and against the circuit.

What a coil's kick is and how long its current falls is held against published measurements in
``test_coil_release``; here the same coil hangs in a boat, whose leads have milliohms and microhenries.
"""

from typing import Any

import numpy as np
import pytest

from server.boat.boat import Boat
from server.boat.modes import Mode
from server.engine.solution import Solution
from server.engine.transient.coil_model import UNSUPPRESSED_V, CoilModel, CoilSolution
from server.engine.transient.coil_release import coil_releases
from server.engine.transient.coil_run import CoilLetGo, coils_let_go
from server.engine.transient.coils import every_coil
from server.engine.transient.solver import solve
from tests.engine.transient.simulator.opinion import opinion
from tests.engine.transient.test_followed import contactor, solenoid

HENRY = 0.05
SUPPRESSED: dict[str, dict[str, Any]] = {
    "diode": {"kind": "diode"},
    "varistor": {"kind": "varistor", "clamp_v": 30.0},
    "zener": {"kind": "diode-and-zener", "clamp_v": 24.0},
    "resistor": {"kind": "resistor", "resistance_ohm": 68.0},
}


def with_coil(suppression: dict[str, Any] | None, inductance_h: float | None = HENRY) -> Boat:
    """The small boat with a contactor whose coil takes 1 A at 12 V, on the battery switch."""
    body = contactor(hold_v=8.0).model_dump(mode="json", exclude_none=True)
    coil = next(one for one in body["parts"] if one["id"] == "contactor")["coil"]
    coil |= {} if suppression is None else {"suppression": suppression}
    coil |= {} if inductance_h is None else {"inductance_h": inductance_h}
    return Boat.model_validate(body, strict=False)


def let_go(boat: Boat) -> CoilLetGo:
    (found,) = coils_let_go(boat, "starting")
    return found


def model(boat: Boat) -> CoilModel:
    solution = Solution.of(boat, "starting")
    (coil,) = every_coil(boat, solution.net)
    solved = CoilSolution.of(solution, coil)
    assert solved is not None
    return CoilModel(solution, solved)


@pytest.mark.parametrize("kind", SUPPRESSED)
def test_in_the_boat_a_suppressed_coil_does_what_it_does_alone(kind: str) -> None:
    """Kick and fall of the closed form at 12 V; the boat's coil carries 12.7 V, so a resistor takes 5 % more.

    A diode's or varistor's line adds 10 mV per ampere.
    """
    boat = with_coil(SUPPRESSED[kind])
    (alone,) = coil_releases(boat)
    assert alone.kick_v is not None
    assert alone.falls_s is not None
    share = 12.67 / 12.0

    found = let_go(boat)

    assert not found.is_bare
    assert found.kick_v == pytest.approx(alone.kick_v * (share if kind == "resistor" else 1.0), rel=0.02)
    assert found.falls_s == pytest.approx(alone.falls_s.value, rel=0.05)


def test_a_bare_coils_contact_holds_what_is_reported_at_most() -> None:
    """L di/dt = -(1,500 - 12.7 + i R): 1,487 V across it, its current down to a tenth in 32 µs."""
    found = let_go(with_coil(None))

    assert found.is_bare
    assert found.kick_v == pytest.approx(UNSUPPRESSED_V - 12.7, rel=1e-3)
    assert found.falls_s == pytest.approx(0.9 * HENRY * 1.05 / 1494.0, rel=0.01)


def test_pressed_a_coil_fills_with_its_time_constant() -> None:
    """The current is V/R (1 - e^{-t R/L}) (any textbook: R-L circuit); its leads are a thousandth of that."""
    of = model(with_coil(SUPPRESSED["diode"]))
    solution, tau = solve(of.circuit()), HENRY / of.ohm
    times = tau * np.array([0.1, 0.5, 1.0, 2.0, 5.0])
    at, amps = solution.branch_current(of.coil_branch)

    settled = float(np.interp(of.release_s * 0.999, at, amps))
    assert of.ohm == pytest.approx(12.0)
    assert np.interp(times, at, amps) == pytest.approx(settled * -np.expm1(-times / tau), abs=2e-3)


def test_an_inductance_that_nobody_states_follows_from_the_assumed_time_constant() -> None:
    of = model(with_coil(None, None))

    assert of.henry == pytest.approx(of.own.level("coil_inductance_time", "contactor").value * 12.0)


def test_a_solenoid_of_a_heavy_load_is_a_coil_too() -> None:
    (found,) = coils_let_go(solenoid(), "starting")

    assert (found.key, found.load) == (("starter", "solenoid"), "Plotter")
    assert 0.05 < found.moved_v < 2.0


def test_a_coil_that_is_not_fed_is_left_out_and_one_alone_moves_nobody() -> None:
    boat = with_coil(SUPPRESSED["diode"])
    quiet = boat.model_copy(update={"modes": (boat.modes[0].model_copy(update={"on": ()}), *boat.modes[1:])})

    assert coils_let_go(boat.model_copy(update={"modes": (_off(boat),)}), "starting") == ()
    (alone,) = coils_let_go(quiet, "starting")
    assert (alone.load, alone.moved_v) == ("", 0.0)


def _off(boat: Boat) -> Mode:
    """The boat's mode with the battery switch off."""
    positions = [{"part": "switch", "position": "off"}]
    return Mode.model_validate(
        {**boat.modes[0].model_dump(mode="json", exclude_none=True), "positions": positions}, strict=False
    )


def test_the_simulator_lets_a_coil_go_as_we_do() -> None:
    """A coil with a resistor beside it, pressed and let go: across the coil, and at the plotter."""
    of = model(with_coil(SUPPRESSED["resistor"], 0.01))
    circuit = of.circuit()
    row = int(of.draw_rows[0])
    plotter = int(of.numbers[of.network.tail[row]]), int(of.numbers[of.network.head[row]])
    pairs = [of.across, plotter]
    away = np.concatenate([np.linspace(0.05, 0.95, 30), 1 + np.linspace(0.002, 0.9, 30)]) * of.release_s

    told = opinion("coil-let-go", circuit, pairs, np.array([0.0, of.release_s]), away)

    assert solve(circuit).at_times(pairs, away) == pytest.approx(told.sampled, abs=0.01)
