"""What current passes on its way: fuses, breakers, switches, bars, panels, posts, plugs, metal."""

import re

from pydantic import JsonValue

from server.boat.catalogue.entry import Entry, Fields, Made, Question
from server.boat.presets import on_off, selector, two_circuit

GROUP = "Fuses, switches, bars and panels"
FUSE_CLASSES = (
    ("blade", "Blade"),
    ("glass", "Glass"),
    ("bolt-down", "Bolt-down"),
    ("terminal", "On the terminal"),
    ("class-t", "Class T"),
)
BREAKER_CLASSES = (
    ("thermal-breaker", "Thermal"),
    ("magnetic-breaker", "Magnetic"),
    ("thermal-magnetic-breaker", "Thermal-magnetic"),
)
FUELS = (("diesel", "Diesel"), ("petrol", "Petrol"), ("gas", "Gas"), ("electric", "Electric"))
RATING_A = Question("rating_a", "Rating", unit="A", needed=True)
INTERRUPTING_A = Question("interrupting_a", "Can break", unit="A", most=1_000_000.0)
CONTINUOUS_A = Question("continuous_a", "Continuous rating", unit="A")
CRANKING_A = Question("cranking_a", "Cranking rating", unit="A")
STUDS = Question("studs", "Studs", "count", usual="6", most=200, needed=True)
WAY_EXAMPLE = "Chart plotter, 5\nVHF radio, 10"
_WAY = re.compile(r"^(?P<name>.*?)[,;\t ]*(?P<rating>\d+(?:[.,]\d+)?)? *A?$")


def _fuse(made: Made) -> Fields:
    return {
        "kind": "fuse",
        "device_class": made["device_class"],
        "rating_a": made["rating_a"],
        "interrupting_a": made["interrupting_a"],
        "reset": "replace",
    }


def _breaker(made: Made) -> Fields:
    return {
        "kind": "breaker",
        "device_class": made["device_class"],
        "rating_a": made["rating_a"],
        "interrupting_a": made["interrupting_a"],
    }


def _switch(made: Made) -> Fields:
    return _contact(made, on_off(made.id, made.name, is_battery_switch=True).model_dump(mode="json"))


def _plain_switch(made: Made) -> Fields:
    return _contact(made, on_off(made.id, made.name).model_dump(mode="json"))


def _selector(made: Made) -> Fields:
    return _contact(made, selector(made.id, made.name).model_dump(mode="json"))


def _two_circuit(made: Made) -> Fields:
    return _contact(made, two_circuit(made.id, made.name).model_dump(mode="json"))


def _contact(made: Made, fields: Fields) -> Fields:
    return fields | {"continuous_a": made["continuous_a"], "cranking_a": made["cranking_a"]}


def _shunt(made: Made) -> Fields:
    return {
        "kind": "measuring-shunt",
        "rated_current_a": made["rated_a"],
        "rated_voltage_v": made.figure("rated_mv") / 1000.0,
    }


def _busbar(made: Made) -> Fields:
    return {"kind": "busbar", "studs": round(made.figure("studs")), "rated_current_a": made["rated_a"]}


def _post(_: Made) -> Fields:
    return {"kind": "post"}


def _connector(made: Made) -> Fields:
    return {"kind": "connector", "style": made["style"], "pins": round(made.figure("pins"))}


def _panel(made: Made) -> Fields:
    kind = "fuse" if made["devices"] == "blade" else "breaker"
    ways: list[JsonValue] = []
    for number, line in enumerate(made.lines("ways"), start=1):
        name, rating = way_of(line)
        device: Fields = {"device_class": made["devices"]}
        if rating is not None:
            device["rating_a"] = rating
        ways.append(
            {"id": f"w{number}", "name": name or f"Way {number}", "device_kind": kind, "device": device}
        )
    main: Fields = {"id": "dc", "name": "Main section", "polarity": "positive", "ways": ways}
    bar: Fields = {"id": "neg", "name": "Negative bar", "polarity": "negative", "studs": len(ways) + 2}
    return {"kind": "panel", "sections": [main, bar] if made["bar"] == "yes" else [main]}


