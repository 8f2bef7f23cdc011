"""From a boat to numbers: each kind of part against figures worked by hand."""

import numpy as np
import pytest

from server.boat.boat import Boat
from server.boat.modes import Conditions
from server.engine.netlist import Netlist, netlist
from server.engine.operating_point import operating_point
from server.practice.assumptions import default
from tests.engine.boats import boat, conductor, load, part, wire

HOT = (234.5 + 40) / (234.5 + 20)
"""Copper at the assumed 40 °C over 20 °C (FAA AC 43.13-1B par. 11-66)."""


def net_of(subject: Boat, mode: str = "starting", conditions: Conditions | None = None) -> Netlist:
    """The netlist of a mode."""
    return netlist(subject, next(one for one in subject.modes if one.id == mode), conditions)


def ohm_of(net: Netlist, element: str) -> float:
    """Resistance of a resistor by what it is on the boat."""
    (ohm,) = ohms_of(net, element)
    return ohm


def ohms_of(net: Netlist, element: str) -> list[float]:
    """All resistors that something is made of."""
    ohm = net.network.resistors.ohm
    return [float(ohm[row]) for row in net.rows_of[element] if row < len(ohm)]


def test_wire_is_its_length_at_temperature_and_a_joint_at_each_end() -> None:
    """2 m of 1.91 mΩ/m at 40 °C and two ring terminals of 0.05 mΩ."""
    net = net_of(boat())

    assert ohm_of(net, "w-battery") == pytest.approx(2 * 1.91e-3 * HOT + 2 * 0.00005, rel=1e-12)


def test_wire_in_the_engine_space_is_hotter_and_its_lug_on_the_block_worse() -> None:
    """60 °C assumed there; a lug on the block of 0.15 mΩ."""
    net = net_of(boat(conductors=[conductor("w-strap", in_engine_space="yes")]))

    hotter = (234.5 + 60) / (234.5 + 20)
    assert ohm_of(net, "w-strap") == pytest.approx(2 * 1.91e-3 * hotter + 0.00015 + 0.00005, rel=1e-12)


@pytest.mark.parametrize(
    ("style", "key"),
    [
        ("crimped-spade", "joint_resistance_friction"),
        ("plug", "joint_resistance_friction"),
        ("cage", "joint_resistance_cage"),
        ("soldered", "joint_resistance_splice"),
        ("bolted", "joint_resistance"),
        (None, "joint_resistance"),
    ],
)
def test_joint_by_its_style(style: str | None, key: str) -> None:
    """The style of an end chooses the assumption."""
    joint = {"tail_joint": {"style": style} if style else None}
    net = net_of(boat(conductors=[conductor("w-battery", **joint)]))

    assert ohm_of(net, "w-battery") == pytest.approx(2 * 1.91e-3 * HOT + default(key).value + 0.00005)


def test_small_wires_end_in_small_rings() -> None:
    """4 mm² takes the joint of small ring terminals twice."""
    size = {"label": "4 mm²", "area_mm2": 4.0, "resistance_ohm_per_m": 4.95e-3}
    net = net_of(boat(conductors=[conductor("w-plotter", size=size)]))

    assert ohm_of(net, "w-plotter") == pytest.approx(2 * 4.95e-3 * HOT + 2 * 0.00025)


def test_given_goes_before_assumed_and_measured_before_given() -> None:
    """Stated resistance replaces the wire, a measured one the joints too; a stated joint its own end."""
    given = conductor("w-battery", resistance_ohm=0.004, tail_joint={"resistance_ohm": 0.001})
    measured = conductor("w-fuse", resistance_ohm=0.004, measured_resistance_ohm=0.0123)
    net = net_of(boat(conductors=[given, measured]))

    assert ohm_of(net, "w-battery") == pytest.approx(0.004 + 0.001 + 0.00005)
    assert ohm_of(net, "w-fuse") == pytest.approx(0.0123)


