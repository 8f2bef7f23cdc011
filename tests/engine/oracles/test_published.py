"""Worked examples that others published, drawn as boats and answered by the analysis of the boat."""

import pytest

from server.boat.boat import Boat
from server.boat.devices import ConstantCurrent, ConstantPower
from server.boat.parts import MeasuringShunt
from server.engine.analysis import analyse_mode
from server.engine.answer import Drop, InputAnswer
from tests.engine.oracles.loops import FOOT_M, STIFF_OHM, battery, boat, load, measured, wire


def answer(one: Boat) -> InputAnswer:
    """The answer for the only load."""
    found = next(load for load in analyse_mode(one, "on").loads if load.part == "load")
    assert found.state == "fed"
    return found


def drop(one: Boat) -> Drop:
    """The steady drop of the only load."""
    found = answer(one).drop
    assert isinstance(found, Drop)
    return found


def test_lamp_of_constant_power_settles_where_its_own_drop_leaves_it() -> None:
    """10 W at 12 V, 12 m of cable at 40 mV per ampere and metre (0.48 Ω): published 0.863 A, 0.413 V.

    Source: owners' group technical tip on boat wiring with a constant-power lamp, solved there by iteration.
    Exactly: I = (U - √(U² - 4 R P)) / 2R = 0.8631 A, drop 0.4143 V. The battery's own 0.1 mΩ is part of R.
    """
    half = (0.48 - STIFF_OHM) / 2
    one = boat(
        (battery(12.0), load(ConstantPower(kind="constant-power", power_w=10.0))),
        (
            measured("out", "battery.positive", "load.main", half),
            measured("back", "load.negative", "battery.negative", half),
        ),
    )

    lamp = answer(one)

    exact_a = (12 - (144 - 4 * 0.48 * 10) ** 0.5) / (2 * 0.48)
    assert lamp.current_a == pytest.approx(exact_a, rel=1e-9)
    assert lamp.current_a == pytest.approx(0.863, abs=5e-4)
    assert lamp.voltage_v is not None
    assert 12 - lamp.voltage_v == pytest.approx(0.4143, abs=5e-5)


@pytest.mark.parametrize(
    ("feet", "ohm_per_foot", "published_v", "within_v"),
    [
        (107, 0.00044, 0.942, 5e-4),
        (90, 0.00028, 0.504, 5e-4),
        (88, 0.00202, 3.60, 0.05),
        (100, 0.00306, 6.12, 5e-3),
    ],
    ids=["No. 6", "No. 4", "No. 12 (published rounded up)", "No. 14"],
)
def test_aircraft_wiring_examples(
    feet: float, ohm_per_foot: float, published_v: float, within_v: float
) -> None:
    """20 A through one tinned wire at 20 °C: FAA AC 43.13-1B Change 1, Table 11-7, all four rows.

    In circuit and as designed; the way back has no resistance, as in the table.
    """
    one = boat(
        (battery(28.0, nominal_v=24.0), load(ConstantCurrent(kind="constant-current", current_a=20.0))),
        (
            wire(
                "out",
                "battery.positive",
                "load.main",
                ohm_per_m=ohm_per_foot / FOOT_M,
                length_m=feet * FOOT_M,
            ),
            measured("back", "load.negative", "battery.negative", 0.0),
        ),
        nominal_v=28.0,
    )

    found = drop(one)

    assert found.in_circuit_v == pytest.approx(published_v, abs=within_v)
    assert found.from_battery_v == pytest.approx(published_v, abs=within_v)
    assert found.in_circuit_v == pytest.approx(20 * feet * ohm_per_foot, rel=1e-9)


