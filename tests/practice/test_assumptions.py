"""The built-in defaults, each against what little is published about it."""

import math

import pytest

from server.practice.assumptions import UnknownAssumptionError, all_defaults, default
from server.practice.batteries import TABLE_VOLTAGE_V
from server.practice.materials import RESISTIVITY_20
from server.practice.supply import supply_range
from server.practice.tables import rows

FROM_WHAT_IS_KNOWN = {"busbar_link_resistance", "measuring_shunt_resistance", "battery_short_circuit_per_cca"}


def test_an_unknown_key_is_refused_by_name() -> None:
    with pytest.raises(UnknownAssumptionError, match="phase_of_the_moon"):
        default("phase_of_the_moon")


def test_no_key_is_listed_twice() -> None:
    assert len(all_defaults()) == len(rows("assumptions"))


@pytest.mark.parametrize("key", all_defaults())
def test_each_default_has_a_title_and_a_band_and_admits_where_it_comes_from(key: str) -> None:
    assumption = default(key)

    assert assumption.title[0].isupper()
    assert assumption.low < assumption.high
    assert assumption.status == ("derived" if key in FROM_WHAT_IS_KNOWN else "memory")


def test_a_busbar_link_is_a_piece_of_copper_or_brass() -> None:
    """ρ L / A (IEC 60028): 30 mm of 75 mm² copper, and four times that for brass."""
    copper = RESISTIVITY_20.value * 0.030 / 75
    link = default("busbar_link_resistance")

    assert link.low < copper < link.value
    assert link.high > 4 * copper


@pytest.mark.parametrize(("rated_a", "end"), [(1000, "low"), (500, "value"), (100, "high")])
def test_shunts_of_50_millivolts(rated_a: float, end: str) -> None:
    """Definition: 50 mV at rated current; 500 A is 0.1 mΩ and turns 25 W into heat."""
    resistance: float = getattr(default("measuring_shunt_resistance"), end)

    assert resistance == pytest.approx(0.050 / rated_a)
    assert resistance * rated_a**2 == pytest.approx(0.050 * rated_a)


def test_joints_are_ordered_by_how_well_they_hold() -> None:
    """MIL-DTL-83454A studs 0.17 to 0.30 mΩ; ABYC E-11 push-on terminals at most 50 mV at 20 A, 2.5 mΩ."""
    heavy, small, friction = (
        default(f"joint_resistance{kind}").value for kind in ("", "_small", "_friction")
    )

    assert heavy < 0.17e-3 < small < 0.30e-3 < friction
    assert default("joint_resistance_friction").high == pytest.approx(0.050 / 20)


def test_a_heavy_joint_stays_under_the_service_limit_while_cranking() -> None:
    """Vehicle service practice, from memory: 100 mV for one connection, here at 400 A."""
    assert default("joint_resistance").high * 400 < 0.100


@pytest.mark.parametrize(("rated_a", "mohm"), [(100, 1.0), (200, 0.5), (400, 0.25)])
def test_bolt_down_fuses_have_about_a_tenth_of_a_volt_at_their_rating(rated_a: float, mohm: float) -> None:
    """Fuse makers' data sheets, from memory: 1.0, 0.5 and 0.25 mΩ."""
    assert default("fuse_drop_at_rating").value / rated_a == pytest.approx(mohm * 1e-3)


def test_electronics_on_12_volts_restart_between_two_published_limits() -> None:
    """NMEA 2000's 9 V and a display maker's 10.8 V."""
    cut_out = default("electronics_cut_out_voltage_12v")
    backbone, display = supply_range("nmea-2000", 12), supply_range("display-lead", 12)

    assert backbone is not None
    assert display is not None
    assert (cut_out.low, cut_out.high) == (backbone.low_v, display.low_v)
    assert default("undervoltage_kink").value * TABLE_VOLTAGE_V == backbone.low_v