def test_override_for_one_conductor_goes_before_that_for_the_boat() -> None:
    """Order: part, boat, default."""
    overrides = [
        {"key": "conductor_temperature", "low": 20, "value": 50, "high": 60, "source": "measured aboard"},
        {
            "key": "conductor_temperature",
            "subject": "w-fuse",
            "low": 20,
            "value": 20,
            "high": 20,
            "source": "in the bilge",
        },
    ]
    net = net_of(boat(assumptions=overrides))

    assert ohm_of(net, "w-fuse") == pytest.approx(2 * 1.91e-3 + 1e-4)
    assert ohm_of(net, "w-battery") == pytest.approx(2 * 1.91e-3 * (234.5 + 50) / 254.5 + 1e-4)
    used = [one for one in net.figures.used if one is not None and one.key == "conductor_temperature"]
    assert {(one.subject, one.value, one.overridden) for one in used} == {
        (None, 50.0, True),
        ("w-fuse", 20.0, True),
    }


def test_cable_makers_ohm_per_metre_goes_before_the_table() -> None:
    """A cable that states its own resistance is taken at its word."""
    cable = {"id": "c-1", "construction": "single", "ohm_per_m": 0.003}
    net = net_of(boat(cables=[cable], conductors=[conductor("w-battery", cable="c-1")]))

    assert ohm_of(net, "w-battery") == pytest.approx(2 * 0.003 * HOT + 1e-4)


def test_wire_without_size_is_its_joints_and_is_named_as_unknown() -> None:
    """What is not known is said, not guessed."""
    net = net_of(boat(conductors=[conductor("w-battery", size=None)]))

    assert ohm_of(net, "w-battery") == pytest.approx(1e-4)
    assert [name for name, _ in net.unknown] == ["w-battery"]


def test_loose_conductor_is_no_element() -> None:
    """A loose end carries nothing."""
    net = net_of(boat(conductors=[conductor("w-battery", head=None)]))

    assert "w-battery" not in net.rows_of


def test_bolted_link_is_one_joint() -> None:
    """Metal on metal: one joint, or a joint at each end where both are stated."""
    link = {"id": "w-strap", "kind": "link", "tail": {"part": "bar", "terminal": "stud-4"}}
    head = {"head": {"part": "bar", "terminal": "stud-5"}}
    both = {"tail_joint": {"resistance_ohm": 1e-4}, "head_joint": {"resistance_ohm": 2e-4}}

    assert ohm_of(net_of(boat(conductors=[{**link, **head}])), "w-strap") == pytest.approx(5e-5)
    assert ohm_of(net_of(boat(conductors=[{**link, **head, **both}])), "w-strap") == pytest.approx(3e-4)


def test_devices_drop_a_stated_voltage_at_their_rating() -> None:
    """200 A class T: 0.1 V / 200 A; a 10 A breaker 0.15 V / 10 A; a 10 A blade fuse 0.12 V / 10 A."""
    blade = {"kind": "fuse", "id": "blade", "name": "Blade", "device_class": "blade", "rating_a": 10.0}
    unknown = {"kind": "breaker", "id": "unknown", "name": "Breaker"}
    net = net_of(boat(parts=[blade, unknown]))

    assert ohm_of(net, "fuse") == pytest.approx(0.1 / 200)
    assert ohm_of(net, "panel.dc-spare") == pytest.approx(0.15 / 10)
    assert ohm_of(net, "panel.dc-plotter") == pytest.approx(0.01)
    assert ohm_of(net, "blade") == pytest.approx(0.12 / 10)
    assert ohm_of(net, "unknown") == pytest.approx(default("panel_switch_resistance").value)
    assert "unknown" in {name for name, _ in net.unknown}


def test_switch_joins_what_the_mode_sets() -> None:
    """On in its normal position, apart where the mode says off; so are devices and ways."""
    positions = [
        {"part": "switch", "position": "off"},
        {"part": "fuse", "position": "off"},
        {"part": "panel", "way": "dc-spare", "position": "off"},
    ]
    net = net_of(boat(modes=[{"id": "off", "name": "Off", "positions": positions}]), "off")

    assert not {"switch", "fuse", "panel.dc-spare"} & set(net.rows_of)
    assert {label.element for _, _, label in net.open_pairs} == {"switch", "fuse", "panel.dc-spare"}
    assert ohm_of(net_of(boat()), "switch") == pytest.approx(0.0002)


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"is_battery_switch": True}, "switch_contact_resistance"),
        ({"is_battery_switch": False, "continuous_a": 100.0}, "switch_contact_resistance"),
        ({"is_battery_switch": False}, "panel_switch_resistance"),
        ({"coil": {"kind": "coil", "current_a": 1.0, "rated_voltage_v": 12.0}}, "relay_contact_resistance"),
    ],
)
def test_contact_resistance_by_what_the_contact_is(changes: dict[str, object], key: str) -> None:
    """A relay, a battery switch, or a small switch."""
    net = net_of(boat(parts=[part("switch", resistance_ohm=None, **changes)]))

    assert ohm_of(net, "switch") == pytest.approx(default(key).value)


