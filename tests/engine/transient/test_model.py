"""From boat to circuit in time: the same network as the steady answers, and what time adds to it."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from server.boat.boat import Boat
from server.boat.events import events_of
from server.engine.arrays import Floats
from server.engine.solution import Solution
from server.engine.transient.circuit import TransientCircuit, TransientError
from server.engine.transient.draw import Draw
from server.engine.transient.model import BoatModel, circuit_of
from server.engine.transient.solver import solve
from tests.engine.boats import boat, conductor, load, part, wire
from tests.engine.demo import demo_boat

EVENTS = [
    (name, event.id)
    for name in ("1-sloop", "2-trawler", "3-workboat", "4-outboard")
    for event in events_of(demo_boat(name))
]
AS_CURRENT = {"inrush_multiple_starter"}
NO_WINDING = ("motor_leakage_time", "motor_main_time")
NO_INDUCTANCE = ("cable_inductance", "battery_inductance", "twin_inductance_ratio")
MOTOR: dict[str, Any] = {
    "kind": "motor",
    "running_current_a": 150.0,
    "running_voltage_v": 10.0,
    "inrush_current_a": 400.0,
    "inrush_voltage_v": 8.0,
    "run_up_s": 0.2,
}


def assumed(keys: tuple[str, ...], value: float) -> list[dict[str, Any]]:
    """Overrides that set assumptions to one value."""
    return [
        {"key": key, "low": value, "value": value, "high": value, "source": "for the test"} for key in keys
    ]


def starter(**motor: object) -> dict[str, Any]:
    """The small boat's starter with changed figures."""
    return load("starter", {**MOTOR, **motor}, role="starter", heavy=True)


def model_of(boat: Boat, event: str | None = None) -> BoatModel:
    """The model of an event, by default the first."""
    found = next(one for one in events_of(boat) if event in {None, one.id})
    solution = Solution.of(boat, found.mode)
    return BoatModel(solution, solution.event(found.id))


def rested(boat: Boat) -> Boat:
    """A boat whose engines nobody has preheated before: that takes charge, which the steady answer leaves."""
    events = tuple(
        one
        if one.conditions is None
        else one.model_copy(
            update={"conditions": one.conditions.model_copy(update={"preheat_before_a": None})}
        )
        for one in boat.events
    )
    return boat.model_copy(update={"events": events})


def input_volts(model: BoatModel, circuit: TransientCircuit, time_s: float) -> Floats:
    """The voltages of all loads that are on and fed, at an instant."""
    network, elements = model.network, model.solved.elements
    ends = model.numbers[network.tail[elements]], model.numbers[network.head[elements]]
    return solve(circuit).at_times(list(zip(*(e.tolist() for e in ends), strict=True)), np.array([time_s]))[
        :, 0
    ]


@pytest.mark.parametrize(("name", "event"), EVENTS)
def test_before_the_press_every_load_stands_where_the_steady_network_has_it(name: str, event: str) -> None:
    model = model_of(rested(demo_boat(name)), event)

    found = input_volts(model, replace(model.circuit(), end_s=1e-3), -0.005)

    assert found == pytest.approx(model.before.element_v[model.solved.elements], abs=1e-9)


@pytest.mark.parametrize(("name", "event"), [("1-sloop", "engine-start"), ("2-trawler", "thruster-burst")])
def test_a_motor_that_never_turns_is_the_steady_networks_first_instant(name: str, event: str) -> None:
    """Without inductance in the winding its resistance is inrush voltage over inrush current."""
    document = demo_boat(name)
    overrides = assumed(NO_WINDING, 0.0)
    stuck = document.model_copy(update={"assumptions": boat(assumptions=overrides).assumptions})
    model = model_of(stuck, event)
    circuit = model.circuit()
    held = tuple(replace(motor, inertia_j=1e12, ripple_fraction=0.0) for motor in circuit.motors)

    found = input_volts(model, replace(circuit, motors=held), 0.9)

    assert found == pytest.approx(model.solved.present.element_v[model.solved.elements], abs=1e-6)


