"""Coils that are let go, against published measurements of relays and the R-L circuit integrated."""

import math

import pytest
from scipy.integrate import solve_ivp

from server.boat.devices import Suppression
from server.engine.arrays import Floats
from server.engine.transient.coil_release import GONE, CoilRelease, coil_releases, falling_s, kick_v
from tests.engine.boats import Json, boat, load

COIL = {"kind": "coil", "current_a": 0.1, "rated_voltage_v": 12.0, "inductance_h": 0.5}


def test_a_resistor_takes_the_coils_current() -> None:
    """A relay of 120 Ω at 12 V with 680 Ω beside it: 65 V on a bench, current times resistance gives 68 V."""
    assert kick_v(12.0 / 120.0, Suppression(kind="resistor", resistance_ohm=680.0)) == pytest.approx(
        65.0, rel=0.05
    )


def test_a_diode_holds_the_kick_at_its_own_voltage() -> None:
    """The same relay with a diode: 0.7 V, and 25 to 30 ms until its current is gone."""
    assert kick_v(0.1, Suppression(kind="diode")) == pytest.approx(0.7)
    slow, fast = (falling_s(0.1, 120.0, 0.5, kick, ohm) for kick, ohm in ((0.7, None), (68.0, 680.0)))
    assert slow > 5 * fast


@pytest.mark.parametrize(
    ("kind", "clamp", "kick"), [("varistor", 40.0, 40.0), ("diode-and-zener", 24.0, 24.7)]
)
def test_what_holds_a_voltage_gives_it(kind: str, clamp: float, kick: float) -> None:
    assert kick_v(0.3, Suppression.model_validate({"kind": kind, "clamp_v": clamp})) == pytest.approx(kick)
    assert kick_v(0.3, Suppression.model_validate({"kind": kind})) is None


def test_without_its_figure_a_resistor_says_nothing() -> None:
    assert kick_v(0.3, Suppression(kind="resistor")) is None


@pytest.mark.parametrize(("kick", "beside"), [(0.7, None), (24.7, None), (68.0, 680.0)])
def test_the_current_falls_as_the_circuit_integrated_says(kick: float, beside: float | None) -> None:
    """L di/dt = -R i - v, with v = i·R beside it or a steady voltage."""
    found = falling_s(0.1, 120.0, 0.5, kick, beside)

    def falling(_: float, i: Floats) -> list[float]:
        against = kick if beside is None else float(i[0]) * beside
        return [-(120.0 * float(i[0]) + against) / 0.5]

    end = solve_ivp(falling, (0.0, found), [0.1], rtol=1e-10, atol=1e-12).y[0, -1]
    assert end == pytest.approx(GONE * 0.1, rel=1e-6)


def coil(name: str, **changed: object) -> Json:
    """A load that is a coil of 120 Ω."""
    return load(name, {**COIL, **changed})


def test_every_coil_of_a_boat_answers() -> None:
    relay = {
        "kind": "contact",
        "id": "relay",
        "name": "Relay",
        "terminals": ["in", "out"],
        "positions": [{"id": "off", "name": "Off", "closed": []}],
        "normal": "off",
        "is_battery_switch": False,
        "actuator": "coil",
        "coil": {"kind": "coil", "current_a": 1.2, "rated_voltage_v": 12.0, "suppression": {"kind": "diode"}},
    }
    parts = [
        relay,
        coil("bare"),
        coil("none", suppression={"kind": "none"}),
        coil("unread", suppression={"kind": "varistor"}),
        coil("resistor", suppression={"kind": "resistor", "resistance_ohm": 680.0}),
        load("lamp", {"kind": "resistive", "rated_power_w": 24.0, "rated_voltage_v": 12.0}),
    ]

    found = {one.part: one for one in coil_releases(boat(parts=parts))}

    assert found["bare"] == CoilRelease("bare", 0.1, None, None, None)
    assert found["none"] == CoilRelease("none", 0.1, None, None, None)
    assert found["unread"] == CoilRelease("unread", 0.1, "varistor", None, None)
    assert found["resistor"].kick_v == pytest.approx(68.0)
    assert found["resistor"].falls_s is not None
    assert found["resistor"].falls_s.value == pytest.approx(0.5 / 800.0 * math.log(10.0))
    assert found["relay"].falls_s is not None
    assert found["relay"].falls_s.low < found["relay"].falls_s.value < found["relay"].falls_s.high
    assert "lamp" not in found