def test_coil_draws_current_while_its_contact_is_pulled() -> None:
    """12 V and 1 A make 12 Ω, in the circuit only out of the normal position."""
    coil = {"kind": "coil", "current_a": 1.0, "rated_voltage_v": 12.0}
    net = net_of(boat(parts=[part("switch", coil=coil)]))
    pulled = net_of(boat(parts=[part("switch", coil=coil)]), "off")
    key = ("switch", "coil-positive")

    assert net.off[net.inputs[key]]
    assert not pulled.off[pulled.inputs[key]]
    assert net.network.resistive.ohm[0] == pytest.approx(12.0)


def test_shunt_is_what_is_printed_on_it() -> None:
    """50 mV at 500 A is 0.1 mΩ."""
    assert ohm_of(net_of(boat()), "shunt") == pytest.approx(1e-4)


def test_bar_with_section_and_pitch_is_a_chain() -> None:
    """Copper of 60 mm²: ρ l / A = 1/58 µΩ·m · 20 mm / 60 mm² a link (IEC 60028); brass four times that."""
    bar = part("bar", section_mm2=60.0, stud_pitch_m=0.02)
    net, brass = net_of(boat(parts=[bar])), net_of(boat(parts=[{**bar, "material": "brass"}]))

    rows = list(net.rows_of["bar"])
    assert net.network.resistors.ohm[rows] == pytest.approx(np.full(5, 1 / 58e6 * 0.02 / 60e-6), rel=1e-3)
    assert brass.network.resistors.ohm[rows] == pytest.approx(4 * net.network.resistors.ohm[rows])
    assert net_of(boat()).node("bar", "stud-1") == net_of(boat()).node("bar", "stud-6")


def test_a_link_ends_in_the_joint_of_its_style() -> None:
    """0.02 mΩ of a soldered splice (the assumption), and no wire."""
    soldered = conductor("w-strap", kind="link", tail_joint={"style": "soldered"}, size=None, length_m=None)
    net = net_of(boat(conductors=[soldered]))

    assert ohm_of(net, "w-strap") == pytest.approx(default("joint_resistance_splice").value, rel=1e-12)


def test_a_range_without_width_is_no_uncertainty() -> None:
    """A length from 2 m to 2 m is 2 m; one from 2 m to 3 m has a band."""
    figures = {"w-battery": {"low": 2.0, "high": 2.0}, "w-strap": {"low": 2.0, "high": 3.0}}
    net = net_of(boat(conductors=[conductor(name, length_m=span) for name, span in figures.items()]))

    assert {net.labels[row].element for row, figure, _ in net.bands if figure == "ohm"} == {"w-strap"}
    assert ohm_of(net, "w-battery") == pytest.approx(2 * 1.91e-3 * HOT + 2 * 0.00005, rel=1e-12)


def test_block_with_a_resistance_is_a_star() -> None:
    """0.2 mΩ from any stud to any other."""
    net = net_of(boat(parts=[part("block", resistance_ohm=0.0002)]))

    assert net.network.resistors.ohm[list(net.rows_of["block"])] == pytest.approx(np.full(3, 1e-4))


def test_connector_has_its_pins_apart() -> None:
    """Each pin as stated, or 3 mΩ."""
    plug = {"kind": "connector", "id": "plug", "name": "Plug", "style": "plug", "pins": 2}
    net, stated = net_of(boat(parts=[plug])), net_of(boat(parts=[{**plug, "resistance_ohm": 0.002}]))

    assert net.network.resistors.ohm[list(net.rows_of["plug"])] == pytest.approx([0.003, 0.003])
    assert stated.network.resistors.ohm[list(stated.rows_of["plug"])] == pytest.approx([0.002, 0.002])