def test_with_ever_less_inductance_the_lowest_voltage_comes_to_the_steady_one() -> None:
    document = demo_boat("1-sloop")
    apart = []
    for share in (1.0, 0.1, 0.001):
        overrides = [
            *assumed(NO_WINDING, 7e-3 * share),
            *assumed(("cable_inductance", "battery_inductance"), 1e-7 * share),
            *assumed(("twin_inductance_ratio",), share),
        ]
        model = model_of(document.model_copy(update={"assumptions": boat(assumptions=overrides).assumptions}))
        network, row = model.network, model.solved.elements[0]
        tail, head = int(model.numbers[network.tail[row]]), int(model.numbers[network.head[row]])
        lowest = solve(model.circuit()).extremes(tail, head)[0]
        apart.append(abs(lowest - float(model.solved.present.element_v[row])))

    assert apart == sorted(apart, reverse=True)
    assert apart[-1] < 0.02


def test_every_branch_has_the_steady_networks_resistance() -> None:
    model = model_of(demo_boat("2-trawler"), "windlass-break-out")
    circuit, point = model.circuit(), model.before

    stands = ~circuit.open_at_first
    alive = point.conductance[circuit.branch_element[stands]]
    assert circuit.branches.ohm[stands] == pytest.approx(1 / alive)
    assert circuit.branches.emf_v == pytest.approx(point.rise_v[circuit.branch_element])
    assert (model.numbers[model.network.tail[circuit.branch_element]] == circuit.branches.tail).all()


def test_the_circuit_is_the_models() -> None:
    model = model_of(boat(parts=[starter()]))

    assert circuit_of(model.solution, model.solved).end_s == model.circuit().end_s


@pytest.mark.parametrize(
    ("key", "is_own"),
    [
        ("joint_resistance", False),
        ("conductor_temperature", False),
        ("battery_state_of_charge", False),
        ("inrush_multiple_starter", False),
        ("cable_inductance", True),
        ("input_capacitance_per_ampere", True),
        ("motor_main_time", True),
        ("motor_load_share_starter", True),
        ("contact_arc_voltage", True),
    ],
)
@pytest.mark.parametrize("end", ["low", "high"])
def test_a_figure_drawn_at_an_end_is_the_boat_with_that_assumption(key: str, is_own: bool, end: str) -> None:
    """Drawing must be the same as assuming."""
    parts = [
        part("battery", rest_voltage_v=None),
        starter(inrush_current_a=None, inrush_voltage_v=None, running_current_a=100.0),
    ]
    nominal = model_of(boat(parts=parts))
    figures = nominal.own if is_own else nominal.net.figures
    nominal.circuit()
    level = figures.level(key, "")
    default = figures.default(key)
    value = getattr(default, end)
    assuming = model_of(boat(parts=parts, assumptions=assumed((key,), value))).circuit()
    net, own = np.zeros(len(nominal.net.figures.levels)), np.zeros(len(nominal.own.levels))
    position = -1.0 if end == "low" else 1.0
    # a resistance made from a current stands at its low end where the current is high
    (own if is_own else net)[level.number] = -position if key in AS_CURRENT else position
    drawn = nominal.circuit(Draw(net, own))

    for record, figures_of in (
        ("branches", ("ohm", "henry", "emf_v")),
        ("capacitors", ("farad", "ohm")),
        ("draws", ("amount",)),
    ):
        for name in figures_of:
            ours, theirs = (getattr(getattr(one, record), name) for one in (drawn, assuming))
            assert ours == pytest.approx(theirs, rel=1e-9 if is_own or record != "capacitors" else 0.05), name
    for name in ("ohm", "main_henry", "inertia_j", "load_w", "flux_ohm"):
        ours, theirs = (getattr(one.motors[0], name) for one in (drawn, assuming))
        assert ours == pytest.approx(theirs, rel=2e-3), name
    assert drawn.motors[0].arc == assuming.motors[0].arc


