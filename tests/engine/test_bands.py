"""Bands against boats in which the assumption really takes its other value."""

import math

import pytest

from server.boat.boat import Boat
from server.engine.analysis import analyse_mode
from server.engine.answer import Band
from tests.engine.boats import Json, boat, load, part, wire

BARE = part("battery", internal_resistance_ohm=None, rest_voltage_v=None, capacity_ah=400.0)
ISOLATED = [
    {"kind": "isolator", "id": "isolator", "name": "Isolator", "outputs": 1},
    {"kind": "charger", "id": "charger", "name": "Charger", "rated_current_a": 500.0, "setpoint_v": 14.0},
]
CHARGED = [
    wire("w-c1", "charger.output-1", "isolator.input"),
    wire("w-c2", "isolator.output-1", "switch.out"),
    wire("w-c3", "charger.negative", "bar.stud-4"),
]
ON = [{"part": name} for name in ("plotter", "charger")]


def override(key: str, low: float, value: float, high: float) -> Json:
    return {"key": key, "low": low, "value": value, "high": high, "source": "a test"}


FIXED = [
    ("conductor_temperature", 40.0),
    ("joint_resistance", 0.00005),
    ("engine_block_joint", 0.00015),
    ("fuse_drop_at_rating", 0.1),
    ("breaker_drop_at_rating", 0.15),
    ("battery_state_of_charge", 80.0),
    ("battery_temperature", 20.0),
    ("battery_age_factor", 1.2),
    ("battery_resistance_agm", 0.35),
    ("isolator_forward_drop", 0.65),
    ("isolator_slope_resistance", 0.002),
    ("charger_output_resistance", 0.01),
    ("undervoltage_kink", 0.5),
]


def subject(key: str, low: float, value: float, high: float, *, charged: bool = False) -> Boat:
    """The small boat with everything certain but one assumption."""
    certain = [override(name, figure, figure, figure) for name, figure in FIXED if name != key]
    modes = [{"id": "starting", "name": "Starting", "on": ON if charged else ON[:1]}]
    return boat(
        parts=[BARE, *(ISOLATED if charged else [])],
        conductors=CHARGED if charged else [],
        modes=modes,
        assumptions=[*certain, override(key, low, value, high)],
    )


def lowest(one: Boat) -> Band:
    answer = next(found for found in analyse_mode(one, "starting").loads if found.part == "plotter")
    return answer.events[0].lowest


@pytest.mark.parametrize(
    ("key", "value", "high", "charged"),
    [
        ("conductor_temperature", 40.0, 41.0, False),
        ("engine_block_joint", 0.00015, 0.00016, False),
        ("fuse_drop_at_rating", 0.1, 0.101, False),
        ("battery_state_of_charge", 80.0, 80.5, False),
        ("battery_temperature", 20.0, 20.5, False),
        ("battery_age_factor", 1.2, 1.205, False),
        ("battery_resistance_agm", 0.35, 0.352, False),
        ("isolator_forward_drop", 0.65, 0.655, True),
        ("isolator_slope_resistance", 0.002, 0.00202, True),
        ("charger_output_resistance", 0.01, 0.0101, True),
    ],
)
def test_one_sided_band_is_what_the_high_value_brings(
    key: str, value: float, high: float, charged: bool
) -> None:
    """With the value as its own low end, the voltage moves one way only, by what a new solution says."""
    band = lowest(subject(key, value, value, high, charged=charged))
    change = lowest(subject(key, high, high, high, charged=charged)).value - band.value

    assert abs(change) > 1e-5
    assert band.high - band.value == pytest.approx(max(change, 0.0), rel=0.02, abs=1e-9)
    assert band.value - band.low == pytest.approx(max(-change, 0.0), rel=0.02, abs=1e-9)


def test_demand_given_as_a_range_moves_the_voltage_the_other_way() -> None:
    """A neighbour that may take more on the same battery pulls lower, never higher."""

    def with_radio(low: float, high: float, value: float) -> Boat:
        amps = {"low": low, "high": high, "value": value}
        radio = load("radio", {"kind": "constant-current", "current_a": amps}, role="radio")
        wires = [
            wire("w-radio", "panel.dc-spare", "radio.supply"),
            wire("w-radio-neg", "radio.negative", "bar.stud-3"),
        ]
        on = [{"part": name} for name in ("plotter", "radio")]
        certain = [override(name, figure, figure, figure) for name, figure in FIXED]
        return boat(
            parts=[radio],
            conductors=wires,
            assumptions=certain,
            modes=[{"id": "starting", "name": "Starting", "on": on}],
        )

    band = lowest(with_radio(5.0, 6.0, 5.0))
    change = lowest(with_radio(6.0, 6.0, 6.0)).value - band.value

    assert band.high == pytest.approx(band.value, abs=1e-12)
    assert band.low - band.value == pytest.approx(change, rel=0.02)


@pytest.mark.parametrize("demand", ["constant-power", "constant-current"])
def test_a_demand_below_its_cut_out_moves_its_voltage_less(demand: str) -> None:
    """There it is a resistance: V/V_c² amperes a watt, V/V_c an ampere, as a new solution says."""
    certain = [
        override(name, figure, figure, figure) for name, figure in FIXED if name != "undervoltage_kink"
    ]
    kink = override("undervoltage_kink", 0.9, 0.9, 0.9)

    def far_away(low: float, high: float) -> Boat:
        figure = {"low": low, "high": high, "value": low}
        amount = {"power_w": figure} if demand == "constant-power" else {"current_a": figure}
        radio = load("plotter", {"kind": demand, **amount})
        modes = [{"id": "starting", "name": "Starting", "on": ON[:1]}]
        feed = wire("w-plotter", "panel.dc-plotter", "plotter.supply", length_m=200.0)
        return boat(parts=[radio], conductors=[feed], modes=modes, assumptions=[*certain, kink])

    amount = 100.0 if demand == "constant-power" else 10.0
    band = lowest(far_away(amount, 1.001 * amount))
    change = lowest(far_away(1.001 * amount, 1.001 * amount)).value - band.value

    assert band.value < 0.9 * 12
    assert band.low - band.value == pytest.approx(change, rel=0.02)


def test_independent_bands_add_as_squares() -> None:
    """Two assumptions at once: the root of the sum of the squares of each alone."""

    def below(*widened: str) -> float:
        wide = {"engine_block_joint": 0.0003, "fuse_drop_at_rating": 0.12}
        overrides = [
            override(name, figure, figure, wide[name] if name in widened else figure)
            for name, figure in FIXED
        ]
        modes = [{"id": "starting", "name": "Starting", "on": ON[:1]}]
        band = lowest(boat(parts=[BARE], modes=modes, assumptions=overrides))
        return band.value - band.low

    both = math.hypot(below("engine_block_joint"), below("fuse_drop_at_rating"))

    assert below("engine_block_joint", "fuse_drop_at_rating") == pytest.approx(both, rel=1e-9)