def way_of(line: str) -> tuple[str, float | None]:
    """A way as a person writes it: its name, and the amperes of its device where they are said.

    >>> way_of("Chart plotter, 5 A")
    ('Chart plotter', 5.0)
    """
    found = _WAY.match(line)
    if found is None or found["rating"] is None:
        return (found["name"] if found else line), None
    return found["name"], float(found["rating"].replace(",", "."))


def _engine(made: Made) -> Fields:
    return {
        "kind": "engine-block",
        "studs": round(made.figure("studs")),
        "fuel": made["fuel"],
        "negative": "block",
    }


def _bonding(made: Made) -> Fields:
    return {"kind": "bonding", "role": made["role"], "studs": round(made.figure("studs"))}


WAYS = (
    Entry(
        "fuse",
        "Fuse",
        GROUP,
        (
            Question("device_class", "Class", "choice", choices=FUSE_CLASSES, usual="blade"),
            RATING_A,
            INTERRUPTING_A,
        ),
        _fuse,
    ),
    Entry(
        "breaker",
        "Circuit breaker",
        GROUP,
        (
            Question(
                "device_class", "Class", "choice", choices=BREAKER_CLASSES, usual="thermal-magnetic-breaker"
            ),
            RATING_A,
            INTERRUPTING_A,
        ),
        _breaker,
    ),
    Entry("battery-switch", "Battery switch, on and off", GROUP, (CONTINUOUS_A, CRANKING_A), _switch),
    Entry("selector", "Battery selector, 1/2/BOTH/OFF", GROUP, (CONTINUOUS_A, CRANKING_A), _selector),
    Entry(
        "two-circuit",
        "Battery switch for two circuits, on/off/combine",
        GROUP,
        (CONTINUOUS_A, CRANKING_A),
        _two_circuit,
    ),
    Entry("switch", "Switch of one circuit", GROUP, (CONTINUOUS_A,), _plain_switch),
    Entry(
        "shunt",
        "Battery monitor shunt",
        GROUP,
        (
            Question("rated_a", "Rated current", unit="A", usual="500", needed=True),
            Question("rated_mv", "At", unit="mV", usual="50", needed=True),
        ),
        _shunt,
    ),
    Entry("busbar", "Busbar", GROUP, (STUDS, Question("rated_a", "Rated current", unit="A")), _busbar),
    Entry("post", "Terminal post", GROUP, (), _post),
    Entry(
        "connector",
        "Plug, splice or terminal strip",
        GROUP,
        (
            Question(
                "style",
                "Kind",
                "choice",
                choices=(
                    ("plug", "Plug"),
                    ("deck-plug", "Deck plug"),
                    ("splice", "Splice"),
                    ("bulkhead-stud", "Stud through a bulkhead"),
                    ("terminal-strip", "Terminal strip"),
                ),
                usual="plug",
            ),
            Question("pins", "Ways through it", "count", usual="1", most=100, needed=True),
        ),
        _connector,
    ),
    Entry(
        "panel",
        "Panel",
        GROUP,
        (
            Question(
                "devices",
                "Its ways have",
                "choice",
                choices=(*BREAKER_CLASSES[::-1], ("blade", "Blade fuses")),
                usual="thermal-magnetic-breaker",
            ),
            Question("ways", "Ways, one a line with their amperes", "lines", usual=WAY_EXAMPLE, needed=True),
            Question(
                "bar",
                "Negative bar",
                "choice",
                choices=(("yes", "Has one"), ("no", "Has none")),
                usual="yes",
            ),
        ),
        _panel,
    ),
    Entry(
        "engine",
        "Engine block",
        GROUP,
        (
            Question("fuel", "Fuel", "choice", choices=FUELS, usual="diesel"),
            Question("studs", "Studs", "count", usual="4", most=200, needed=True),
        ),
        _engine,
    ),
    Entry(
        "bonding",
        "Bonding bus, hull, shaft or anode",
        GROUP,
        (
            Question(
                "role",
                "What it is",
                "choice",
                choices=(
                    ("bonding-bus", "Bonding bus"),
                    ("hull", "Metal hull"),
                    ("shaft", "Shaft"),
                    ("anode", "Anode"),
                    ("ac-earth-link", "Link to the shore earth"),
                ),
                usual="bonding-bus",
            ),
            STUDS,
        ),
        _bonding,
    ),
)