def test_two_heavy_loads_are_both_out_before_and_pressed_in_turn() -> None:
    document = demo_boat("2-trawler")
    event = next(one for one in document.events if one.id == "windlass-break-out")
    steps = [
        {"action": "press", "part": "windlass", "input": "motor", "at_s": 0.0},
        {"action": "press", "part": "thruster", "input": "motor", "at_s": 0.5},
        {"action": "release", "part": "windlass", "input": "motor", "at_s": 1.0},
    ]
    both = event.model_validate({**event.model_dump(), "steps": steps}, strict=False)
    model = model_of(document.model_copy(update={"events": (both,)}), "windlass-break-out")
    circuit = model.circuit()

    assert [motor.name for motor in circuit.motors] == ["Anchor windlass", "Bow thruster"]
    assert [motor.press_s for motor in circuit.motors] == [0.0, 0.5]
    assert circuit.motors[1].release_s == pytest.approx(0.5 + 0.25 + 1.0)
    assert model.before.current_a[model.net.inputs["thruster", "motor"]] == 0.0
    found = input_volts(model, replace(circuit, end_s=1e-3), -0.005)
    assert found == pytest.approx(model.before.element_v[model.solved.elements], abs=1e-9)


def test_a_heavy_load_that_is_not_fed_is_refused_by_name() -> None:
    modes = [
        {
            "id": "off",
            "name": "Off",
            "positions": [{"part": "switch", "position": "off"}],
            "on": [{"part": "starter"}],
        }
    ]

    with pytest.raises(TransientError, match="Starter is not fed"):
        model_of(boat(parts=[starter()], modes=modes), _default_event("off")).circuit()


def _default_event(mode: str) -> str:
    modes = [
        {
            "id": "off",
            "name": "Off",
            "positions": [{"part": "switch", "position": "off"}],
            "on": [{"part": "starter"}],
        }
    ]
    return next(one.id for one in events_of(boat(parts=[starter()], modes=modes)) if one.mode == mode)


def test_a_motor_whose_currents_contradict_each_other_is_refused_by_name() -> None:
    with pytest.raises(TransientError, match="Starter cannot be computed in time"):
        model_of(boat(parts=[starter(running_current_a=600.0)])).circuit()


@pytest.mark.parametrize(
    ("cranking", "load_w", "ripple"), [("loaded", True, 0.5), ("bench", False, 0.0), (None, True, 0.5)]
)
def test_a_starter_turns_an_engine_unless_it_stands_on_a_bench(
    cranking: str | None, load_w: bool, ripple: float
) -> None:
    event = {
        "id": "start",
        "name": "Start",
        "mode": "starting",
        "heavy": {"part": "starter", "input": "supply"},
        "conditions": {"cranking": cranking},
    }
    motor = model_of(boat(parts=[starter()], events=[event]), "start").circuit().motors[0]

    assert (motor.load_w > 0) == load_w
    assert motor.ripple_fraction == ripple
    assert motor.winding == "series"


def test_any_other_motor_has_permanent_magnets_and_no_ripple() -> None:
    for role in ("windlass", "pump"):
        winch = load("starter", {**MOTOR, "run_up_s": None}, role=role, heavy=True)
        motor = model_of(boat(parts=[winch])).circuit().motors[0]

        assert (motor.winding, motor.ripple_fraction, motor.saturation_a) == ("permanent-magnet", 0.0, None)
        assert motor.flux_ohm == 0.0 < motor.flux_v


def surge(demand: dict[str, Any]) -> TransientCircuit:
    """The small boat with a heavy load that is no motor."""
    heavy = load("starter", demand, role="heating", heavy=True)
    return model_of(boat(parts=[heavy])).circuit()


def test_a_heavy_load_that_is_no_motor_is_the_resistance_of_its_surge() -> None:
    """At the voltage of the first instant 100 W is V²/P, 20 A is V/I; a resistance is itself."""
    power = surge({"kind": "constant-power", "power_w": 100.0})
    current = surge({"kind": "constant-current", "current_a": 20.0})
    plain = surge({"kind": "resistive", "rated_power_w": 100.0, "rated_voltage_v": 12.0})

    assert power.motors[0].ohm == pytest.approx(12.5**2 / 100, rel=0.04)
    assert current.motors[0].ohm == pytest.approx(12.0 / 20, rel=0.02)
    assert plain.motors[0].ohm == pytest.approx(1.44)
    assert plain.motors[0].flux_v == 0.0
    assert plain.motors[0].release_s == pytest.approx(1.0)