def test_a_resistive_load_is_no_load_of_constant_power() -> None:
    """V²/P of its rating; of the small boat's inputs the starter's alone is left among the others."""
    lamp = {"kind": "resistive", "rated_power_w": 24.0, "rated_voltage_v": 12.0}
    net = net_of(boat(parts=[part("plotter", inputs=[{"id": "supply", "demand": lamp}])]))
    row = net.inputs["plotter", "supply"] - net.network.spans["resistive"].start

    assert net.network.resistive.ohm[row] == pytest.approx(6.0)
    assert len(net.network.loads) == 1


WAYS = [
    ("given", "fuse", {"resistance_ohm": 0.004}),
    ("range", "fuse", {"resistance_ohm": {"low": 0.002, "high": 0.006, "value": 0.003}}),
    ("breaker", "breaker", {"rating_a": 20.0}),
    ("blade", "fuse", {"rating_a": 20.0, "device_class": "blade"}),
    ("bolted", "fuse", {"rating_a": 20.0, "device_class": "bolt-down"}),
    ("unrated", "breaker", {"device_class": "thermal-breaker"}),
    ("unseen", "fuse", None),
]
WAY_OHM = {
    "given": 0.004,
    "range": 0.003,
    "breaker": default("breaker_drop_at_rating").value / 20.0,
    "blade": default("blade_fuse_drop_at_rating").value / 20.0,
    "bolted": default("fuse_drop_at_rating").value / 20.0,
    "unrated": default("panel_switch_resistance").value,
    "unseen": default("panel_switch_resistance").value,
}


@pytest.mark.parametrize("own_drop_v", [None, 0.4])
def test_device_of_a_way_is_what_is_known_of_it(own_drop_v: float | None) -> None:
    """Given, else the assumed drop at its rating over the rating: the panel's own drop before the boat's."""
    ways = [{"id": name, "name": name, "device_kind": kind, "device": device} for name, kind, device in WAYS]
    section = {"id": "dc", "name": "Circuits", "polarity": "positive", "ways": ways}
    panel = {"kind": "panel", "id": "many", "name": "Many", "sections": [section]}
    drop = {"key": "breaker_drop_at_rating", "low": 0.3, "high": 0.5, "source": "Measured"}
    own = [{**drop, "subject": "many", "value": own_drop_v}] if own_drop_v else []
    net = net_of(boat(parts=[panel], assumptions=own))

    expected = WAY_OHM | ({"breaker": own_drop_v / 20.0} if own_drop_v else {})
    assert {name: ohm_of(net, f"many.dc-{name}") for name in expected} == pytest.approx(expected, rel=1e-12)
    assert [subject for subject, _ in net.unknown].count("many") == 2


def test_panel_main_stands_between_feed_and_bar() -> None:
    """A main breaker, on or off; a way without a device is the bar; studs too."""
    section = part("panel")["sections"][0]
    main = {
        "main_kind": "breaker",
        "main": {"rating_a": 50.0},
        "studs": 2,
        "ways": [{"id": "x", "name": "X"}],
    }
    panel = {"kind": "panel", "id": "other", "name": "Other", "sections": [{**section, **main}]}
    off = [{"part": "other", "way": "dc-feed", "position": "off"}]
    net = net_of(boat(parts=[panel]))
    opened = net_of(boat(parts=[panel], modes=[{"id": "off", "name": "Off", "positions": off}]), "off")

    assert ohm_of(net, "other.dc-feed") == pytest.approx(0.15 / 50)
    assert net.node("other", "dc-x") == net.node("other", "dc-stud-1") != net.node("other", "dc-feed")
    assert "other.dc-feed" not in opened.rows_of


def test_battery_as_stated_and_as_assumed() -> None:
    """Stated figures as they are; else rest voltage by charge, resistance by cranking rating or capacity."""
    net = net_of(boat())
    assert (net.network.sources.emf_v[0], net.network.sources.ohm[0]) == (12.7, pytest.approx(0.005))

    bare = part("battery", internal_resistance_ohm=None, rest_voltage_v=None, cranking_a=800.0)
    by_cranking = net_of(boat(parts=[bare])).network.sources
    # (12.6 - 7.2) V / 800 A, 0.55 of it when warm, 1.2 for age, exp(0.012 · 5) for 20 °C: the assumptions
    assert by_cranking.ohm[0] == pytest.approx(5.4 / 800 * 0.55 * 1.2 * np.exp(0.06), rel=1e-9)
    assert 12.3 < by_cranking.emf_v[0] < 12.8

    capacity = {**bare, "cranking_a": None, "capacity_ah": 100.0}
    assert net_of(boat(parts=[capacity])).network.sources.ohm[0] == pytest.approx(
        0.35 / 100 * 1.2 * np.exp(0.06), rel=1e-9
    )
    nothing = net_of(boat(parts=[{**bare, "cranking_a": None}]))
    assert "battery" in {name for name, _ in nothing.unknown}


