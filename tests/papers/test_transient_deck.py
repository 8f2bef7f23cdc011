"""The deck of an event in time: what it states, and that it is the circuit's elements."""

import re

import pytest

from server.papers.transient_deck import NORMAL, Stepping, transient_deck
from tests.engine.transient.strategies import random_circuit


def test_every_element_of_the_circuit_stands_in_the_deck_with_its_figures() -> None:
    circuit = random_circuit(1, motors=2)

    text = transient_deck(circuit, "Two motors")

    rows = circuit.branches
    assert _values(text, r"R(\d+)") == pytest.approx(rows.ohm.tolist())
    assert _values(text, r"L(\d+)") == pytest.approx([henry for henry in rows.henry.tolist() if henry])
    assert _values(text, r"V(\d+)") == pytest.approx([emf for emf in rows.emf_v.tolist() if emf])
    assert _values(text, r"C(\d+)") == pytest.approx(circuit.capacitors.farad.tolist())
    assert len(re.findall(r"^Bdraw\d+ ", text, re.MULTILINE)) == len(circuit.draws)
    assert _values(text, r"Cspeed(\d+)") == pytest.approx([motor.inertia_j for motor in circuit.motors])


def test_a_contact_moves_around_its_instants_and_the_arc_grows() -> None:
    """A supply of 18 V begins to drive a current half of its fall before the instant.

    From release on the arc holds its voltage and its slope times the time since.
    """
    motor = random_circuit(0).motors[0]

    text = transient_deck(random_circuit(0), "One motor")

    held = re.findall(r"PWL\((.*)\)", text)[0].split()
    times, volts = [float(t) for t in held[::2]], [float(v) for v in held[1::2]]
    lead, half = NORMAL.lead_in_s, NORMAL.ramp_s / 2
    conducts = NORMAL.ramp_s * 9.0 / 100.0  # falling from 100 V, it holds 9 V at the instant
    assert times[1:5] == pytest.approx(
        [
            motor.press_s + lead + conducts - NORMAL.ramp_s,
            motor.press_s + lead + conducts,
            motor.release_s + lead - half,
            motor.release_s + lead + half,
        ],
        abs=1e-13,
    )
    assert volts[2:4] == [0.0, 0.0]
    assert volts[-1] == pytest.approx(motor.arc.volts + motor.arc.slope_v_per_s * 0.02, rel=1e-9)


def test_what_the_deck_has_beside_the_circuit_is_stated_at_its_top() -> None:
    text = transient_deck(random_circuit(0), "One; motor", stepping=Stepping(ramp_s=3e-8), comments=["A\nB"])

    assert text.startswith("* One, motor\n* A B\n* Beside the circuit's own elements:\n")
    assert "A contact moves within 3e-08 s" in text
    assert text.endswith(".end\n")


def test_a_probe_is_a_node_with_its_extremes_asked_for() -> None:
    text = transient_deck(random_circuit(0), "One motor", probes={"at_pump": (3, 1)})

    assert "Eprobe0 at_pump 0 n3 n1 1" in text
    assert ".save v(at_pump)" in text
    for what in ("lowest_at_pump min", "highest_at_pump max"):
        assert re.search(rf"^\.measure tran {what} v\(at_pump\) from=5e-05 to=0\.", text, re.MULTILINE)


def _values(text: str, name: str) -> list[float]:
    return [float(line[1]) for line in re.findall(rf"^{name} \S+ \S+ (\S+)", text, re.MULTILINE)]
