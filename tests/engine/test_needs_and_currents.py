"""What a load needs, what its circuit is laid out for, and what cannot be told."""

import pytest

from server.boat.boat import Boat
from server.engine.analysis import analyse_mode
from server.engine.answer import InputAnswer
from server.engine.drop import design_current
from server.engine.figures import Figures
from server.engine.needs import Need, need_of
from tests.engine.boats import Json, boat, conductor, load, part, wire

INVERTER: Json = {"kind": "inverter", "id": "odd", "name": "Inverter", "rated_power_w": 600.0}
OUTBOARD: Json = {
    "kind": "outboard",
    "id": "odd",
    "name": "Outboard",
    "starter": {"kind": "motor", "running_current_a": 80.0},
}
RELAY: Json = {
    "kind": "contact",
    "id": "odd",
    "name": "Relay",
    "terminals": ["in", "out"],
    "positions": [{"id": "off", "name": "Off"}],
    "normal": "off",
    "coil": {"kind": "coil", "current_a": 0.8, "rated_voltage_v": 12.0},
}


def need(item: Json, terminal: str = "positive", nominal_v: float = 12.0) -> Need:
    """The need of one odd part on the small boat."""
    subject = boat(parts=[item])
    found = next(one for one in subject.parts if one.id == "odd")
    return need_of(found, terminal, nominal_v, Figures.of(subject))


def test_stated_limits_of_inverters_and_outboards_go_before_assumed_ones() -> None:
    """An inverter's cut-out is its limit unless a minimum is stated; an outboard's is its electronics'."""
    cut_out = need({**INVERTER, "low_cut_out_v": 10.5})
    stated = need({**INVERTER, "low_cut_out_v": 10.5, "minimum_voltage_v": 11.0})
    outboard = need({**OUTBOARD, "control_minimum_v": 9.5})

    assert (cut_out.value_v, cut_out.assumed) == (10.5, False)
    assert stated.value_v == 11.0
    assert (outboard.value_v, outboard.assumed) == (9.5, False)


def test_unstated_limits_of_electronics_are_assumed_by_system_voltage() -> None:
    """Inverters and outboards hold electronics; there is nothing to assume above 24 V systems."""
    inverter, outboard = need(INVERTER), need(OUTBOARD)
    high = need(INVERTER, nominal_v=48.0)

    assert inverter.assumed
    assert inverter.value_v == outboard.value_v
    assert (high.value_v, high.can_restart) == (None, True)


def test_coil_has_no_electronics_that_could_restart() -> None:
    """A relay is judged by its hold voltage elsewhere, not as electronics."""
    assert not need(RELAY, "coil-positive").can_restart


@pytest.mark.parametrize(
    ("item", "terminal", "amperes"),
    [
        (INVERTER, "positive", 600.0 / 12.0),
        ({**INVERTER, "efficiency": 0.8}, "positive", 600.0 / 12.0 / 0.8),
        (OUTBOARD, "positive", 0.0),
        ({**OUTBOARD, "control_power_w": 24.0}, "positive", 2.0),
        (RELAY, "coil-positive", 0.8),
        ({"kind": "charger", "id": "odd", "name": "Charger", "rated_current_a": 20.0}, "output-1", 0.0),
        (load("odd", {"kind": "constant-current", "current_a": 3.0}), "supply", 3.0),
        (load("odd", {"kind": "coil", "current_a": 0.7, "rated_voltage_v": 12.0}), "supply", 0.7),
        (
            load("odd", {"kind": "constant-power", "power_w": 60.0}, input={"design_current_a": 8.0}),
            "supply",
            8.0,
        ),
    ],
)
def test_design_current_is_stated_or_taken_at_nominal_voltage(
    item: Json, terminal: str, amperes: float
) -> None:
    """I = P/V at the nominal 12 V; sources take none."""
    found = next(one for one in boat(parts=[item]).parts if one.id == "odd")

    assert design_current(found, terminal, 12.0)[0] == pytest.approx(amperes)