def test_conditions_of_the_event_change_the_battery() -> None:
    """A lower charge lowers the rest voltage; cold and age multiply the stated resistance."""
    cold = Conditions(state_of_charge=0.5, temperature_c=0.0, age_factor=2.0)
    sources = net_of(boat(), conditions=cold).network.sources

    assert sources.ohm[0] == pytest.approx(0.005 * 2 * np.exp(0.012 * 25))
    assert sources.emf_v[0] < 12.5


def test_stalled_motor_is_inrush_voltage_over_inrush_current() -> None:
    """8 V and 400 A at its own terminals: 20 mΩ; out of the circuit until its event."""
    net = net_of(boat())
    key = ("starter", "supply")

    stalled = net.stalled[key]
    assert net.network.resistive.ohm[stalled - net.network.spans["resistive"].start] == pytest.approx(0.02)
    assert net.off[stalled]
    assert not net.off[net.inputs[key]]


def test_unknown_inrush_is_a_multiple_of_running() -> None:
    """150 A of cranking current times 2.5, at 12 V."""
    motor = {"kind": "motor", "running_current_a": 150.0}
    net = net_of(boat(parts=[load("starter", motor, role="starter", heavy=True)]))

    assert net.network.resistive.ohm[0] == pytest.approx(12 / (2.5 * 150))


def test_demands_of_each_kind() -> None:
    """Power, current, a lamp's resistance and a coil's; a range counts by its likeliest value."""
    lamp = load("lamp", {"kind": "resistive", "rated_power_w": 24.0, "rated_voltage_v": 12.0})
    valve = load("valve", {"kind": "coil", "current_a": 0.5, "rated_voltage_v": 12.0})
    radio = load("radio", {"kind": "constant-current", "current_a": {"low": 1.0, "high": 6.0, "value": 2.0}})
    net = net_of(boat(parts=[lamp, valve, radio]))
    loads, resistive = net.network.loads, net.network.resistive

    def row(name: str, kind: str) -> int:
        return net.inputs[name, "supply"] - int(net.network.spans[kind].start)

    assert resistive.ohm[row("lamp", "resistive")] == pytest.approx(6.0)
    assert resistive.ohm[row("valve", "resistive")] == pytest.approx(24.0)
    assert (loads.amount[row("radio", "loads")], loads.is_power[row("radio", "loads")]) == (2.0, 0.0)
    assert (loads.amount[row("plotter", "loads")], loads.is_power[row("plotter", "loads")]) == (20.0, 1.0)
    assert loads.cut_out_v[row("plotter", "loads")] == pytest.approx(0.75 * 12)
    assert net.off[net.inputs["lamp", "supply"]]


def test_load_passes_its_supply_on() -> None:
    """An output hangs on its input by the resistance stated, else by that of a pin."""
    stated = {"id": "out", "from_input": "supply", "resistance_ohm": 0.02}
    plain = {"id": "aux", "from_input": "supply"}
    subject = boat(
        parts=[
            load("plotter", {"kind": "constant-power", "power_w": 20.0}, outputs=[stated, plain]),
            load("sounder", {"kind": "constant-current", "current_a": 1.0}),
        ],
        conductors=[
            wire("w-sub", "plotter.out", "sounder.supply"),
            wire("w-sub-neg", "sounder.negative", "plotter.negative"),
        ],
        modes=[{"id": "on", "name": "On", "on": [{"part": "sounder"}]}],
    )
    net = net_of(subject, "on")

    assert ohms_of(net, "plotter") == pytest.approx([0.02, 0.003])
    point = operating_point(net.network, net.off)
    assert point.current_a[net.rows_of["w-plotter"][0]] == pytest.approx(1.0)


