"""Batteries, and what charges, joins or converts them."""

from server.boat.catalogue.entry import Entry, Fields, Made, Question

GROUP = "Batteries and charging"
CHEMISTRIES = (("flooded", "Flooded lead"), ("agm", "AGM"), ("gel", "Gel"), ("lifepo4", "LiFePO4"))
USES = (("house", "House"), ("start", "Start"), ("thruster", "Thruster"), ("other", "Other"))
RATED_A = Question("rated_a", "Rated current", unit="A", needed=True)
SETPOINT_V = Question("setpoint_v", "Set-point", unit="V", most=1000.0)
OUTPUTS = Question("outputs", "Outputs", "count", usual="1", most=4, needed=True)
BANKS = Question("outputs", "Outputs", "count", usual="2", most=4, needed=True)


def _battery(made: Made) -> Fields:
    return {
        "kind": "battery",
        "chemistry": made["chemistry"],
        "nominal_voltage_v": made["nominal_v"],
        "capacity_ah": made["capacity_ah"],
        "cranking_a": made["cranking_a"],
        "cranking_standard": None if made["cranking_a"] is None else "sae",
        "bank": dict(USES).get(str(made["use"])),
        "use": made["use"],
    }


def _alternator(made: Made) -> Fields:
    return {"kind": "alternator", "rated_current_a": made["rated_a"], "setpoint_v": made["setpoint_v"]}


def _charger(made: Made) -> Fields:
    outputs = round(made.figure("outputs"))
    return {
        "kind": "charger",
        "rated_current_a": made["rated_a"],
        "setpoint_v": made["setpoint_v"],
        "outputs": outputs,
    }


def _solar(made: Made) -> Fields:
    return {"kind": "solar", "rated_current_a": made["rated_a"], "setpoint_v": made["setpoint_v"]}


def _combiner(made: Made) -> Fields:
    return {
        "kind": "combiner",
        "rated_current_a": made["rated_a"],
        "connect_v": made["connect_v"],
        "disconnect_v": made["disconnect_v"],
    }


def _isolator(made: Made) -> Fields:
    return {"kind": "isolator", "rated_current_a": made["rated_a"], "outputs": round(made.figure("outputs"))}


def _converter(made: Made) -> Fields:
    return {
        "kind": "converter",
        "rated_current_a": made["rated_a"],
        "output_v": made["output_v"],
        "role": made["role"],
    }


def _inverter(made: Made) -> Fields:
    return {
        "kind": "inverter",
        "rated_power_w": made["rated_w"],
        "surge_power_w": made["surge_w"],
        "charge_current_a": made["charge_a"],
    }


SOURCES = (
    Entry(
        "battery",
        "Battery",
        GROUP,
        (
            Question("chemistry", "Chemistry", "choice", choices=CHEMISTRIES, usual="flooded"),
            Question("nominal_v", "Nominal voltage", unit="V", usual="12", most=1000.0, needed=True),
            Question("capacity_ah", "Capacity", unit="Ah"),
            Question("cranking_a", "Cold cranking rating", unit="A"),
            Question("use", "Use", "choice", choices=USES, usual="house"),
        ),
        _battery,
    ),
    Entry("alternator", "Alternator", GROUP, (RATED_A, SETPOINT_V), _alternator),
    Entry("charger", "Battery charger", GROUP, (RATED_A, SETPOINT_V, OUTPUTS), _charger),
    Entry("solar", "Solar controller", GROUP, (RATED_A, SETPOINT_V), _solar),
    Entry(
        "combiner",
        "Combining relay",
        GROUP,
        (
            Question("rated_a", "Rated current", unit="A"),
            Question("connect_v", "Joins at", unit="V", most=1000.0),
            Question("disconnect_v", "Parts at", unit="V", most=1000.0),
        ),
        _combiner,
    ),
    Entry(
        "isolator",
        "Diode isolator",
        GROUP,
        (Question("rated_a", "Rated current", unit="A"), BANKS),
        _isolator,
    ),
    Entry(
        "converter",
        "DC-DC converter",
        GROUP,
        (
            Question("output_v", "Output", unit="V", usual="14.2", most=1000.0, needed=True),
            RATED_A,
            Question(
                "role",
                "Use",
                "choice",
                choices=(("charger", "Charges a bank"), ("supply", "Supplies loads")),
                usual="charger",
            ),
        ),
        _converter,
    ),
    Entry(
        "inverter",
        "Inverter or inverter/charger",
        GROUP,
        (
            Question("rated_w", "Rated power", unit="W", most=100_000.0, needed=True),
            Question("surge_w", "Surge power", unit="W", most=200_000.0),
            Question("charge_a", "Charges with", unit="A"),
        ),
        _inverter,
    ),
)