def test_an_inverter_keeps_its_capacitor_while_it_surges() -> None:
    inverter = {
        "kind": "inverter",
        "id": "inverter",
        "name": "Inverter",
        "rated_power_w": 600.0,
        "input_capacitance_f": 0.01,
    }
    document = boat(
        parts=[inverter],
        conductors=[
            wire("w-inverter", "switch.out", "inverter.positive"),
            wire("w-inverter-return", "inverter.negative", "bar.stud-3"),
        ],
    )
    event = next(one.id for one in events_of(document) if one.heavy.part == "inverter")
    model = model_of(document, event)
    circuit = model.circuit()

    assert model.surges == ("Inverter",)
    assert model.derived == ()
    assert circuit.draws.amount[-1] == 0.0
    assert circuit.capacitors.farad[-1] == pytest.approx(0.01)
    volts = float(model.solved.present.element_v[model.solved.heavy_element])
    watts = float(volts * model.solved.present.current_a[model.solved.heavy_element])
    assert circuit.motors[0].ohm == pytest.approx(volts**2 / watts)


def test_what_was_worked_out_is_listed_with_its_formula() -> None:
    derived = {one.key: one for one in model_of(boat(parts=[starter()])).derived}

    assert derived["motor_back_emf"].value == pytest.approx(
        10.0 - derived["motor_stalled_resistance"].value * 150.0, rel=1e-6
    )
    assert derived["motor_load"].value + derived["motor_friction"].value == pytest.approx(
        150.0 * derived["motor_back_emf"].value
    )
    assert all(
        one.status == "derived" and one.source and one.subject == "starter" for one in derived.values()
    )


def henries(document: Boat) -> dict[str, float]:
    """Inductance of every element of the first event."""
    model = model_of(document)
    circuit = model.circuit()
    labels = [model.net.labels[row].element for row in circuit.branch_element.tolist()]
    return dict(zip(labels, circuit.branches.henry.tolist(), strict=True))


def test_wires_have_inductance_by_how_they_are_laid_and_joints_none() -> None:
    """A touching pair has 0.54 µH/m of run at 16 mm², half of it for each core; hardly less at 10 mm²."""
    cables = [{"id": "twin", "construction": "twin"}, {"id": "single", "construction": "single"}]
    laid = boat(
        parts=[starter()],
        cables=cables,
        conductors=[
            conductor("w-plotter", cable="twin"),
            conductor("w-feed", cable="single"),
            conductor("w-strap", kind="link", size=None, length_m=None),
            conductor("w-bar", length_m=None),
        ],
    )
    found = henries(laid)

    assert found["w-plotter"] == pytest.approx(0.54e-6, rel=0.05)
    assert found["w-feed"] == found["w-battery"] == pytest.approx(2.0 * 5e-7)
    assert found["w-strap"] == found["w-bar"] == found["switch"] == found["shunt"] == 0.0
    assert found["battery"] == pytest.approx(1e-7)


def test_over_a_metal_hull_single_cables_have_less_than_far_apart() -> None:
    """μ₀/2π acosh(2h/d) + 0.05 µH: 0.82 µH/m at 10 mm² 50 mm above it."""
    hull = {"kind": "bonding", "id": "hull", "name": "Hull", "role": "hull", "studs": 2}

    assert henries(boat(parts=[starter(), hull]))["w-feed"] == pytest.approx(2.0 * 0.83e-6, rel=0.03)


def test_what_a_person_assumes_goes_before_geometry() -> None:
    cables = [{"id": "twin", "construction": "twin"}]
    overrides = [{**assumed(("cable_inductance",), 9e-7)[0], "subject": "w-plotter"}]
    laid = boat(
        parts=[starter()],
        cables=cables,
        conductors=[conductor("w-plotter", cable="twin")],
        assumptions=overrides,
    )

    assert henries(laid)["w-plotter"] == pytest.approx(2.0 * 9e-7)


def solenoid(**coil: object) -> dict[str, Any]:
    """A load that is a coil of 2 A at 12 V."""
    return load(
        "stop", {"kind": "coil", "current_a": 2.0, "rated_voltage_v": 12.0, **coil}, role="stop-solenoid"
    )


