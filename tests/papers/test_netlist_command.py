"""``tapchart netlist``: the deck a person can hand to a circuit simulator."""

import json
from pathlib import Path

import pytest

from server.cli import main
from tests.engine.simulator.opinion import fingerprint

SEED_BOATS = Path(__file__).parents[2] / "seed_boats"
SLOOP = str(SEED_BOATS / "1-sloop.json")


def test_the_deck_says_what_it_is_of_and_names_the_boats_parts(capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["netlist", SLOOP, "--mode", "starting", "--event", "engine-start"])
    deck = capsys.readouterr().out

    assert status == 0
    lines = deck.splitlines()
    assert lines[0] == "* Marsh Wren, sloop of 10 m: Starting the engine"
    assert "* Mode: Starting the engine (starting)" in lines
    assert any(line.startswith("* Event: Engine start (engine-start), first instant") for line in lines)
    assert "* Conditions: state_of_charge 0.85, temperature_c 15.0, age_factor 1.1" in deck
    assert any(line.startswith("*   Conductor temperature: 40 °C (memory: common practice") for line in lines)
    assert any(
        line.startswith("R") and line.endswith("; Battery monitor shunt (measuring-shunt)") for line in lines
    )
    assert any(line.startswith("V") and line.endswith("; House battery 1 (battery)") for line in lines)
    assert any(line.startswith("*   n") and "Main negative bus" in line for line in lines)
    assert lines[-1] == ".end"


def test_in_an_event_the_starter_is_its_stalled_resistance(capsys: pytest.CaptureFixture[str]) -> None:
    """Inrush voltage over inrush current, both at its own terminals. Steady, it is not in the circuit."""
    parts = json.loads(Path(SLOOP).read_text())["parts"]
    motor = next(part for part in parts if part["id"] == "starter")["inputs"][0]["demand"]
    main(["netlist", SLOOP, "--mode", "starting", "--event", "engine-start"])
    starting = _values(capsys.readouterr().out, "Engine starter (load)")
    main(["netlist", SLOOP, "--mode", "starting"])
    steady = _values(capsys.readouterr().out, "Engine starter (load)")

    assert starting == [pytest.approx(motor["inrush_voltage_v"] / motor["inrush_current_a"], rel=1e-12)]
    assert steady == []


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["no-such-file.json", "--mode", "m"], "cannot be read"),
        ([SLOOP, "--mode", "flying"], "no mode “flying” on this boat; it has moored, at-anchor, under-way"),
        ([SLOOP, "--mode", "sailing", "--event", "engine-start"], "it has none"),
        ([str(Path(__file__)), "--mode", "m"], "JSON"),
        ([SLOOP, "--mode", "sailing", "--transient"], "only an event can be followed in time"),
    ],
)
def test_what_cannot_be_written_is_status_2_and_explained(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status = main(["netlist", *arguments])
    captured = capsys.readouterr()

    assert status == 2
    assert said in captured.err
    assert captured.out == ""


def test_names_cannot_break_out_of_their_comment(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A name with a line break or a semicolon stays one comment, so it changes nothing in the circuit."""
    path = tmp_path / "boat.json"
    plain = Path(SLOOP).read_text()
    path.write_text(plain.replace('"Main negative bus"', '"Bus\\n.end ; R1 0 n1 1"'))
    main(["netlist", SLOOP, "--mode", "sailing"])
    named_plainly = capsys.readouterr().out
    main(["netlist", str(path), "--mode", "sailing"])
    named_badly = capsys.readouterr().out

    assert "Bus .end" in named_badly
    assert fingerprint(named_badly) == fingerprint(named_plainly)


def _values(deck: str, label: str) -> list[float]:
    return [float(line.split()[3]) for line in deck.splitlines() if line.endswith(f"; {label}")]


def test_an_event_in_time_is_a_transient_deck_with_the_boats_names(
    capsys: pytest.CaptureFixture[str],
) -> None:
    status = main(["netlist", SLOOP, "--mode", "starting", "--event", "engine-start", "--transient"])
    lines = capsys.readouterr().out.splitlines()

    assert status == 0
    assert lines[0] == "* Marsh Wren, sloop of 10 m: Engine start, in time"
    assert "* motor 0: Engine starter" in lines
    assert any(line.startswith("V") and line.endswith("; House battery 1 (battery)") for line in lines)
    assert any(line.startswith("*   n") and "Main negative bus" in line for line in lines)
    assert "*   at_autopilot: Autopilot" in lines
    assert lines[-2].startswith(".tran ")


def test_loads_of_one_name_are_nodes_of_two(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "boat.json"
    path.write_text(Path(SLOOP).read_text().replace('"Chart plotter"', '"VHF radio"'))

    main(["netlist", str(path), "--mode", "starting", "--event", "engine-start", "--transient"])
    lines = capsys.readouterr().out.splitlines()

    assert "*   at_vhf_radio: VHF radio" in lines
    assert "*   at_vhf_radio_2: VHF radio" in lines
