"""What takes current, by what a person knows of it."""

from functools import partial

from server.boat.catalogue.entry import Entry, Fields, Made, Question

GROUP = "Loads"
POWER_W = Question("power_w", "Takes", unit="W", most=50_000.0, needed=True)
NEEDS_V = Question("needs_v", "Needs at least", unit="V", most=1000.0)
RUNNING_A = Question("running_a", "Running current", unit="A", needed=True)
INRUSH_A = Question("inrush_a", "Inrush current", unit="A")
MAKER = "As entered when the part was put in"
FUELS = (("petrol", "Petrol"), ("diesel", "Diesel"), ("electric", "Electric"))


def _steady(role: str, circuit: str, made: Made) -> Fields:
    """Electronics, lights: constant power with what it needs."""
    supply: Fields = {"id": "supply", "demand": {"kind": "constant-power", "power_w": made["power_w"]}}
    if made["needs_v"] is not None:
        supply |= {"minimum_voltage_v": made["needs_v"], "limit_source": MAKER}
    return {"kind": "load", "role": role, "inputs": [supply], "circuit_class": circuit}


def _resistive(role: str, made: Made) -> Fields:
    """A heating element: its power at the boat's nominal voltage."""
    demand: Fields = {"kind": "resistive", "rated_power_w": made["power_w"], "rated_voltage_v": made.volts}
    return {"kind": "load", "role": role, "inputs": [{"id": "supply", "demand": demand}]}


def _motor(role: str, made: Made) -> Fields:
    """A small motor: its running current at the boat's nominal voltage."""
    demand: Fields = {
        "kind": "motor",
        "running_current_a": made["running_a"],
        "running_voltage_v": made.volts,
    }
    circuit = "critical" if role == "bilge-pump" else "other"
    return {
        "kind": "load",
        "role": role,
        "inputs": [{"id": "supply", "demand": demand}],
        "circuit_class": circuit,
    }


def _heavy(role: str, made: Made) -> Fields:
    """A heavy motor: inrush and running current, as far as they are known."""
    demand: Fields = {"kind": "motor", "running_current_a": made["running_a"]}
    if made["inrush_a"] is not None:
        demand["inrush_current_a"] = made["inrush_a"]
    return {
        "kind": "load",
        "role": role,
        "heavy": True,
        "duty": "momentary" if role == "starter" else "short-time",
        "inputs": [{"id": "motor", "demand": demand}],
    }


def _outboard(made: Made) -> Fields:
    starter: Fields = {"kind": "motor", "running_current_a": made["running_a"]}
    if made["inrush_a"] is not None:
        starter["inrush_current_a"] = made["inrush_a"]
    return {"kind": "outboard", "starter": starter, "charging_a": made["charging_a"], "fuel": made["fuel"]}


def _steady_entry(word: str, title: str, role: str, circuit: str = "other") -> Entry:
    return Entry(word, title, GROUP, (POWER_W, NEEDS_V), partial(_steady, role, circuit))


def _motor_entry(word: str, title: str, role: str) -> Entry:
    return Entry(word, title, GROUP, (RUNNING_A,), partial(_motor, role))


def _heavy_entry(word: str, title: str) -> Entry:
    return Entry(word, title, GROUP, (RUNNING_A, INRUSH_A), partial(_heavy, word))


LOADS = (
    _steady_entry("electronics", "Electronics: plotter, sounder, instruments", "electronics", "critical"),
    _steady_entry("autopilot", "Autopilot", "autopilot", "critical"),
    _steady_entry("radio", "Radio", "radio", "critical"),
    _steady_entry("navigation-lights", "Navigation lights", "navigation-lights", "critical"),
    _steady_entry("lights", "Lights below", "lights"),
    _steady_entry("refrigeration", "Refrigerator", "refrigeration"),
    _steady_entry("outlet", "Outlet", "outlet"),
    _motor_entry("bilge-pump", "Bilge pump", "bilge-pump"),
    _motor_entry("pump", "Other pump, fan or small motor", "pump"),
    Entry("heating", "Heating element, glow plugs", GROUP, (POWER_W,), partial(_resistive, "heating")),
    _heavy_entry("starter", "Engine starter"),
    _heavy_entry("windlass", "Windlass"),
    _heavy_entry("thruster", "Thruster"),
    _heavy_entry("winch", "Electric winch"),
    Entry(
        "outboard",
        "Outboard engine with its harness",
        GROUP,
        (
            RUNNING_A,
            INRUSH_A,
            Question("charging_a", "Charges with", unit="A"),
            Question("fuel", "Fuel", "choice", choices=FUELS, usual="petrol"),
        ),
        _outboard,
    ),
)