def plotter(subject: Boat) -> InputAnswer:
    """The plotter's answer in the small boat's first mode."""
    return next(one for one in analyse_mode(subject, "starting").loads if one.part == "plotter")


def test_metric_practice_uses_the_metric_handbook_formula() -> None:
    """I·L/(56·A) (metric handbook formula): 20 W at 12 V over eight wires of 2 m, 10 mm² of them."""
    drop = plotter(boat(practice={"profile": "iso-metric"})).drop

    assert drop is not None
    assert drop.handbook_v == pytest.approx(20.0 / 12.0 * 16.0 / (56.0 * 10.0), rel=1e-6)


def test_handbook_drop_cannot_be_told_with_a_length_missing() -> None:
    """A wire on the way whose length is not known leaves the formula without a figure."""
    drop = plotter(boat(conductors=[conductor("w-plotter", length_m=None)])).drop

    assert drop is not None
    assert drop.handbook_v is None


def test_a_way_with_an_unknown_wire_neither_passes_nor_keeps_running() -> None:
    """Ohm's law: a wire left out loses nothing, so all figures are "at least"; common practice, no source."""
    modest = load("plotter", {"kind": "constant-power", "power_w": 20.0}, input={"minimum_voltage_v": 4.0})
    gap = conductor("w-plotter", length_m=None)
    whole, part_known = plotter(boat(parts=[modest])), plotter(boat(parts=[modest], conductors=[gap]))
    found = whole.drop, part_known.drop

    assert found[0] is not None
    assert found[1] is not None
    assert (found[0].verdict, found[0].unknown) == ("pass", ())
    assert (found[1].verdict, len(found[1].unknown)) == ("cannot-tell", 1)
    assert found[1].judged_v < found[0].judged_v
    assert {one.verdict for one in whole.events} == {"keeps-running"}
    assert {one.verdict for one in part_known.events} == {"too-close-to-call"}
    assert {one.unknown for one in part_known.events} == {found[1].unknown}


def test_an_unknown_wire_off_the_way_does_not_matter() -> None:
    """The starter's own cable carries nothing of the plotter's current."""
    subject = plotter(boat(conductors=[conductor("w-start", length_m=None)]))

    assert subject.drop is not None
    assert (subject.drop.verdict, subject.drop.unknown) == ("pass", ())
    assert {one.unknown for one in subject.events} == {()}


def test_drop_lies_between_all_assumed_figures_low_and_all_high() -> None:
    """Σ R·I by hand: eight wires of 2 m of 1.91 mΩ/m; a given device does not move (Ohm's law)."""
    drop = plotter(boat()).drop

    assert drop is not None
    assert drop.judged_low_fraction < drop.judged_fraction < drop.judged_high_fraction
    at_20_c = 20.0 / 12.0 * 16.0 * 1.91e-3
    assert at_20_c < drop.conductors_v < 1.12 * at_20_c  # copper gains 0.39 % a kelvin (handbooks)
    assert drop.conductors_v < drop.judged_v


def test_circuit_class_decides_the_limit_where_it_is_stated() -> None:
    """Three per cent for critical circuits, ten for others (ABYC E-11, as in the limits table)."""
    limits = [
        plotter(boat(parts=[part("plotter", circuit_class=kind)])).drop for kind in ("critical", "other")
    ]

    assert [None if drop is None else drop.limit_fraction for drop in limits] == [0.03, 0.10]


def test_two_inputs_of_one_load_are_told_apart_by_name() -> None:
    """Each input is an answer of its own with its id and name."""
    demand = {"kind": "constant-power", "power_w": 5.0}
    two = load(
        "plotter", demand, inputs=[{"id": "main", "demand": demand}, {"id": "memory", "demand": demand}]
    )
    subject = boat(
        parts=[two],
        conductors=[
            wire("w-plotter", "panel.dc-plotter", "plotter.main"),
            wire("w-memory", "panel.dc-spare", "plotter.memory"),
        ],
    )
    found = {one.id: one.name for one in analyse_mode(subject, "starting").loads if one.part == "plotter"}

    assert found == {"plotter.main": "Plotter (main)", "plotter.memory": "Plotter (memory)"}