def test_electronics_on_24_volts_restart_at_a_supply_code() -> None:
    """ISO 16750-2: code H from 18 V, code G from 22 V."""
    cut_out = default("electronics_cut_out_voltage_24v")
    code_h, code_g = supply_range("iso-16750-h", 24), supply_range("iso-16750-g", 24)

    assert code_h is not None
    assert code_g is not None
    assert (cut_out.value, cut_out.high) == (code_h.low_v, code_g.low_v)


def test_cable_inductance_is_half_the_pairs() -> None:
    """Pair: 0.4 acosh(D/d) + 0.1 µH/m (Rosa 1908, from memory): touching to 1.4 mm wire 100 mm apart."""

    def pair(spacing_over_diameter: float) -> float:
        return (0.4 * math.acosh(spacing_over_diameter) + 0.1) * 1e-6

    inductance = default("cable_inductance")

    assert 2 * inductance.low == pytest.approx(pair(1.45), rel=0.05)
    assert 2 * inductance.high == pytest.approx(pair(100 / 1.4), rel=0.05)


def test_a_stalled_winch_draws_its_ohms_law_current() -> None:
    """Article on 12 V winch motors: 120 A through 0.1 Ω against 10 to 20 A running."""
    winch = default("inrush_multiple_winch")

    assert (winch.low, winch.high) == (12 / 0.1 / 20, 12 / 0.1 / 10)
    assert winch.low <= winch.value <= winch.high


def test_the_thruster_multiple_is_the_series_motors() -> None:
    """industrialmonitordirect.com: a 150 HP series motor of 545 A starts with about 2180 A."""
    assert default("inrush_multiple_thruster").value == pytest.approx(2180 / 545)


def test_conductors_are_hotter_in_an_engine_space() -> None:
    """33 CFR 183.425 Table 5 reckons with 30 °C outside and 50 °C inside engine spaces."""
    outside, inside = default("conductor_temperature"), default("conductor_temperature_engine_space")

    assert outside.value > 30
    assert inside.low == 50
    assert inside.value > outside.value


def test_a_starters_winding_is_that_of_a_small_diesels() -> None:
    """Common practice, no source: 21 mΩ at standstill, 4.2 µH leakage, 144 µH beside 0.51 Ω of eddy path."""
    ohm = 0.021

    assert default("motor_leakage_time").value * ohm == pytest.approx(4.2e-6, rel=0.05)
    assert default("motor_main_time").value * ohm == pytest.approx(144e-6, rel=0.05)
    assert default("motor_eddy_ratio").value * ohm == pytest.approx(0.51, rel=0.05)


def test_an_arc_needs_at_least_the_minimum_arc_voltage() -> None:
    """Copper 13 V, silver 12 V (Holm, Electric Contacts, from memory)."""
    assert default("contact_arc_voltage").low == pytest.approx(12.0)
    assert default("contact_arc_voltage").value > 13.0


def test_a_coil_takes_about_as_long_as_its_inductance_asks_for() -> None:
    """5 to 20 mH, from memory, for a solenoid of 12 V and 4 A, 3 Ω: 1.7 to 6.7 ms."""
    time = default("coil_inductance_time")

    assert time.low < 0.005 / 3 < time.value < 0.020 / 3 < time.high


def test_a_battery_has_less_inductance_than_a_metre_of_its_cable() -> None:
    assert default("battery_inductance").value < default("cable_inductance").low


def test_electrolytic_capacitors_have_tenths_of_an_ohm() -> None:
    """From memory: 100 µF around 0.3 Ω, 470 µF around 0.08 Ω."""
    time = default("input_capacitance_time_constant")

    assert time.low < 470e-6 * 0.08 < time.high
    assert time.value == pytest.approx(100e-6 * 0.3)


def test_cranking_ripple_is_slower_than_the_published_tests_allow_for() -> None:
    """ISO 16750-2's profile has 2 Hz of ripple on its plateau, for a slow engine."""
    assert default("cranking_ripple_rate").low > 2.0