def test_heavy_load_that_is_no_motor_starts_as_it_runs() -> None:
    """Glow plugs: the same resistance, in the circuit with the event."""
    glow = load(
        "glow",
        {"kind": "resistive", "rated_power_w": 480.0, "rated_voltage_v": 12.0},
        heavy=True,
        role="glow-plugs",
    )
    net = net_of(boat(parts=[glow]))
    element = net.stalled["glow", "supply"] - net.network.spans["resistive"].start

    assert net.network.resistive.ohm[element] == pytest.approx(0.3)


def test_inverter_runs_at_rated_and_starts_at_surge_power() -> None:
    """1000 W and 2000 W over an efficiency of 0.9; without a stated surge twice the rated power."""
    inverter = {
        "kind": "inverter",
        "id": "inverter",
        "name": "Inverter",
        "rated_power_w": 1000.0,
        "surge_power_w": 2000.0,
        "efficiency": 0.9,
        "charge_current_a": 50.0,
    }
    net = net_of(boat(parts=[inverter]))
    plain = net_of(boat(parts=[{**inverter, "surge_power_w": None}]))
    first, key = net.network.spans["loads"].start, ("inverter", "positive")

    assert net.network.loads.amount[net.inputs[key] - first] == pytest.approx(1000 / 0.9)
    assert net.network.loads.amount[net.stalled[key] - first] == pytest.approx(2000 / 0.9)
    assert plain.network.loads.amount[plain.stalled[key] - first] == pytest.approx(2 * 1000 / 0.9)
    assert "inverter" in {name for name, _ in net.unknown}


def test_charging_sources_are_on_where_the_mode_lists_them() -> None:
    """Alternator at its hot current, charger shared among its outputs, solar; 14.2 V assumed."""
    parts = [
        {
            "kind": "alternator",
            "id": "alternator",
            "name": "Alternator",
            "rated_current_a": 80.0,
            "hot_cruise_a": 60.0,
        },
        {"kind": "charger", "id": "charger", "name": "Charger", "outputs": 2, "rated_current_a": 30.0},
        {"kind": "solar", "id": "solar", "name": "Solar", "rated_current_a": 10.0, "setpoint_v": 14.4},
    ]
    sensing = {**parts[0], "sense_at": "sense-terminal", "output_resistance_ohm": 0.02}
    on = {"id": "on", "name": "On", "on": [{"part": "charger"}]}
    net = net_of(boat(parts=parts, modes=[on]), "on")
    start = net.network.spans["limited"].start

    assert net.network.limited.limit_a.tolist() == [60.0, 15.0, 15.0, 10.0]
    assert net.network.limited.setpoint_v.tolist() == pytest.approx([14.2, 14.2, 14.2, 14.4])
    assert net.off[start : start + 4].tolist() == [True, False, False, True]
    stated = net_of(boat(parts=[sensing]))
    assert stated.network.limited.ohm[0] == pytest.approx(0.02)
    assert "alternator" in {name for name, _ in stated.unknown}


def test_combiner_as_the_mode_sets_it() -> None:
    """Auto a relay with its two voltages, closed a contact, open nothing."""
    combiner = {"kind": "combiner", "id": "combiner", "name": "Combiner"}

    def in_position(position: str) -> Netlist:
        mode = {"id": "on", "name": "On", "positions": [{"part": "combiner", "position": position}]}
        return net_of(boat(parts=[combiner], modes=[mode]), "on")

    auto = in_position("auto").network.relays
    assert (auto.close_v[0], auto.open_v[0]) == (pytest.approx(13.3), pytest.approx(12.8))
    assert ohm_of(in_position("closed"), "combiner") == pytest.approx(0.0007)
    assert "combiner" not in in_position("open").rows_of
    stated = {**combiner, "resistance_ohm": 0.001, "connect_v": 13.4, "disconnect_v": 12.9}
    relays = net_of(boat(parts=[stated])).network.relays
    assert (relays.ohm[0], relays.close_v[0], relays.open_v[0]) == (0.001, 13.4, 12.9)