def test_table_8_example() -> None:
    """4 A over 100 ft of No. 16 and back at 24 V: 4.0 V, 16.7 % (exactly 3.992 V, 16.63 %).

    Source: training page on NEC chapter 9 table 8: uncoated stranded No. 16 has 4.99 Ω per 1,000 ft at 75 °C.
    The document keeps ohms at 20 °C: 254.5 / 309.5 of that (FAA AC 43.13-1B par. 11-66).
    """
    at_20_c = 4.99 / 1000 / FOOT_M * 254.5 / 309.5
    one = boat(
        (battery(24.0, nominal_v=24.0), load(ConstantCurrent(kind="constant-current", current_a=4.0))),
        (
            wire("out", "battery.positive", "load.main", ohm_per_m=at_20_c, length_m=100 * FOOT_M),
            wire("back", "load.negative", "battery.negative", ohm_per_m=at_20_c, length_m=100 * FOOT_M),
        ),
        nominal_v=24.0,
        conductor_c=75.0,
    )

    found = drop(one)

    assert found.in_circuit_v == pytest.approx(4.0, abs=0.01)
    assert found.from_battery_v == pytest.approx(3.992, rel=1e-9)
    assert found.judged_fraction == pytest.approx(0.1663, abs=5e-5)


def test_instrument_backbone_formula() -> None:
    """20 load equivalents at the end of 30 m of light backbone of 0.053 Ω/m: 3.18 V, over the 1.67 V allowed.

    Source: a display maker's page on NMEA 2000 power: drop = Ω/m · m · LEN · 0.1, where 0.1 stands for out
    and back at 50 mA for each load equivalent.
    """
    one = boat(
        (battery(12.0), load(ConstantCurrent(kind="constant-current", current_a=20 * 0.05))),
        (
            wire("out", "battery.positive", "load.main", ohm_per_m=0.053, length_m=30.0, area_mm2=0.33),
            wire("back", "load.negative", "battery.negative", ohm_per_m=0.053, length_m=30.0, area_mm2=0.33),
        ),
    )

    assert drop(one).in_circuit_v == pytest.approx(0.053 * 30 * 20 * 0.1, rel=1e-9)
    assert drop(one).in_circuit_v == pytest.approx(3.18, rel=1e-9)


def test_sizing_formula_of_the_handbook() -> None:
    """10 A, 21 ft in all, K 10.75: a 12 AWG conductor of 6,530 circular mils loses 10.75 · 10 · 21 / 6530 V.

    Source: trade technical article on the three per cent rule (the ABYC E-11 formula): 6,270.8 circular mils
    are needed for 0.36 V, so 12 AWG passes at 12 V. 12 AWG has 3.309 mm² (ASTM B258): 6,530 circular mils.
    """
    out, back = 11 * FOOT_M, 10 * FOOT_M
    one = boat(
        (battery(12.0), load(ConstantCurrent(kind="constant-current", current_a=10.0))),
        (
            wire("out", "battery.positive", "load.main", ohm_per_m=0.0053, length_m=out, area_mm2=3.309),
            wire(
                "back", "load.negative", "battery.negative", ohm_per_m=0.0053, length_m=back, area_mm2=3.309
            ),
        ),
    )

    found = drop(one).handbook_v

    assert found == pytest.approx(10.75 * 10 * 21 / 6530, rel=2e-4)
    assert found == pytest.approx(0.36 * 6270.8 / 6530, rel=2e-4)


def test_shunt_shows_its_printed_millivolts_at_its_printed_amperes() -> None:
    """500 A through a 500 A, 50 mV shunt: 50 mV and 25 W, 0.1 mΩ (definition)."""
    shunt = MeasuringShunt(
        kind="measuring-shunt", id="shunt", name="Shunt", rated_current_a=500.0, rated_voltage_v=0.05
    )
    one = boat(
        (battery(12.0), shunt, load(ConstantCurrent(kind="constant-current", current_a=500.0))),
        (
            measured("out", "battery.positive", "load.main", 0.001),
            measured("back", "load.negative", "shunt.system", 0.001),
            measured("bank", "shunt.battery", "battery.negative", 0.001),
        ),
    )

    flow = next(flow for flow in analyse_mode(one, "on").flows if flow.element == "shunt")

    assert abs(flow.current_a) == pytest.approx(500.0, rel=1e-9)
    assert abs(flow.drop_v) == pytest.approx(0.050, rel=1e-9)
    assert flow.current_a * flow.drop_v == pytest.approx(25.0, rel=1e-9)