@pytest.mark.parametrize(("given", "henry"), [({}, 4e-3 * 6.0), ({"inductance_h": 0.012}, 0.012)])
def test_a_coil_has_the_inductance_entered_or_that_of_its_time(given: dict[str, float], henry: float) -> None:
    modes = [
        {
            "id": "starting",
            "name": "Starting",
            "on": [{"part": one} for one in ("plotter", "starter", "stop")],
        }
    ]
    wired = boat(
        parts=[starter(), solenoid(**given)],
        modes=modes,
        conductors=[
            wire("w-stop", "switch.out", "stop.supply"),
            wire("w-stop-return", "stop.negative", "bar.stud-3"),
        ],
    )

    assert henries(wired)["stop"] == pytest.approx(henry)


@pytest.mark.parametrize(
    ("demand", "fields", "farad", "ohm"),
    [
        ({"kind": "constant-power", "power_w": 24.0}, {}, 1.9e-4, 0.158),
        ({"kind": "constant-power", "power_w": 0.1}, {}, 1e-5, 3.0),
        ({"kind": "motor", "running_current_a": 5.0}, {}, 1e-5, 0.12),
        (
            {"kind": "constant-current", "current_a": 1.0},
            {"input_capacitance_f": 4.7e-4, "input_capacitance_ohm": 0.05},
            4.7e-4,
            0.05,
        ),
    ],
)
def test_inputs_have_the_capacitor_entered_or_one_for_their_current(
    demand: dict[str, Any], fields: dict[str, float], farad: float, ohm: float
) -> None:
    """100 µF for an ampere, 10 µF at least, a motor no more; 30 µs over C, at most 5 % of V/I."""
    plotter = load("plotter", demand, input=fields)
    capacitors = model_of(boat(parts=[starter(), plotter])).circuit().capacitors

    assert capacitors.farad[0] == pytest.approx(farad, rel=0.03)
    assert capacitors.ohm[0] == pytest.approx(ohm, rel=0.03)


def preheated(*, plugs: str | None) -> BoatModel:
    """The small boat's start with 60 A of preheating meanwhile; plugs that are on, off, or none."""
    event = {
        "id": "start",
        "name": "Start",
        "mode": "starting",
        "heavy": {"part": "starter", "input": "supply"},
        "conditions": {"preheat_during_a": 60.0},
    }
    on = ["plotter", "starter", *(["plugs"] if plugs == "on" else [])]
    parts, conductors = [starter()], []
    if plugs is not None:
        parts.append(
            load(
                "plugs",
                {"kind": "resistive", "rated_power_w": 600.0, "rated_voltage_v": 12.0},
                role="glow-plugs",
            )
        )
        conductors = [
            wire("w-plugs", "switch.out", "plugs.supply"),
            wire("w-plugs-return", "plugs.negative", "block.stud-2"),
        ]
    modes = [{"id": "starting", "name": "Starting", "on": [{"part": one} for one in on]}]
    return model_of(boat(parts=parts, conductors=conductors, modes=modes, events=[event]), "start")


def test_preheating_is_drawn_where_the_glow_plugs_are_else_at_the_starter() -> None:
    at_plugs, at_starter = preheated(plugs="off"), preheated(plugs=None)

    for model, name in ((at_plugs, "Plugs"), (at_starter, "Starter")):
        circuit = model.circuit()
        assert circuit.branch_element[-1] == -1
        assert circuit.branches.ohm[-1] == pytest.approx(12.0 / 60.0)
        assert name in model.preheat.remark


def test_glow_plugs_that_are_on_are_in_the_network_already() -> None:
    model = preheated(plugs="on")

    assert model.preheat.ends is None
    assert (model.circuit().branch_element >= 0).all()


def test_a_converter_draws_what_it_drew_before() -> None:
    model = model_of(demo_boat("2-trawler"), "windlass-break-out")
    network, rows = model.network, model.draw_rows
    inputs = network.spans["loads"].start + network.converters.load
    circuit = model.circuit()

    for row in inputs[np.isin(inputs, rows)].tolist():
        watts = model.before.current_a[row] * model.before.element_v[row]
        assert circuit.draws.amount[np.flatnonzero(rows == row)[0]] == pytest.approx(watts)


def test_nodes_are_named_by_their_terminals() -> None:
    model = model_of(boat(parts=[starter()]))

    assert model.nodes["starter", "supply"] == model.circuit().motors[0].tail
    assert model.nodes["starter", "negative"] == model.circuit().motors[0].head