def test_isolator_is_a_diode_to_each_output() -> None:
    """As assumed 0.65 V and 2 mΩ, or as stated."""
    isolator = {"kind": "isolator", "id": "isolator", "name": "Isolator", "outputs": 3}
    diodes = net_of(boat(parts=[isolator])).network.diodes
    stated = net_of(boat(parts=[{**isolator, "forward_v": 0.1, "resistance_ohm": 0.001}])).network.diodes

    assert diodes.drop_v.tolist() == pytest.approx([0.65] * 3)
    assert diodes.ohm.tolist() == pytest.approx([0.002] * 3)
    assert (stated.drop_v[0], stated.ohm[0]) == (0.1, 0.001)


def test_converter_supplies_in_every_mode_and_charges_where_listed() -> None:
    """Both with common and with isolated negative."""
    supply = {"kind": "converter", "id": "dcdc", "name": "DC-DC", "output_v": 24.0, "rated_current_a": 10.0}
    net = net_of(boat(parts=[supply]))
    charging = net_of(
        boat(parts=[{**supply, "role": "charger", "isolated": True, "output_resistance_ohm": 0.1}])
    )
    limited = net.network.spans["limited"].start

    assert not net.off[limited]
    assert charging.off[charging.network.spans["limited"].start]
    assert net.network.limited.tail[0] == net.node("dcdc", "negative")
    assert charging.network.limited.tail[0] == charging.node("dcdc", "output-negative")
    assert charging.network.limited.ohm[0] == 0.1
    assert net.network.converters.efficiency.tolist() == pytest.approx([0.9])


def test_outboard_is_starter_electronics_and_charging_behind_its_harness() -> None:
    """Its node inside lies beyond the harness; it charges where the mode lists the whole engine."""
    outboard = {
        "kind": "outboard",
        "id": "outboard",
        "name": "Outboard",
        "starter": {
            "kind": "motor",
            "running_current_a": 100.0,
            "inrush_current_a": 300.0,
            "inrush_voltage_v": 9.0,
        },
        "harness_ohm": 0.002,
        "control_power_w": 30.0,
        "charging_a": 16.0,
    }
    running = {"id": "on", "name": "On", "on": [{"part": "outboard"}]}
    electrics = {"id": "off", "name": "Off", "on": [{"part": "outboard", "input": "positive"}]}
    subject = boat(parts=[outboard], modes=[running, electrics])
    net, quiet = net_of(subject, "on"), net_of(subject, "off")
    key, limited = ("outboard", "positive"), net.network.spans["limited"].start

    assert ohm_of(net, "outboard") == pytest.approx(0.002)
    assert net.network.tail[net.inputs[key]] != net.node("outboard", "positive")
    stalled = net.stalled[key] - net.network.spans["resistive"].start
    assert net.network.resistive.ohm[stalled] == pytest.approx(0.03)
    assert not net.off[limited]
    assert quiet.off[limited]
    assert not quiet.off[quiet.inputs[key]]


def test_part_of_another_island_has_its_nominal_voltage() -> None:
    """Cut-out and set points follow the island."""
    islands = [{"id": "high", "name": "24 V", "nominal_voltage_v": 24.0}]
    solar = {"kind": "solar", "id": "solar", "name": "Solar", "rated_current_a": 10.0, "island": "high"}
    net = net_of(boat(islands=islands, parts=[solar, part("plotter", island="high")]))

    assert net.network.limited.setpoint_v[0] == pytest.approx(28.4)
    inputs, loads = [net.inputs[key] for key in net.inputs if key[0] == "plotter"], net.network.spans["loads"]
    assert net.network.loads.cut_out_v[inputs[0] - loads.start] == pytest.approx(18.0)


def test_separate_charge_port_is_the_positive_post() -> None:
    """A pack with separate ports is one node at both (what its electronics do is not computed)."""
    net = net_of(boat(parts=[part("battery", pack={"ports": "separate"})]))

    assert net.node("battery", "charge") == net.node("battery", "positive")


def test_both_joints_of_a_wire_may_be_ranges_of_their_own() -> None:
    """Middle of each range: 0.2 mΩ at the tail, 2 mΩ at the head."""
    joints = {
        "tail_joint": {"resistance_ohm": {"low": 0.0001, "high": 0.0003}},
        "head_joint": {"resistance_ohm": {"low": 0.001, "high": 0.003}},
    }
    net = net_of(boat(conductors=[conductor("w-battery", **joints)]))

    assert ohm_of(net, "w-battery") == pytest.approx(2 * 1.91e-3 * HOT + 0.0002 + 0.002, rel=1e-12)
